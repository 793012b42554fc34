import { shippedMaterials } from '../../src/burn/shipped.ts';
import { machineWith } from '../support/machines.ts';
import { type Tried, tryWorkshop } from './simulate.ts';
import { swatchTrial, trySwatch } from './swatch-workshop.ts';

/**
 * The proof at length: `npx tsx tests/outcome/workshops.ts 400` says what learning is worth, `… 400 mixed` the part of it,
 * `… 100 swatch` what one swatch is worth.
 */

const count = Number(process.argv[2] ?? 100);
const only = process.argv[3];
const trial = {
  material: shippedMaterials['poplar plywood']!,
  machine: machineWith({ spot: { width_mm: [0.15, 0.15] } }),
};
type Asked = Omit<Tried, 'flagged'>;
const share = <T extends Asked>(list: readonly T[], of: (tried: T) => boolean) =>
  `${((100 * list.filter(of).length) / list.length).toFixed(1)} %`;
const typical = (list: readonly Asked[], of: (tried: Asked) => number) =>
  Math.sqrt(list.reduce((sum, each) => sum + of(each) ** 2, 0) / list.length);

for (const [name, more] of [
  ['one burn, mixed up', { burns: 1, mixedUp: true }],
  ['five burns', { burns: 5 }],
  ['five burns, mixed up', { burns: 5, mixedUp: true }],
] as const) {
  if (only && !name.includes(only)) continue;
  const list = Array.from({ length: count }, (_, k) => tryWorkshop({ ...trial, ...more }, k + 1));
  console.log(`${name}: ${worthOf(list)}; flagged ${share(list, (each) => each.flagged > 0)}`);
}

if (!only || 'one swatch'.includes(only)) {
  const swatch = swatchTrial(trial.material, trial.machine, [80, 50]);
  const list = Array.from({ length: count }, (_, k) => trySwatch(swatch, k + 1));
  for (const { refused } of list) if (refused !== null) console.log(refused);
  console.log(`one swatch: ${worthOf(list)}; refused ${share(list, (each) => each.refused !== null)}`);
}

function worthOf(list: readonly Asked[]): string {
  const [before, after] = [typical(list, (each) => each.before), typical(list, (each) => each.after)];
  return `tone error ${before.toFixed(3)} → ${after.toFixed(3)} (${(after / before).toFixed(2)}); 19 of 20 came through on ${share(list, (each) => each.sureCame)} (before ${share(list, (each) => each.sureCameBefore)}), half on ${share(list, (each) => each.halfCame)}`;
}
