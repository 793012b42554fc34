import { greatestOf, leastOf } from '../../lists.ts';
import type { BareLight, BareSample } from '../../photo/bare.ts';
import { luminance } from '../../photo/photo.ts';
import type { Swatch } from '../swatch.ts';
import type { CodeReading } from './read-code.ts';

/** What a photo shows besides the burn, once it is laid over the key. */
interface Shown {
  readonly code: CodeReading | null;
  /** Places that the key leaves bare, and the light there would be on bare wood. */
  readonly samples: readonly BareSample[];
  readonly light: BareLight;
  /** The marks along x and along y; null: not to be measured. */
  readonly marksMm: readonly [number, number] | null;
}

/** Bare wood is lighter than this part of the light around it, but for knots, stains and soot. */
const DARK_SHARE = 0.7;
/** So much of what should be bare may be that dark. */
const MOST_DARK = 0.1;
/**
 * Marks larger or smaller than the key's by more than this, or less round, are another swatch's: its corners were
 * taken for those of the key. The spot's width and what chars beside it make true marks a little larger.
 */
const MARK_RANGE = [0.93, 1.12] as const;
const MOST_OBLONG = 1.08;

/** What says that photo and key do not belong together, as clauses; none: nothing says so. */
export function strangeness(swatch: Swatch, { code, samples, light, marksMm }: Shown): string[] {
  const doubts: string[] = [];
  if (code?.verdict === 'other')
    doubts.push(`it shows the code ${code.seen} where the key has ${code.expected}`);
  const meant = 2 * swatch.marks.radius_mm;
  if (marksMm && !isMark(marksMm, meant)) {
    const measured = marksMm.map((mm) => mm.toFixed(1)).join(' × ');
    doubts.push(
      `its marks measure ${measured} mm where the key has ${meant.toFixed(1)} mm, so the board had another size`,
    );
  }
  const dark = samples.filter(
    ({ xMm, yMm, rgb }) => luminance(...rgb) < DARK_SHARE * luminance(...light.at(xMm, yMm)),
  ).length;
  if (dark > MOST_DARK * samples.length) {
    doubts.push(
      `${Math.round((100 * dark) / samples.length)} % of the places that the key leaves bare are burned, so patches and lines lie elsewhere`,
    );
  }
  return doubts;
}

function isMark(marksMm: readonly [number, number], meantMm: number): boolean {
  const [least, most] = MARK_RANGE;
  const oblong = greatestOf(marksMm) / leastOf(marksMm);
  return oblong <= MOST_OBLONG && marksMm.every((mm) => mm >= least * meantMm && mm <= most * meantMm);
}
