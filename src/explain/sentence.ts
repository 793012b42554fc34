/** One sentence about a machine. */
export interface Sentence {
  readonly text: string;
  /** Fields behind it that the file leaves out, so that their defaults speak. */
  readonly defaults: readonly string[];
  /** The numbers behind it cannot all be true. */
  readonly isDoubtful?: boolean;
}

/** Makes a sentence that rests on some fields of the profile. */
export type Say = (text: string, ...fields: string[]) => Sentence;

/** A short step of a raster or a fine curve, and the line of G-code that makes it: for the limits of buffer and link. */
export const SHORT_MOVE_MM = 0.1;
export const SHORT_LINE_BYTES = 20;
