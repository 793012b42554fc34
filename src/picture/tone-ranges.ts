import { NOT_FOLLOWED, needOfFirings, savedByWarmth, startCounts, startNeedTimes } from '../burn/firing.ts';
import { needAt, needOf } from '../burn/need.ts';
import { plainDoseForTone } from '../burn/tone.ts';
import type { Forecast } from '../forecast.ts';
import type { Sureness } from '../sure/come-through.ts';
import { plainSpan } from '../sure/engraved.ts';

/** The width of the range of every cell's tone; 0 where none of the boards shows anything, or all are black. */
export function toneRangeMap(
  {
    dose,
    burn,
    firings,
    material,
    machine,
  }: Pick<Forecast, 'dose' | 'burn' | 'firings' | 'material' | 'machine'>,
  sureness: Sureness,
): Float32Array {
  const { data } = dose.grid;
  const ranges = new Float32Array(data.length);
  let sum = 0;
  let sumLnDwell = 0;
  for (let k = 0; k < data.length; k++) {
    sum += data[k]!;
    sumLnDwell += dose.doseLnDwell[k]!;
  }
  if (!(sum > 0)) return ranges;
  const dwellS = Math.exp(sumLnDwell / sum);
  const widthsOf = firings
    ? startWidths(sureness, dwellS, material.firing_cost.value)
    : coolWidths(sureness, dwellS);
  const [least, most] = plainSpan(material);
  const lnSpan = Math.log(most / least);
  const need = needOf(material, machine.laser.wavelength_nm);
  const times = new Float32Array(data.length).fill(1);
  const counts = new Float32Array(data.length).fill(1);
  if (firings) {
    startNeedTimes(dose.grid, firings, material).fill(0, data.length, data, 0, times);
    startCounts(dose.grid, firings)(0, data.length, data, 0, counts);
  }
  for (let k = 0; k < data.length; k++) {
    const there = data[k]! / times[k]!;
    if (!(there > 0)) continue;
    const tone = burn.tone[k]!;
    // Where the picture shows more than the cell's own dose gives, a line runs through it.
    const shown = tone > 0 && tone < 1 ? plainDoseForTone(tone, material) : 0;
    const plain = Math.max(shown, there / needAt(need, Math.exp(dose.doseLnDwell[k]! / data[k]!)));
    if (!(plain > least && plain < most)) continue;
    const widths = widthsOf(times[k]!, counts[k]!);
    const at = (Math.log(plain / least) / lnSpan) * (widths.length - 1) * ALMOST;
    const below = Math.floor(at);
    ranges[k] = widths[below]! + (widths[below + 1]! - widths[below]!) * (at - below);
  }
  return ranges;
}

/** Keeps the last place of a table from needing one more. */
const ALMOST = 1 - 1e-12;

/** Places share their ranges that were fired as often to within so much of a logarithm, and that warmth saves as much. */
const FIRINGS_STEP = 0.35;
const SAVED_STEP = 0.1;
const SAVED_STEPS = 16;

/** Widths of ranges by how many times the need of one cool firing a place has, and as how many firings it counts. */
type WidthsOf = (needTimes: number, firings: number) => Float64Array;

function coolWidths(sureness: Sureness, dwellS: number): WidthsOf {
  const widths = sureness.toneRanges(dwellS, NOT_FOLLOWED);
  return () => widths;
}

function startWidths(sureness: Sureness, dwellS: number, cost: number): WidthsOf {
  const known: Float64Array[] = [];
  return (needTimes, firings) => {
    const often = Math.max(0, Math.round(Math.log(firings) / FIRINGS_STEP));
    const saves = Math.max(0, Math.round(savedByWarmth(needTimes, firings, cost) / SAVED_STEP));
    const at = often * SAVED_STEPS + saves;
    known[at] ??= sureness.toneRanges(dwellS, firedAs(often, saves, cost));
    return known[at]!;
  };
}

function firedAs(often: number, saves: number, cost: number) {
  const firings = Math.exp(often * FIRINGS_STEP);
  return { needTimes: needOfFirings(firings, saves * SAVED_STEP, cost), firings };
}
