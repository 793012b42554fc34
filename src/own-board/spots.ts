import type { Spot } from '../board.ts';
import { InputError } from '../errors.ts';
import { FARTHEST_MM } from '../program/travel.ts';

const NUMBER = String.raw`([-+]?(?:\d+(?:\.\d+)?|\.\d+))`;
const SPOT = new RegExp(`^${NUMBER} ?, ?${NUMBER} ?, ?${NUMBER}$`);

/** Reads places to keep off, as `X,Y,RADIUS` in mm parted by semicolons. @throws {InputError} */
export function readSpots(text: string): Spot[] {
  const parts = text
    .split(';')
    .map((part) => part.trim())
    .filter((part) => part !== '');
  if (parts.length === 0)
    throw new InputError('found no place to keep off; expected X,Y,RADIUS in mm, as in 40,25,6');
  return parts.map((part) => {
    const [, x, y, radius] = (SPOT.exec(part) ?? []).map(Number);
    if (
      !radius ||
      !(radius > 0 && radius <= FARTHEST_MM) ||
      Math.abs(x!) > FARTHEST_MM ||
      Math.abs(y!) > FARTHEST_MM
    )
      throw new InputError(
        `found “${part.slice(0, 60)}” among the places to keep off; expected X,Y,RADIUS in mm, as in 40,25,6`,
      );
    return { xMm: x!, yMm: y!, radiusMm: radius };
  });
}
