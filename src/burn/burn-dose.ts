import type { Dose } from '../dose/dose.ts';
import type { BeamOnWood } from './beam.ts';
import type { Burn } from './burn.ts';
import { depthLaw, depthOfExcess, MAX_DEPTH_MM } from './depth.ts';
import type { Material } from './material.ts';
import { type Need, needOf } from './need.ts';
import { lookUp, octaveTable } from './octave-table.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOfPlainDose } from './tone.ts';

/** What the burn rests on besides dose and wood. */
export interface BurnContext extends BeamOnWood {
  /** Thickness of the stock, mm; null: not known, nothing is said about cutting through. */
  readonly thicknessMm: number | null;
}

/** Arrays to write into, each as long as the grid; what they held is overwritten. */
export interface BurnArrays {
  readonly tone: Float32Array;
  readonly depthMm: Float32Array;
  /** Needed when the thickness is known. */
  readonly through?: Uint8Array | null;
}

export interface BurnWithDwell extends Burn {
  /** Shortest and longest mean dwell of the cells that bear a mark, s; null when none does. See `dwellNotice`. */
  readonly markDwellS: readonly [number, number] | null;
}

/**
 * The wood's answer to a whole dose grid: tone, depth and cut through, cell by cell.
 *
 * @param out arrays to reuse; without it new ones are made. The result is the same.
 * @returns the burn; its depth is at most the stock's thickness. Looked up in tables, so tone is within 1e-4
 *   of `toneOf` and depth within 1e-4 of its own size (or 1e-5 mm) of `depthOf`.
 * @throws {RangeError} when an array of `out` has not the grid's size.
 */
export function burnDose(
  dose: Dose,
  material: Material,
  context: BurnContext,
  out?: BurnArrays,
): BurnWithDwell {
  const { data, ...rest } = dose.grid;
  const { unit: _, ...frame } = rest;
  const size = data.length;
  const { thicknessMm } = context;
  const tone = out?.tone ?? new Float32Array(size);
  const depthMm = out?.depthMm ?? new Float32Array(size);
  const through = thicknessMm === null ? null : (out?.through ?? new Uint8Array(size));
  for (const array of [tone, depthMm, through]) {
    if (array && array.length !== size) {
      throw new RangeError(`invalid out: an array of ${array.length} cells; expected ${size}`);
    }
  }

  const law = depthLaw(material, context);
  const need = needOf(material, context.wavelengthNm);
  const cellLaw: CellLaw = {
    leastJPerMm2: material.first_mark_j_mm2.value * need.byDepth,
    needValues: needTable(need),
    toneValues: octaveTable((plain) => toneOfPlainDose(plain, material)).values,
    removalPlain: plainDoseForTone(CHAR_BEGINS_TONE, material),
    depthValues: octaveTable((excess) => depthOfExcess(law, excess)).values,
    deepestMm: thicknessMm ?? MAX_DEPTH_MM,
  };
  const lnDwellRange = Float64Array.of(Infinity, -Infinity);
  for (let from = 0; from < size; from += SPAN) {
    const to = Math.min(size, from + SPAN);
    answerSpan(data, dose.doseLnDwell, cellLaw, tone, depthMm, from, to, lnDwellRange);
  }
  if (through !== null) {
    // Single precision may round the thickness up: compare with what a depth array can hold.
    const whole = Math.fround(cellLaw.deepestMm);
    for (let k = 0; k < size; k++) through[k] = depthMm[k]! >= whole ? 1 : 0;
  }
  const shortest = lnDwellRange[0]!;
  const longest = lnDwellRange[1]!;
  const markDwellS = shortest > longest ? null : ([Math.exp(shortest), Math.exp(longest)] as const);
  return { frame, tone, depthMm, through, markDwellS };
}

/** Everything a cell is asked, as scalars and tables. */
interface CellLaw {
  /** No shorter dwell marks below this, J/mm². */
  readonly leastJPerMm2: number;
  /** Need over ln dwell, see {@link needTable}. */
  readonly needValues: Float32Array;
  /** Octave tables: tone over plain dose, depth in mm over excess dose. */
  readonly toneValues: Float32Array;
  readonly depthValues: Float32Array;
  /** Plain dose at which removal begins, J/mm². */
  readonly removalPlain: number;
  readonly deepestMm: number;
}

/** Cells answered at a call: short enough that the engine soon runs the whole loop compiled. */
const SPAN = 16_384;

/**
 * The hot loop, over cells `from` … `to` − 1. Widens `lnDwellRange`, the least and greatest ln dwell of marked
 * cells.
 */
function answerSpan(
  data: Float32Array,
  doseLnDwell: Float32Array,
  law: CellLaw,
  tone: Float32Array,
  depthMm: Float32Array,
  from: number,
  to: number,
  lnDwellRange: Float64Array,
): void {
  const { leastJPerMm2, needValues, toneValues, depthValues, removalPlain, deepestMm } = law;
  let shortest = lnDwellRange[0]!;
  let longest = lnDwellRange[1]!;
  for (let k = from; k < to; k++) {
    const dose = data[k]!;
    if (!(dose > leastJPerMm2)) {
      tone[k] = 0;
      depthMm[k] = 0;
      continue;
    }
    const lnDwell = doseLnDwell[k]! / dose;
    const at = Math.min(NEED_TOP, Math.max(0, (lnDwell - LN_DWELL_LOW) * NEED_PER_LN));
    const below = at | 0;
    const low = needValues[below]!;
    const need = low + (needValues[below + 1]! - low) * (at - below);
    const t = lookUp(toneValues, dose / need);
    tone[k] = t;
    const excess = dose - removalPlain * need;
    depthMm[k] = excess > 0 ? Math.min(deepestMm, lookUp(depthValues, excess)) : 0;
    if (t > 0) {
      if (lnDwell < shortest) shortest = lnDwell;
      if (lnDwell > longest) longest = lnDwell;
    }
  }
  lnDwellRange[0] = shortest;
  lnDwellRange[1] = longest;
}

/** From 1 µs to about two and a half hours; dwells beyond are taken as those. */
const LN_DWELL_LOW = Math.log(1e-6);
const LN_DWELL_HIGH = Math.log(1e4);
const NEED_STEPS = 2048;
const NEED_PER_LN = NEED_STEPS / (LN_DWELL_HIGH - LN_DWELL_LOW);
/** Just below the last sample, so that the one after it exists. */
const NEED_TOP = NEED_STEPS - 1e-6;

/** Need at even steps of ln dwell; straight between them it is off by less than 1e−5 of itself. */
function needTable({ byDepth, bySqrtS }: Need): Float32Array {
  return Float32Array.from(
    { length: NEED_STEPS + 1 },
    (_, k) => byDepth + bySqrtS * Math.exp((LN_DWELL_LOW + k / NEED_PER_LN) / 2),
  );
}
