/** The part of `gcode-parser` that Charcast calls; the package carries no types of its own. */
declare module 'gcode-parser' {
  export interface ParsedLine {
    readonly line: string;
    /** Letter (upper case) and number; the text itself where it is no number. */
    readonly words: readonly (readonly [string, number | string])[];
    /** The first N word's number, which does not stand in `words`. */
    readonly ln?: number;
    /** The number after the first `*`. */
    readonly cs?: number;
  }
  export function parseLine(
    line: string,
    options?: { flatten?: false; lineMode?: 'original' | 'stripped' | 'compact' },
  ): ParsedLine;
}
