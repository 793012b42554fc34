import { needAt, needOf } from '../../src/burn/need.ts';
import type { Forecast } from '../../src/forecast.ts';
import { channelsOf } from '../../src/picture/tone.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { doseCode, doseOfCode } from '../worker/dose-code.ts';
import { MAPS, type MapRow } from './maps.ts';

/** The scale of how sure a tone is ends here: wider ranges are rare. */
export const MOST_RANGE = 0.5;
const SIZE = 256;

type Benched = Pick<Forecast, 'material' | 'machine' | 'stock' | 'operations'>;
const known = new WeakMap<Benched, (doseJPerMm2: number) => number>();

/**
 * How wide the range of the tone is that such boards make of a dose, where the beam stays as long as it does in the
 * first operation; worked out once for a forecast.
 */
export function toneRangeOf(forecast: Benched): (doseJPerMm2: number) => number {
  const before = known.get(forecast);
  if (before) return before;
  const { material, machine, stock, operations } = forecast;
  const { laser, spot } = machine;
  const feed = operations[0]?.operation.feedMmPerS ?? 10;
  const dwellS = Math.sqrt(spot.width_mm[0] * spot.width_mm[1]) / feed;
  const need = needAt(needOf(material, laser.wavelength_nm), dwellS);
  const { plainJPerMm2, widths } = startSureness(
    material,
    machine,
    stock ?? { thicknessMm: null },
  ).toneRanges(dwellS);
  const rangeOf = (doseJPerMm2: number): number => {
    const plain = doseJPerMm2 / need;
    const at = plainJPerMm2.findIndex((dose) => dose >= plain);
    return at < 0 ? 0 : widths[at]!;
  };
  known.set(forecast, rangeOf);
  return rangeOf;
}

/** Colours by dose, from … to J/mm² by ratio: how wide the range of the tone is. */
export function sureRow(forecast: Benched, from: number, to: number): MapRow {
  const rangeOf = toneRangeOf(forecast);
  const [low, high] = [doseCode(from), doseCode(to)];
  const row = new Uint8Array(SIZE * 4);
  for (let k = 0; k < SIZE; k++) {
    const range = rangeOf(doseOfCode(low + ((high - low) * k) / (SIZE - 1)));
    const [r, g, b] = channelsOf(MAPS.sure(Math.min(1, range / MOST_RANGE)));
    row.set([r, g, b, 255], 4 * k);
  }
  return row;
}
