/**
 * The comment that stands in a job which finishes a cut, before its first move. Without it a forecast would take it for a
 * first burn, of wood that is still whole.
 */
export const FINISH_MARK = 'burns what is left of a cut that was begun';

/** Whether a comment says so. */
export const saysFinish = (comments: string): boolean => comments.toLowerCase().includes(FINISH_MARK);
