import type { Stock } from '../board.ts';
import { InputError } from '../errors.ts';
import { FARTHEST_MM } from '../program/travel.ts';

const NUMBER = String.raw`(\d+(?:\.\d+)?|\.\d+)`;
const SIGNED = String.raw`([+-]?(?:\d+(?:\.\d+)?|\.\d+))`;
const STOCK = new RegExp(`^${NUMBER}x${NUMBER}(?:x${NUMBER}(?:~${NUMBER})?)?(?:@${SIGNED},${SIGNED})?$`, 'i');

/**
 * Reads `WxHxT~U@X,Y` in mm: width, height, thickness, how far that may be off (one standard uncertainty), and where the
 * lower left corner lies in the job's coordinates. Thickness, its uncertainty and place may be left out (unknown; a usual
 * one; 0,0).
 */
export function readStock(text: string): Stock {
  const match = STOCK.exec(text.replace(/\s+/g, ''));
  const [width, height, thickness, plusMinus, x, y] = (match ?? [])
    .slice(1)
    .map((part) => (part === undefined ? undefined : Number(part)));
  const most = [width, height, thickness, x, y].find((mm) => Math.abs(mm ?? 0) > FARTHEST_MM);
  if (most !== undefined)
    throw new InputError(`found ${most} mm in --stock ${text}; expected at most ${FARTHEST_MM} mm`);
  const isSound = width && height && thickness !== 0 && (plusMinus ?? 0) <= (thickness ?? 0);
  if (!isSound) {
    throw new InputError(
      `found --stock ${text}; expected width x height x thickness in plain numbers of mm and where it lies, as in 120x80x4@0,0, or 120x80x4~0.1@0,0 where the thickness may be 0.1 mm off`,
    );
  }
  return {
    widthMm: width,
    heightMm: height,
    thicknessMm: thickness ?? null,
    ...(plusMinus === undefined ? {} : { thicknessPlusMinusMm: plusMinus }),
    xMm: x ?? 0,
    yMm: y ?? 0,
  };
}
