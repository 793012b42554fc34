import type { Setup } from '../worker/messages.ts';

/** The job's text with the changes written into it. */
export const adjustedText = (wish: Setup): string => wish.job.text;
