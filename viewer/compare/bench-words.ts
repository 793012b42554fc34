import { numberWords } from '../../src/words.ts';
import { isSame } from '../state/same.ts';
import type { Setup } from '../worker/messages.ts';

/** What a job is burned on: everything that is not the job's own. */
type BenchTop = Pick<Setup, 'machine' | 'material' | 'stock'>;

/** On what two jobs are burned, each by its letter; once where it is the same for both. */
export function benchesWords(a: BenchTop, b: BenchTop): readonly string[] {
  const isShared = (key: keyof BenchTop) => isSame(a[key], b[key]);
  if (isShared('machine') && isShared('material') && isShared('stock')) return [`Both ${benchWords(a)}`];
  // Machines of one name and power can still differ in the rest.
  const isLong = !isShared('machine') && machineWords(a) === machineWords(b);
  return [`A ${benchWords(a, isLong)}`, `B ${benchWords(b, isLong)}`];
}

const benchWords = (of: BenchTop, isLong = false): string =>
  `on ${machineWords(of, isLong)}, in ${of.material.name}${boardWords(of)}.`;

function machineWords({ machine }: BenchTop, isLong = false): string {
  const short = `${machine.name} (${numberWords(machine.laser.optical_power_w, 4)} W)`;
  if (!isLong) return short;
  const spot = machine.spot.width_mm.map((mm) => numberWords(mm, 4)).join(' × ');
  const [ax, ay] = machine.acceleration_mm_s2.map((a) => numberWords(a, 5));
  return `${short} with a spot of ${spot} mm and ${ax} and ${ay} mm/s²`;
}

function boardWords({ stock }: BenchTop): string {
  if (!stock) return ' of unknown size';
  const { widthMm, heightMm, thicknessMm } = stock;
  const thick = thicknessMm === null ? '' : `, ${numberWords(thicknessMm, 4)} mm thick`;
  return ` of ${numberWords(widthMm, 4)} × ${numberWords(heightMm, 4)} mm${thick}`;
}
