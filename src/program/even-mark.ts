/**
 * The comment that stands in a job whose S follows the speed of the head, before its first move. Without it a forecast
 * would take what the S of a slow place says for what was meant there.
 */
export const EVEN_MARK = 's follows the speed of the head';

/** The same of a job whose S was found from the tones that were meant: between its levels dose grows as the wood asks. */
export const TONES_MARK = `${EVEN_MARK}, and the tones that were meant`;

/** Whether a comment says that S follows the speed. */
export const saysEven = (comments: string): boolean => comments.toLowerCase().includes(EVEN_MARK);

/** Whether a comment says that it follows tones too. */
export const saysTones = (comments: string): boolean => comments.toLowerCase().includes(TONES_MARK);
