import { startNeedTimes } from '../burn/firing.ts';
import { needAt, needOf } from '../burn/need.ts';
import { plainDoseForTone } from '../burn/tone.ts';
import type { Forecast } from '../forecast.ts';
import type { Sureness } from '../sure/come-through.ts';

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
  const { plainJPerMm2, widths } = sureness.toneRanges(Math.exp(sumLnDwell / sum));
  const need = needOf(material, machine.laser.wavelength_nm);
  const [least, most] = [plainJPerMm2[0]!, plainJPerMm2.at(-1)!];
  const perLn = (plainJPerMm2.length - 1) / Math.log(most / least);
  const times = new Float32Array(data.length).fill(1);
  if (firings) startNeedTimes(dose.grid, firings, material).fill(0, data.length, data, 0, times);
  for (let k = 0; k < data.length; k++) {
    const there = data[k]! / times[k]!;
    if (!(there > 0)) continue;
    const tone = burn.tone[k]!;
    // Where the picture shows more than the cell's own dose gives, a line runs through it.
    const shown = tone > 0 && tone < 1 ? plainDoseForTone(tone, material) : 0;
    const plain = Math.max(shown, there / needAt(need, Math.exp(dose.doseLnDwell[k]! / data[k]!)));
    const at = Math.log(plain / least) * perLn;
    if (!(at > 0) || at >= widths.length - 1) continue;
    const below = Math.floor(at);
    ranges[k] = widths[below]! + (widths[below + 1]! - widths[below]!) * (at - below);
  }
  return ranges;
}
