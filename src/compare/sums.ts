import { doseAtPlace } from '../findings/evidence/on-line.ts';
import type { Forecast } from '../forecast.ts';
import { cellAt } from '../grid.ts';
import { leastOf } from '../lists.ts';
import { turningAxes } from '../program/elsewhere.ts';
import { engravedOnLine, startEngravedIn } from '../sure/engraved-in.ts';

/** What one forecast comes to, as the numbers two of them are compared by. */
export interface Sums {
  readonly durationS: number;
  readonly beamOnS: number;
  readonly energyJ: number;
  readonly burnMm: number;
  /** The greatest dose of any cell, and the middle one of those that bear a mark, J/mm². */
  readonly peakJPerMm2: number;
  readonly typicalJPerMm2: number;
  /** The dose of the worst corner that burns dark, J/mm², and how many times its straight line; null: none does. */
  readonly darkestCorner: { readonly doseJPerMm2: number; readonly timesStraight: number } | null;
  readonly deepestMm: number;
  /** What the deepest place lies between on nine such boards of ten, mm. */
  readonly deepestLowMm: number;
  readonly deepestHighMm: number;
  /**
   * How much more dose the weakest place of the cut gets than it needs, as a part of what it needs (negative:
   * it does not come through); null where nothing on the board is meant to cut, or the thickness is not known.
   */
  readonly cutMargin: number | null;
  /** The part of such boards that the least sure cut comes through on; null as before. */
  readonly cutChance: number | null;
  /** Why nothing is told of cuts; null: something is. */
  readonly noCut: string | null;
  /** Why it is not told on how many boards they come through; null: it is. */
  readonly noChance: string | null;
  readonly findings: number;
}

/** Dose counts as a mark from here on, J/mm². */
const MARKED_FROM_J_PER_MM2 = 0.1;
/**
 * Bins of the dose histogram: the first bits of a 32-bit float (IEEE 754) are its exponent and seven digits, 128 bins
 * to a doubling, so that the middle is right to half a per cent. A logarithm for each cell takes five times as long.
 */
const BIN_SHIFT = 16;
const BINS = 1 << 15;

export function sumsOf(forecast: Forecast): Sums {
  const { motion, dose, findings } = forecast;
  const cuts = onBoard(forecast.cuts);
  return {
    durationS: motion.durationS,
    beamOnS: forecast.beamOnS,
    energyJ: dose.energyJ,
    burnMm: forecast.burnMm,
    ...dosesOf(dose.grid.data),
    darkestCorner: darkestCornerOf(forecast),
    ...deepestOf(forecast),
    cutMargin: leastOrNull(cuts.map(({ margin }) => margin)),
    cutChance: leastOrNull(cuts.map(({ chanceThrough }) => chanceThrough)),
    noCut: noCutWords(forecast),
    noChance: noChanceWords(forecast),
    findings: findings.length,
  };
}

/** Peak and middle dose of the cells that bear a mark; 0 when none does. */
function dosesOf(data: Float32Array): { peakJPerMm2: number; typicalJPerMm2: number } {
  const bits = new Uint32Array(data.buffer, data.byteOffset, data.length);
  const bins = new Float64Array(BINS);
  let peak = 0;
  let marked = 0;
  for (let k = 0; k < data.length; k++) {
    const value = data[k]!;
    if (value < MARKED_FROM_J_PER_MM2) continue;
    marked++;
    if (value > peak) peak = value;
    bins[bits[k]! >>> BIN_SHIFT]!++;
  }
  if (marked === 0) return { peakJPerMm2: peak, typicalJPerMm2: 0 };
  let seen = 0;
  let middle = 0;
  while ((seen += bins[middle]!) < marked / 2) middle++;
  return { peakJPerMm2: peak, typicalJPerMm2: middleOfBin(middle) };
}

/** The deepest place, and what it lies between on such boards. */
function deepestOf(made: Forecast) {
  const { depthMm } = made.burn;
  const { data } = made.dose.grid;
  const at = deepestCell(depthMm, data);
  const deepestMm = depthMm[at] ?? 0;
  if (deepestMm === 0) return { deepestMm, deepestLowMm: 0, deepestHighMm: 0 };
  const place = deepestPlace(made, deepestMm, data[at]!);
  const span =
    place < 0 ? startEngravedIn(made, at)(data[at]!) : engravedOnLine(made, doseAtPlace(made.lines, place));
  const times = span.depthMm > 0 ? deepestMm / span.depthMm : 1;
  const most = made.stock?.thicknessMm ?? Infinity;
  return {
    deepestMm,
    deepestLowMm: Math.min(deepestMm, span.depthLowMm * times),
    deepestHighMm: Math.min(most, Math.max(deepestMm, span.depthHighMm * times)),
  };
}

/**
 * The deepest of all cells; of those that are through, which are all as deep as the board is thick, the one that got most.
 * A loop: a call for each of tens of millions of cells takes seconds.
 */
function deepestCell(depthMm: Float32Array, data: Float32Array): number {
  let at = 0;
  for (let k = 1; k < depthMm.length; k++) {
    if (depthMm[k]! < depthMm[at]!) continue;
    if (depthMm[k]! > depthMm[at]! || data[k]! > data[at]!) at = k;
  }
  return at;
}

/** The place on a line in such a cell that gets most, and more than the cell's mean; −1: none does. */
function deepestPlace({ burn, lines }: Forecast, deepestMm: number, cellJPerMm2: number): number {
  const { places, dose } = lines;
  let at = -1;
  let mostJPerMm2 = cellJPerMm2;
  for (let k = 0; k < places.count; k++) {
    if (!(dose.doseJPerMm2[k]! > mostJPerMm2)) continue;
    const cell = cellAt(burn.frame, places.xMm[k]!, places.yMm[k]!);
    if (cell < 0 || burn.depthMm[cell]! < deepestMm) continue;
    at = k;
    mostJPerMm2 = dose.doseJPerMm2[k]!;
  }
  return at;
}

const middleOfBin = (bin: number): number =>
  new Float32Array(Uint32Array.of((bin << BIN_SHIFT) | (1 << (BIN_SHIFT - 1))).buffer)[0]!;

function darkestCornerOf({ findings }: Forecast): Sums['darkestCorner'] {
  const corners = findings
    .filter(({ kind }) => kind === 'dark-corner')
    .map(({ measure }) => ({
      doseJPerMm2: Number(measure.dose_j_mm2),
      timesStraight: Number(measure.times_straight),
    }));
  return corners.sort((p, q) => q.doseJPerMm2 - p.doseJPerMm2)[0] ?? null;
}

/** Why nothing is told of a job's cuts, in words; null: something is. */
function noCutWords({ cuts, stock, program }: Forecast): string | null {
  if (program.finishesCut) return 'finishes a cut';
  if (turningAxes(program).length > 0) return 'the piece turns or moves';
  if ((stock?.thicknessMm ?? null) === null) return 'thickness not known';
  if (cuts.length === 0) return 'no cut in it';
  return onBoard(cuts).length === 0 ? 'all beside the board' : null;
}

/** Why it is not told on how many boards a job comes through, in words; null: it is. */
export const noChanceWords = (forecast: Forecast): string | null =>
  noCutWords(forecast) ??
  (forecast.cuts.some(({ besideShare }) => besideShare > 0) ? 'not all on the board' : null);

/** The cuts of which something comes onto the wood. */
const onBoard = (cuts: Forecast['cuts']): Forecast['cuts'] =>
  cuts.filter(({ besideShare }) => besideShare < 1);

const leastOrNull = (values: readonly number[]): number | null =>
  values.length === 0 ? null : leastOf(values);
