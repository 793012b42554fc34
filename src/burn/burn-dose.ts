import type { Dose, DoseHeight } from '../dose/dose.ts';
import type { LineDose } from '../dose/land.ts';
import { cellAt, cellsAlong, type GridFrame } from '../grid.ts';
import { lately } from '../lately.ts';
import { type BeamOnWood, rayleighMm } from './beam-on-wood.ts';
import type { Burn } from './burn.ts';
import { type DepthLaw, depthLaw, depthOfExcess, MAX_DEPTH_MM } from './depth.ts';
import { type Firings, startNeedTimes } from './firing.ts';
import type { Material } from './material.ts';
import { type Need, needOf } from './need.ts';
import { lookUp, octaveTable } from './octave-table.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOfPlainDose } from './tone.ts';

/** What the burn rests on besides dose and wood; the head's height comes with the dose. */
export interface BurnContext extends Omit<BeamOnWood, 'headZMm'> {
  /** Thickness of the stock, mm; null: not known, nothing is said about cutting through. */
  readonly thicknessMm: number | null;
  /** How often and how warm places were fired; without it each counts as fired once, cool. */
  readonly firings?: Firings | null;
}

export interface BurnWithDwell extends Burn {
  /** Shortest and longest mean dwell of the cells that bear a mark, s; null when none does. See `dwellNotice`. */
  readonly markDwellS: readonly [number, number] | null;
}

/**
 * The wood's answer to a whole dose grid: tone, depth and cut through, cell by cell.
 *
 * @param dose J/mm² and dwell on a grid of ny rows of nx cells, row 0 the lowest y.
 * @param over a burn nobody reads any more: its arrays are written over; where they have another size, and
 *   without it, new ones are made. The result is the same.
 * @param lines what lines get on their path itself. A cell holds a mean, which is 7 to 23 % less than the peak of a line
 *   through it where cells are a third of the spot; so the cells along the path get what the path gets. Cells wider
 *   than the spot would draw the line too wide and keep their mean.
 * @returns the burn; its depth is at most the stock's thickness. Looked up in tables, so tone is within 1e-4
 *   of `toneOf` and depth within 1e-4 of its own size (or 1e-5 mm) of `depthOf`.
 */
export function burnDose(
  dose: Dose,
  material: Material,
  context: BurnContext,
  over: Burn | null = null,
  lines: LineDose | null = null,
): BurnWithDwell {
  const { nx, ny, x0Mm, y0Mm, cellMm, data } = dose.grid;
  // Written out, not what is left of the grid: what is compiled for such a frame would be thrown away with the last one.
  const frame = { nx, ny, x0Mm, y0Mm, cellMm };
  const size = data.length;
  const { thicknessMm } = context;
  const tone = zeros(over?.tone, Float32Array, size);
  const depthMm = zeros(over?.depthMm, Float32Array, size);
  const through = thicknessMm === null ? null : zeros(over?.through, Uint8Array, size);

  const need = needOf(material, context.wavelengthNm);
  const times = context.firings ? startNeedTimes(frame, context.firings, material) : null;
  const cellLaw: CellLaw = {
    leastJPerMm2: material.first_mark_j_mm2.value * need.byDepth * (times?.least ?? 1),
    times: new Float32Array(SPAN).fill(1),
    needValues: needTable(need),
    toneValues: toneTable(material),
    removalPlain: plainDoseForTone(CHAR_BEGINS_TONE, material),
    depthTables: depthTables(dose.height, material, context),
    deepestMm: thicknessMm ?? MAX_DEPTH_MM,
  };
  const answer = { tone, depthMm, through };
  const lnDwellRange = Float64Array.of(Infinity, -Infinity);
  for (let begin = 0; begin < size; begin += SPAN) {
    const end = Math.min(size, begin + SPAN);
    const from = firstAbove(cellLaw.leastJPerMm2, data, begin, end);
    // Most of a board is bare.
    if (from === end) continue;
    times?.fill(from, end, data, cellLaw.leastJPerMm2, cellLaw.times);
    answerSpan(dose, cellLaw, answer, from, end, lnDwellRange);
    if (dose.height.doseAbove) deepenSpan(dose, cellLaw, answer, from, end);
  }
  if (lines && dose.grid.cellMm <= Math.min(...context.spot.width_mm)) {
    drawLines(lines, dose.grid, cellLaw, dose.height, answer);
  }
  const shortest = lnDwellRange[0]!;
  const longest = lnDwellRange[1]!;
  const markDwellS = shortest > longest ? null : ([Math.exp(shortest), Math.exp(longest)] as const);
  return { frame, tone, depthMm, through, markDwellS };
}

/** An array of zeros: the given one where its size fits, else a new one. */
const zeros = <T extends { length: number; fill(value: number): T }>(
  given: T | null | undefined,
  Kind: new (size: number) => T,
  size: number,
): T => (given?.length === size ? given.fill(0) : new Kind(size));

/** Which of the values from … to − 1 is the first above `least`; `to` where none is. */
function firstAbove(least: number, values: Float32Array, from: number, to: number): number {
  let k = from;
  while (k < to && !(values[k]! > least)) k++;
  return k;
}

/** Everything a cell is asked, as scalars and tables. */
interface CellLaw {
  /** No shorter dwell marks below this, J/mm². */
  readonly leastJPerMm2: number;
  /** Of the cells of the span under way: how many times the need of one cool firing they have. */
  readonly times: Float32Array;
  /** Need over ln dwell, see {@link needTable}. */
  readonly needValues: Float32Array;
  /** Octave tables: tone over plain dose, depth in mm over excess dose. */
  readonly toneValues: Float32Array;
  /** One table of depth for every height of the dose, evenly from the lowest to the highest. */
  readonly depthTables: readonly Float32Array[];
  /** Plain dose at which removal begins, J/mm². */
  readonly removalPlain: number;
  readonly deepestMm: number;
}

/** Cells answered at a call: short enough that the engine soon runs the whole loop compiled. */
const SPAN = 16_384;

/**
 * The hot loop, over cells `from` … `to` − 1 of arrays full of zeros: bare cells stay untouched. Widens
 * `lnDwellRange`, the least and greatest ln dwell of marked cells.
 */
function answerSpan(
  { grid: { data }, doseLnDwell }: Dose,
  law: CellLaw,
  { tone, depthMm, through }: Omit<Burn, 'frame'>,
  from: number,
  to: number,
  lnDwellRange: Float64Array,
): void {
  const { leastJPerMm2, times, needValues, toneValues, depthTables, removalPlain, deepestMm } = law;
  const depthValues = depthTables[0]!;
  let shortest = lnDwellRange[0]!;
  let longest = lnDwellRange[1]!;
  for (let k = from; k < to; k++) {
    const dose = data[k]!;
    if (!(dose > leastJPerMm2)) continue;
    const lnDwell = doseLnDwell[k]! / dose;
    const need = times[k - from]! * needFrom(needValues, lnDwell);
    const t = lookUp(toneValues, dose / need);
    tone[k] = t;
    const depth = lookUp(depthValues, dose - removalPlain * need);
    depthMm[k] = depth;
    if (depth >= deepestMm) {
      depthMm[k] = deepestMm;
      if (through) through[k] = 1;
    }
    if (t > 0) {
      if (lnDwell < shortest) shortest = lnDwell;
      if (lnDwell > longest) longest = lnDwell;
    }
  }
  lnDwellRange[0] = shortest;
  lnDwellRange[1] = longest;
}

/**
 * Depths anew where the head burned at several heights: straight between the two heights next to each cell's mean.
 * Mixed heights are an approximation: passes that went down with the wood are taken as if all had been half-way.
 */
function deepenSpan(
  { grid: { data }, doseLnDwell, height: { lowestMm, highestMm, doseAbove } }: Dose,
  { leastJPerMm2, times, needValues, depthTables, removalPlain, deepestMm }: CellLaw,
  { depthMm, through }: Omit<Burn, 'frame'>,
  from: number,
  to: number,
): void {
  const last = depthTables.length - 1;
  const perMm = last / (highestMm - lowestMm);
  for (let k = from; k < to; k++) {
    const dose = data[k]!;
    if (!(dose > leastJPerMm2)) continue;
    const need = times[k - from]! * needFrom(needValues, doseLnDwell[k]! / dose);
    const excess = dose - removalPlain * need;
    const at = Math.min(last - 1e-9, Math.max(0, (doseAbove![k]! / dose) * perMm));
    const below = at | 0;
    const low = lookUp(depthTables[below]!, excess);
    const depth = low + (lookUp(depthTables[below + 1]!, excess) - low) * (at - below);
    depthMm[k] = Math.min(depth, deepestMm);
    if (through) through[k] = depth >= deepestMm ? 1 : 0;
  }
}

/**
 * Gives every cell that a line's path runs through the tone and depth of the path there; between two places those of
 * the lesser.
 */
function drawLines(
  { places, dose, needTimes }: LineDose,
  frame: GridFrame,
  law: CellLaw,
  { lowestMm, highestMm }: DoseHeight,
  { tone, depthMm, through }: Omit<Burn, 'frame'>,
): void {
  const { count, xMm, yMm, begins } = places;
  const { doseJPerMm2, doseLnDwell, doseAbove } = dose;
  const { toneValues, needValues, depthTables, removalPlain, deepestMm } = law;
  const last = depthTables.length - 1;
  const perMm = last / (highestMm - lowestMm);
  const depthOf = (excess: number, aboveMm: number): number => {
    const at = Math.min(last - 1e-9, aboveMm * perMm);
    const low = lookUp(depthTables[at | 0]!, excess);
    return low + (lookUp(depthTables[(at | 0) + 1]!, excess) - low) * (at - (at | 0));
  };
  const now = { tone: 0.5, depthMm: 0.5 };
  const raise = (cell: number): void => {
    if (now.tone > tone[cell]!) tone[cell] = now.tone;
    if (now.depthMm > depthMm[cell]!) depthMm[cell] = Math.min(now.depthMm, deepestMm);
    if (through && now.depthMm >= deepestMm) through[cell] = 1;
  };
  let toneBefore = 0;
  let depthBefore = 0;
  for (let k = 0; k < count; k++) {
    const there = doseJPerMm2[k]!;
    const need = there > 0 ? (needTimes?.[k] ?? 1) * needFrom(needValues, doseLnDwell[k]! / there) : 1;
    const excess = there - removalPlain * need;
    const toneHere = lookUp(toneValues, there / need);
    const depthHere =
      doseAbove && there > 0 ? depthOf(excess, doseAbove[k]! / there) : lookUp(depthTables[0]!, excess);
    const goesOn = k > 0 && begins[k] === 0;
    if (goesOn) {
      now.tone = Math.min(toneHere, toneBefore);
      now.depthMm = Math.min(depthHere, depthBefore);
      cellsAlong(frame, xMm[k - 1]!, yMm[k - 1]!, xMm[k]!, yMm[k]!, raise);
    }
    now.tone = toneHere;
    now.depthMm = depthHere;
    const cell = cellAt(frame, xMm[k]!, yMm[k]!);
    if (cell >= 0) raise(cell);
    toneBefore = toneHere;
    depthBefore = depthHere;
  }
}

/** Tone over plain dose, as an octave table. */
const toneTable = (material: Material): Float32Array =>
  tonesLately(
    [material.first_mark_j_mm2.value, material.full_char_j_mm2.value],
    () => octaveTable((plain) => toneOfPlainDose(plain, material)).values,
  );

const tonesLately = lately<Float32Array>(16);

const depthTablesOfLaws = new WeakMap<DepthLaw, Float32Array>();

/** Depth over excess dose, as an octave table. */
function depthTable(law: DepthLaw): Float32Array {
  const made = depthTablesOfLaws.get(law) ?? octaveTable((excess) => depthOfExcess(law, excess)).values;
  depthTablesOfLaws.set(law, made);
  return made;
}

/** Heights for which a depth table is made: this part of the Rayleigh length apart, if not too many. */
const HEIGHT_GRAIN = 0.1;
const MOST_HEIGHTS = 64;

/** A table of depth over excess dose for every height from the lowest to the highest, evenly apart. */
function depthTables(height: DoseHeight, material: Material, context: BurnContext): Float32Array[] {
  const { lowestMm, highestMm } = height;
  const spanMm = highestMm - lowestMm;
  const steps =
    spanMm > 0 ? Math.min(MOST_HEIGHTS, Math.ceil(spanMm / (HEIGHT_GRAIN * rayleighMm(context)))) : 0;
  return Array.from({ length: steps + 1 }, (_, k) => {
    const headZMm = lowestMm + (steps > 0 ? (spanMm * k) / steps : 0);
    const law = depthLaw(material, { ...context, headZMm });
    return depthTable(law);
  });
}

/** From 1 µs to about two and a half hours; dwells beyond are taken as those. */
const LN_DWELL_LOW = Math.log(1e-6);
const LN_DWELL_HIGH = Math.log(1e4);
const NEED_STEPS = 2048;
const NEED_PER_LN = NEED_STEPS / (LN_DWELL_HIGH - LN_DWELL_LOW);
/** Just below the last sample, so that the one after it exists. */
const NEED_TOP = NEED_STEPS - 1e-6;

/** Need at a dwell, from its table. */
function needFrom(needValues: Float32Array, lnDwell: number): number {
  const at = Math.min(NEED_TOP, Math.max(0, (lnDwell - LN_DWELL_LOW) * NEED_PER_LN));
  const below = at | 0;
  const low = needValues[below]!;
  return low + (needValues[below + 1]! - low) * (at - below);
}

/** The roots of dwells at even steps of ln dwell, √s. */
const ROOT_DWELLS = Float64Array.from({ length: NEED_STEPS + 1 }, (_, k) =>
  Math.exp((LN_DWELL_LOW + k / NEED_PER_LN) / 2),
);

/** Need at even steps of ln dwell; straight between them it is off by less than 1e−5 of itself. */
function needTable({ byDepth, bySqrtS }: Need): Float32Array {
  const table = new Float32Array(ROOT_DWELLS.length);
  for (let k = 0; k < table.length; k++) table[k] = byDepth + bySqrtS * ROOT_DWELLS[k]!;
  return table;
}
