import { InputError } from '../errors.ts';
import type { PhotoPoint } from '../photo/photo.ts';
import { FARTHEST_MM } from '../program/travel.ts';

/** Four points of a photo, and where they lie on the bed, mm in the job's coordinates. */
export interface KnownPoints {
  readonly onPhoto: readonly PhotoPoint[];
  readonly onBedMm: readonly (readonly [xMm: number, yMm: number])[];
}

/** Sheets of paper, upright, mm (ISO 216 for A4, A3 and A5; ANSI/ASME Y14.1 for letter, 8½ × 11 in). */
const SHEETS: Readonly<Record<string, readonly [number, number]>> = {
  a3: [297, 420],
  a4: [210, 297],
  a5: [148, 210],
  letter: [215.9, 279.4],
};

const NUMBER = String.raw`([-+]?(?:\d+(?:\.\d+)?|\.\d+))`;
const PAIR = `${NUMBER} ?, ?${NUMBER}`;
const POINT = new RegExp(`^${PAIR} ?= ?${PAIR}$`);
const CORNER = new RegExp(`^${PAIR}$`);
const SHEET = new RegExp(`^(a3|a4|a5|letter)( lying)?(?: at ${PAIR})? ?:`, 'i');

export const POINTS_EXPECTED =
  'four points as X,Y of the photo in pixels = X,Y on the bed in mm, parted by semicolons, as in ' +
  '“120,1390=0,0; 1830,1400=200,0; 1815,80=200,150; 130,95=0,150”; or a sheet of paper and its corners on the photo from ' +
  'the lower left one round to the left, as in “a4 at 220,0: 100,900; 830,910; 815,80; 130,70”';

/**
 * Reads four points as people write them; see {@link POINTS_EXPECTED}. A sheet stands upright unless `lying` is said;
 * `at` is its lower left corner on the bed, else the origin.
 * @throws {InputError} that says what is missing.
 */
export function readPoints(text: string): KnownPoints {
  const plain = text.trim().replace(/\s+/g, ' ');
  const sheet = SHEET.exec(plain);
  const parts = (sheet ? plain.slice(sheet[0].length) : plain)
    .split(';')
    .map((part) => part.trim())
    .filter((part) => part !== '');
  const read = parts.map((part) => {
    const match = (sheet ? CORNER : POINT).exec(part);
    const numbers = match?.slice(1).map(Number) ?? [];
    if (!match || numbers.some((each) => Math.abs(each) > FARTHEST_MM))
      throw new InputError(`found “${part.slice(0, 60)}” among the points; expected ${POINTS_EXPECTED}`);
    return numbers as [number, number, number, number];
  });
  if (read.length !== 4)
    throw new InputError(
      `found ${read.length === 1 ? 'one point' : `${read.length} points`} of known place; expected ${POINTS_EXPECTED}`,
    );
  const onPhoto = read.map(([x, y]) => [x, y] as const);
  if (!sheet) return { onPhoto, onBedMm: read.map(([, , x, y]) => [x, y] as const) };
  const [, name, lying, atX = '0', atY = '0'] = sheet;
  return {
    onPhoto,
    onBedMm: sheetCorners(name!.toLowerCase(), lying !== undefined, Number(atX), Number(atY)),
  };
}

/** The corners of a sheet on the bed, from the lower left one round to the left. */
export function sheetCorners(name: string, lying: boolean, xMm: number, yMm: number): [number, number][] {
  const [short, long] = SHEETS[name]!;
  const [w, h] = lying ? [long, short] : [short, long];
  return [
    [xMm, yMm],
    [xMm + w, yMm],
    [xMm + w, yMm + h],
    [xMm, yMm + h],
  ];
}
