import { linePeakDoseJPerMm2, rasterDoseJPerMm2 } from '../../burn/line-dose.ts';
import { ownShare } from '../../burn/ripple.ts';
import type { Grid } from '../../grid.ts';
import { widthAcrossMm, widthAlongMm } from '../../laser/spot.ts';
import type { Spot } from '../../machine/profile.ts';
import type { Motion } from '../../motion/motion.ts';
import { rampMm } from '../../motion/trapezoid.ts';
import type { Operation } from '../../program/program.ts';
import type { LineEnergies } from './line-energy.ts';
import { doseOnLine } from './on-line.ts';
import { readAt } from './read-at.ts';
import { type RowLines, rowsAlong } from './row-lines.ts';
import { dwellUnderSpotS } from './spot-widths.ts';
import { isMostlySlow, type Survey } from './survey.ts';
import type { Told } from './told.ts';

/**
 * What an operation gives on its long straight parts, where the head runs at full speed: the measure for
 * everything that burns darker than it should.
 */
export interface StraightLine {
  /** Dose over line energy, 1/mm, all passes together; dose of a move is this times its own line energy. */
  readonly dosePerLineEnergy: number;
  /** Taken from the forecast where the head cruises, of lines on their path; false: closed form, for want of such places. */
  readonly measured: boolean;
  /**
   * How many times the mean across its rows was read on them, 1 or more; null where no rows have been measured. What is read
   * on a row hangs on how the grid's cells lie about it, and so does this: the one over the other does not.
   */
  readonly crest: number | null;
}

const MOST_SAMPLES = 400;
const FEWEST_SAMPLES = 5;
/** What came within this part of full speed's dwell came at full speed: where one pass cruises, another may brake. */
const SAME_DWELL = 0.05;
const GOLDEN_PART = (Math.sqrt(5) - 1) / 2;

export function straightLine(
  operation: Operation,
  { motion, machine: { spot }, dose: { grid }, lines }: Pick<Told, 'motion' | 'machine' | 'dose' | 'lines'>,
  energies: LineEnergies,
  survey: Survey,
  hatch: readonly RowLines[],
): StraightLine {
  const { moves } = motion.program;
  const { xMm, yMm, zMm } = moves;
  const { firstMove, lastMove } = operation;
  const room = 2 * Math.max(...spot.width_mm);
  const rows = hatch[0] ?? null;
  const found: number[] = [];
  const mixed: number[] = [];
  const means: number[] = [];
  const acrossOf = new Map(
    hatch.map(
      (each) => [each, each.spacingMm === null ? [] : evenPlaces(grid, each.spacingMm, ACROSS)] as const,
    ),
  );
  const count = lastMove - firstMove + 1;
  const stride = spreadingStride(count);
  for (
    let k = 0, at = 0;
    k < count && found.length + mixed.length < MOST_SAMPLES;
    k++, at = (at + stride) % count
  ) {
    const i = firstMove + at;
    const nominal = energies.nominalMmPerS[i]!;
    if (nominal === 0 || motion.peakMmPerS[i]! < nominal * 0.999) continue;
    const up = rampMm(motion.accelMmPerS2[i]!, motion.entryMmPerS[i]!, nominal);
    const down = rampMm(motion.accelMmPerS2[i]!, motion.entryMmPerS[i + 1]!, nominal);
    const level = motion.lengthMm[i]! - up - down;
    if (level < room && !cruisesThrough(motion, energies, i, room)) continue;
    const part = (up + level / 2) / motion.lengthMm[i]!;
    const x0 = i > 0 ? xMm[i - 1]! : 0;
    const y0 = i > 0 ? yMm[i - 1]! : 0;
    const x = x0 + (xMm[i]! - x0) * part;
    const y = y0 + (yMm[i]! - y0) * part;
    const onLine = rows ? null : doseOnLine(lines, moves, i, x, y);
    const own = hatch.length > 1 ? rowsAlong(hatch, xMm[i]! - x0, yMm[i]! - y0) : rows;
    if (rows && own === null) continue;
    const places = own ? alongRow(grid, own, x, y) : [[x, y] as const];
    const dose = own ? meanOf(places, (at) => readAt(grid, grid.data, ...at)) : (onLine?.doseJPerMm2 ?? 0);
    const line = energies.nominalJPerMm(i);
    if (!(dose > 0 && line > 0)) continue;
    const fullDwellS = dwellUnderSpotS(spot, nominal, zMm[i]!);
    if (onLine && Math.abs(onLine.dwellS / fullDwellS - 1) > SAME_DWELL) mixed.push(dose / line);
    else found.push(dose / line);
    if (own?.spacingMm == null) continue;
    const acrossMm = acrossOf.get(own)!;
    means.push(meanOf(places, (at) => meanAcross(grid, own, acrossMm, at)) / line);
  }
  // On an engraved ground all its places are mixed alike; but of a line that is slow nearly everywhere, its other passes.
  const few = found.length < FEWEST_SAMPLES && !isMostlySlow(survey, operation.n);
  const taken = few ? found.concat(mixed) : found;
  if (taken.length >= FEWEST_SAMPLES) {
    const dosePerLineEnergy = middleOf(taken);
    const crest = means.length > 0 ? Math.max(1, dosePerLineEnergy / middleOf(means)) : null;
    if (dosePerLineEnergy > 0) return { dosePerLineEnergy, measured: true, crest };
  }
  return {
    dosePerLineEnergy: closedForm(operation, zMm[firstMove]!, spot, motion, rows),
    measured: false,
    crest: null,
  };
}

const middleOf = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!;

type At = readonly [xMm: number, yMm: number];

/** Places along a row over which it meets the rows that cross it evenly; one where none do. */
const alongRow = (grid: Grid, { ux, uy, crossing = [] }: RowLines, xMm: number, yMm: number): readonly At[] =>
  crossing.reduce<readonly At[]>(
    (places, other) => {
      const alongMm = other.spacingMm / Math.abs(other.ux * uy - other.uy * ux);
      return evenPlaces(grid, alongMm, crossing.length > 1 ? ALONG_MANY : ALONG_ONE).flatMap((away) =>
        places.map(([x, y]): At => [x + away * ux, y + away * uy]),
      );
    },
    [[xMm, yMm]],
  );

const meanOf = (places: readonly At[], of: (at: At) => number): number =>
  places.reduce((sum, at) => sum + of(at), 0) / places.length;

/** Places over one spacing whose mean is taken: so many in each cell, each part of which must count, and at least so many. */
const IN_CELL = 8;
const FEWEST = 16;
/** … and at most: across rows; along them where others cross in one direction, or in several. */
const [ACROSS, ALONG_ONE, ALONG_MANY] = [64, 32, 16];

/** Even places from halfway to the row on one side to halfway to the row on the other, mm. */
function evenPlaces({ cellMm }: Grid, spacingMm: number, most: number): number[] {
  const count = Math.min(most, Math.max(FEWEST, Math.ceil((IN_CELL * spacingMm) / cellMm)));
  return Array.from({ length: count }, (_, k) => ((k + 0.5) / count - 0.5) * spacingMm);
}

/** The mean dose from halfway to the row on one side to halfway to the row on the other. */
function meanAcross(grid: Grid, { ux, uy }: RowLines, acrossMm: readonly number[], [xMm, yMm]: At): number {
  let sum = 0;
  for (const away of acrossMm) sum += readAt(grid, grid.data, xMm - away * uy, yMm + away * ux);
  return sum / acrossMm.length;
}

/** At most so many of an operation's lit moves, spread over it. */
export function spreadLitMoves(
  { firstMove, lastMove }: Operation,
  { nominalMmPerS }: LineEnergies,
  most: number,
): number[] {
  const lit: number[] = [];
  const count = lastMove - firstMove + 1;
  const stride = spreadingStride(count);
  for (let k = 0, at = 0; k < count && lit.length < most; k++, at = (at + stride) % count) {
    if (nominalMmPerS[firstMove + at] !== 0) lit.push(firstMove + at);
  }
  return lit;
}

/**
 * A stride through `count` places that comes by each of them once and lies evenly after any number of steps: near the
 * golden part of them (Weyl 1916), and without a divisor in common. A round stride would keep step with the rows of a
 * raster and meet the same column again and again.
 */
export function spreadingStride(count: number): number {
  const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b));
  let stride = Math.max(1, Math.round(count * GOLDEN_PART));
  while (divisor(stride, count) !== 1) stride++;
  return stride;
}

/** Whether the head keeps full speed on the moves either side too: a grey row of short moves. */
function cruisesThrough(motion: Motion, energies: LineEnergies, i: number, roomMm: number): boolean {
  for (const step of [-1, 1]) {
    let gathered = 0;
    for (let k = i; gathered < roomMm / 2; k += step) {
      const nominal = energies.nominalMmPerS[k];
      if (!nominal) return false;
      if (motion.entryMmPerS[k]! < nominal * 0.999 || motion.entryMmPerS[k + 1]! < nominal * 0.999)
        return false;
      gathered += motion.lengthMm[k]!;
    }
  }
  return true;
}

function closedForm(
  operation: Operation,
  zMm: number,
  spot: Spot,
  motion: Motion,
  rows: RowLines | null,
): number {
  const { xMm, yMm } = motion.program.moves;
  const i = operation.firstMove;
  const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
  const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
  const length = Math.sqrt(dx * dx + dy * dy) || 1;
  const across = widthAcrossMm(spot, rows?.ux ?? dx / length, rows?.uy ?? dy / length, zMm);
  const alone = linePeakDoseJPerMm2(1, 1, across || widthAlongMm(spot, 1, 0, zMm), spot.shape);
  if (rows?.spacingMm == null) return alone * operation.passes;
  // Rows that do not run together give a line's dose, rows that do a raster's; those they cross leave their mean.
  const even = rasterDoseJPerMm2(1, 1, rows.spacingMm);
  return (Math.max(alone, even) + even * (1 / ownShare(rows) - 1)) * operation.passes;
}
