/**
 * Digits of one stroke each, for a beam: our own shapes, on a body one high and 0.6 wide, with the corners
 * cut off so that the head need not stop in them.
 */

export type Point = readonly [xMm: number, yMm: number];

const WIDTH = 0.6;
const ADVANCE = 0.86;

const STROKES: Readonly<Record<string, readonly Point[]>> = {
  0: [
    [0.15, 0],
    [0.45, 0],
    [0.6, 0.18],
    [0.6, 0.82],
    [0.45, 1],
    [0.15, 1],
    [0, 0.82],
    [0, 0.18],
    [0.15, 0],
  ],
  1: [
    [0.12, 0.78],
    [0.34, 1],
    [0.34, 0],
  ],
  2: [
    [0, 0.84],
    [0.16, 1],
    [0.44, 1],
    [0.6, 0.82],
    [0.6, 0.64],
    [0, 0],
    [0.6, 0],
  ],
  3: [
    [0.04, 1],
    [0.58, 1],
    [0.27, 0.6],
    [0.45, 0.6],
    [0.6, 0.44],
    [0.6, 0.18],
    [0.44, 0],
    [0.14, 0],
    [0, 0.14],
  ],
  4: [
    [0.46, 0],
    [0.46, 1],
    [0, 0.3],
    [0.62, 0.3],
  ],
  5: [
    [0.56, 1],
    [0.08, 1],
    [0.03, 0.56],
    [0.42, 0.6],
    [0.6, 0.44],
    [0.6, 0.18],
    [0.44, 0],
    [0.14, 0],
    [0, 0.12],
  ],
  6: [
    [0.5, 1],
    [0.16, 0.78],
    [0, 0.42],
    [0, 0.16],
    [0.15, 0],
    [0.45, 0],
    [0.6, 0.16],
    [0.6, 0.4],
    [0.45, 0.55],
    [0.06, 0.5],
  ],
  7: [
    [0, 1],
    [0.6, 1],
    [0.22, 0],
  ],
  8: [
    [0.3, 0.55],
    [0.07, 0.7],
    [0.07, 0.88],
    [0.2, 1],
    [0.4, 1],
    [0.53, 0.88],
    [0.53, 0.7],
    [0, 0.34],
    [0, 0.14],
    [0.15, 0],
    [0.45, 0],
    [0.6, 0.14],
    [0.6, 0.34],
    [0.3, 0.55],
  ],
  9: [
    [0.54, 0.5],
    [0.15, 0.45],
    [0, 0.6],
    [0, 0.84],
    [0.15, 1],
    [0.45, 1],
    [0.6, 0.84],
    [0.6, 0.58],
    [0.44, 0.22],
    [0.1, 0],
  ],
};

/** How wide a text of digits is at `heightMm`. */
export const digitsWidthMm = (text: string, heightMm: number): number =>
  heightMm * ((text.length - 1) * ADVANCE + WIDTH);

/** The strokes of a text of digits whose lower left corner lies at `atMm`; other characters leave a blank. */
export function digitStrokes(text: string, [xMm, yMm]: Point, heightMm: number): Point[][] {
  return [...text].flatMap((digit, k) => {
    const stroke = STROKES[digit];
    const left = xMm + k * ADVANCE * heightMm;
    return stroke ? [stroke.map(([x, y]): Point => [left + x * heightMm, yMm + y * heightMm])] : [];
  });
}
