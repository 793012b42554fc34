import opentype, { type Font } from 'opentype.js';
import { bezier, lengthOf, minus, type Point, plus, type Ring } from './geometry.ts';

/**
 * Letters as polygons, taken from a font's own outlines. The demo is set in Crete Round (SIL Open Font
 * License 1.1), a slab serif whose strokes are sturdy enough for a laser spot.
 */

/** Where the font lies, as a module path. Reading the file is for whoever runs the generator. */
export const FONT_FILE = '@expo-google-fonts/crete-round/400Regular/CreteRound_400Regular.ttf';

export type { Font };

export const readFont = (bytes: ArrayBuffer): Font => opentype.parse(bytes);

/** No point of a curve is farther than this from the straight pieces that stand for it. */
const CURVE_TOLERANCE_MM = 0.005;

interface Lettering {
  readonly rings: readonly Ring[];
  /** From the left edge of the first letter to the right edge of the last. */
  readonly widthMm: number;
}

/**
 * A line of text with its left edge at x = 0 and its baseline on y = 0, its capitals `capHeightMm` high.
 * Fill it by the nonzero rule. The font must have quadratic (TrueType) outlines.
 */
export function lettering(font: Font, text: string, capHeightMm: number): Lettering {
  const sizeMm = (capHeightMm * font.unitsPerEm) / font.tables.os2!.sCapHeight;
  const raw = flatten(font.getPath(text, 0, 0, sizeMm).commands);
  const xs = raw.flat().map(([x]) => x);
  const leftMm = Math.min(...xs);
  return {
    rings: raw.map((ring) => ring.map((point) => plus(point, [-leftMm, 0]))),
    widthMm: Math.max(...xs) - leftMm,
  };
}

/** Font paths count y downwards; the machine counts it up. */
const upright = (x: number, y: number): Point => [x, -y];

function flatten(commands: opentype.PathCommand[]): Ring[] {
  const rings: Point[][] = [];
  let ring: Point[] = [];
  for (const command of commands) {
    switch (command.type) {
      case 'M':
        rings.push((ring = [upright(command.x, command.y)]));
        break;
      case 'L':
        ring.push(upright(command.x, command.y));
        break;
      case 'Q':
        ring.push(...quadratic(ring.at(-1)!, upright(command.x1, command.y1), upright(command.x, command.y)));
        break;
      case 'C':
        throw new RangeError('invalid font: it has cubic outlines; expected quadratic ones');
    }
  }
  return rings;
}

/**
 * The curve's points but the first. Cut into n equal pieces, a quadratic strays from its chords by
 * |from − 2·control + to| / (4 n²) (its second derivative is constant).
 */
function quadratic(from: Point, control: Point, to: Point): Point[] {
  const bend = lengthOf(plus(minus(from, control), minus(to, control)));
  const count = Math.max(1, Math.ceil(Math.sqrt(bend / (4 * CURVE_TOLERANCE_MM))));
  return bezier(from, control, to, count).slice(1);
}
