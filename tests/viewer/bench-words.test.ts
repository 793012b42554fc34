import { expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { benchesWords } from '../../viewer/compare/bench-words.ts';
import { machineWith } from '../support/machines.ts';

const bench = {
  machine: machineWith({ name: 'small gantry', laser: { optical_power_w: 5 } }),
  material: shippedMaterials['poplar plywood']!,
  stock: { widthMm: 130, heightMm: 32, thicknessMm: 4, xMm: 0, yMm: 0 },
};

test('one machine, wood and board for both are named once', () => {
  expect(benchesWords(bench, { ...bench, machine: { ...bench.machine } })).toEqual([
    'Both on small gantry (5 W), in poplar plywood of 130 × 32 mm, 4 mm thick.',
  ]);
});

test('what differs is named for either side', () => {
  const strong = machineWith({ name: 'small gantry', laser: { optical_power_w: 10 } });
  expect(benchesWords(bench, { machine: strong, material: shippedMaterials.beech!, stock: null })).toEqual([
    'A on small gantry (5 W), in poplar plywood of 130 × 32 mm, 4 mm thick.',
    'B on small gantry (10 W), in beech of unknown size.',
  ]);
});

test('machines alike in name and power are told apart by the rest', () => {
  const [a, b] = benchesWords(bench, {
    ...bench,
    machine: { ...bench.machine, acceleration_mm_s2: [900, 800, 50] },
  });
  expect(a).not.toBe(b);
  expect(b).toContain('900 and 800 mm/s²');
});
