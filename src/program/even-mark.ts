/**
 * The comment that stands in a job whose S follows the speed of the head, before its first move. Without it a forecast
 * would take what the S of a slow place says for what was meant there.
 */
export const EVEN_MARK = 's follows the speed of the head';

/** Whether a comment says so. */
export const saysEven = (comments: string): boolean => comments.toLowerCase().includes(EVEN_MARK);
