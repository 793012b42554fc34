import { digitStrokes, digitsWidthMm, type Point } from './digits.ts';
import type { Swatch } from './swatch.ts';

/** The number engraved on a swatch and kept in its key, by which a person or a photo tells which key is its own. */
export type SwatchCode = NonNullable<Swatch['code']>;

export const CODE_DIGITS = 4;

/**
 * The code of a swatch: its whole content, hashed (FNV-1a, 32 bits: draft-eastlake-fnv) to four digits. The same
 * settings on the same board have the same code, and then either key serves.
 */
export function codeOf(swatch: Omit<Swatch, 'code'>): string {
  let hash = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(JSON.stringify(swatch)))
    hash = Math.imul(hash ^ byte, 0x01000193) >>> 0;
  return String(hash % 10 ** CODE_DIGITS).padStart(CODE_DIGITS, '0');
}

/** Where each of its strokes runs, in the job's coordinates, mm. */
export const codeStrokes = ({ text, at_mm, height_mm }: SwatchCode): Point[][] =>
  digitStrokes(text, at_mm, height_mm);

export const codeWidthMm = ({ text, height_mm }: Omit<SwatchCode, 'at_mm'>): number =>
  digitsWidthMm(text, height_mm);
