/**
 * What a terminal would obey instead of showing: control characters but the tab and the line end, and those that turn
 * the direction of writing round. Names of files and machines, and comments of jobs, may hold anything.
 */
const OBEYED = /(?![\n\t])[\p{Cc}\u202a-\u202e\u2066-\u2069]/gu;

/** The text with a mark in place of every character that a terminal would obey. */
export const plainText = (text: string): string => text.replace(OBEYED, '\ufffd');
