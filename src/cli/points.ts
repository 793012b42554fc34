import { InputError } from '../errors.ts';
import type { PhotoPoint } from '../photo/photo.ts';

/** `count` points "x,y", parted by blanks. */
export function readPoints(text: string, option: string, count: number): PhotoPoint[] {
  const points = text
    .trim()
    .split(/\s+/)
    .map((word) => /^(\d+(?:\.\d+)?),(\d+(?:\.\d+)?)$/.exec(word));
  if (points.length !== count || points.some((point) => point === null)) {
    const example = count === 1 ? '"812,2210"' : '"120,840 1190,810 1140,95 170,70"';
    throw new InputError(
      `found ${option} ${text}; expected ${count === 1 ? 'a place' : `${count} places`} in pixels, as in ${example}`,
    );
  }
  return points.map((point) => [Number(point![1]), Number(point![2])]);
}
