import type { Stock } from '../board.ts';
import { InputError } from '../errors.ts';
import { FARTHEST_MM } from '../program/travel.ts';

const NUMBER = String.raw`(\d+(?:\.\d+)?|\.\d+)`;
const SIGNED = String.raw`([+-]?(?:\d+(?:\.\d+)?|\.\d+))`;
const STOCK = new RegExp(`^${NUMBER}x${NUMBER}(?:x${NUMBER})?(?:@${SIGNED},${SIGNED})?$`, 'i');

/**
 * Reads `WxHxT@X,Y` in mm: width, height, thickness, and where the lower left corner lies in the job's
 * coordinates. Thickness and place may be left out (unknown; 0,0).
 */
export function readStock(text: string): Stock {
  const match = STOCK.exec(text.replace(/\s+/g, ''));
  const [width, height, thickness, x, y] = (match ?? [])
    .slice(1)
    .map((part) => (part === undefined ? undefined : Number(part)));
  const isSound =
    width &&
    height &&
    thickness !== 0 &&
    [width, height, thickness, x, y].every((mm) => Math.abs(mm ?? 0) <= FARTHEST_MM);
  if (!isSound) {
    throw new InputError(
      `found --stock ${text}; expected width x height x thickness in mm and where it lies, as in 120x80x4@0,0`,
    );
  }
  return { widthMm: width, heightMm: height, thicknessMm: thickness ?? null, xMm: x ?? 0, yMm: y ?? 0 };
}
