import type { Bounds } from '../../grid.ts';
import { numberWords } from '../../words.ts';

/** By how much something is moved, to the right and to the back. */
export type Shift = readonly [xMm: number, yMm: number];

/** How far one rectangle reaches beyond another on each side, mm; 0 where it does not. */
interface Overhang {
  readonly leftMm: number;
  readonly rightMm: number;
  readonly frontMm: number;
  readonly backMm: number;
  readonly mostMm: number;
  /** `2.5 mm to the left`, one for each side it reaches beyond. */
  readonly sides: readonly string[];
}

/** The overhang of `inner` over `outer`, or null when it is within `slackMm`. y grows away from the operator. */
export function overhang(inner: Bounds, outer: Bounds, slackMm: number): Overhang | null {
  const beyond = (mm: number) => (mm > slackMm ? mm : 0);
  const leftMm = beyond(outer.minXMm - inner.minXMm);
  const rightMm = beyond(inner.maxXMm - outer.maxXMm);
  const frontMm = beyond(outer.minYMm - inner.minYMm);
  const backMm = beyond(inner.maxYMm - outer.maxYMm);
  const mostMm = Math.max(leftMm, rightMm, frontMm, backMm);
  if (mostMm === 0) return null;
  const sides = [
    [leftMm, 'to the left'],
    [rightMm, 'to the right'],
    [frontMm, 'at the front'],
    [backMm, 'at the back'],
  ] as const;
  return {
    leftMm,
    rightMm,
    frontMm,
    backMm,
    mostMm,
    sides: sides.filter(([mm]) => mm > 0).map(([mm, side]) => `${numberWords(mm)} mm ${side}`),
  };
}

/**
 * What to do so that `inner` lies within `outer`: by how much to move it, or that it is too large.
 * @param keepMm how far it should keep from each side, where there is room for that; else it goes into the middle.
 */
export function fitWords(inner: Bounds, outer: Bounds, what: string, where: string, keepMm = 0): string {
  const shiftMm = fitShiftMm(inner, outer, keepMm);
  return shiftMm
    ? `Move the ${what} ${wayWords(shiftMm)}; it fits the ${where} then.`
    : `It does not fit: ${sizesWords(inner, outer, what, where)}. Make it smaller.`;
}

/** `the burn is 40 × 20 mm, the board 30 × 60 mm`. */
export function sizesWords(inner: Bounds, outer: Bounds, what: string, where: string): string {
  const size = ({ minXMm, minYMm, maxXMm, maxYMm }: Bounds): string =>
    `${numberWords(maxXMm - minXMm, 4)} × ${numberWords(maxYMm - minYMm, 4)} mm`;
  return `the ${what} is ${size(inner)}, the ${where} ${size(outer)}`;
}

/**
 * By how much to move `inner`, to the right and to the back, so that it lies within `outer`; null where it is too large.
 * @param keepMm as of {@link fitWords}.
 * @param isLaidAnew where it lies is nobody's choice yet: it keeps that from sides, too, beyond which it does not reach.
 */
export function fitShiftMm(inner: Bounds, outer: Bounds, keepMm = 0, isLaidAnew = false): Shift | null {
  const shift = (low: number, high: number, from: number, to: number): number | null => {
    if (high - low > to - from) return null;
    const keep = Math.min(keepMm, (to - from - (high - low)) / 2);
    const kept = isLaidAnew ? keep : 0;
    return outward(low < from + kept ? from + keep - low : high > to - kept ? to - keep - high : 0);
  };
  const xMm = shift(inner.minXMm, inner.maxXMm, outer.minXMm, outer.maxXMm);
  const yMm = shift(inner.minYMm, inner.maxYMm, outer.minYMm, outer.maxYMm);
  return xMm === null || yMm === null ? null : [xMm, yMm];
}

/** `2.5 mm to the right and 3 mm forward`; y grows away from the operator. */
export const wayWords = ([xMm, yMm]: Shift): string =>
  [
    xMm !== 0 ? `${numberWords(Math.abs(xMm), 4)} mm to the ${xMm > 0 ? 'right' : 'left'}` : '',
    yMm !== 0 ? `${numberWords(Math.abs(yMm), 4)} mm ${yMm > 0 ? 'back' : 'forward'}` : '',
  ]
    .filter((way) => way !== '')
    .join(' and ');

/** To the tenth of a millimetre, away from zero, so that it is enough. */
const outward = (mm: number): number => (Math.sign(mm) * Math.ceil(Math.abs(mm) * 10 - 1e-6)) / 10 + 0;
