import { expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { sureRow } from '../../viewer/stage/sure-map.ts';
import { bench, board } from '../findings/pairs.ts';
import { rows } from '../findings/small-jobs.ts';
import { exactWood } from '../sure/exact.ts';

const made = forecast(rows(Array(40).fill(400), 2400, 3), bench(), shippedMaterials['poplar plywood']!, {
  stock: board(4),
  cellMm: 0.2,
});
const darkness = (row: Uint8Array, k: number) => 255 * 3 - row[4 * k]! - row[4 * k + 1]! - row[4 * k + 2]!;

test('how sure a tone is, by dose: least in between, and plain where nothing or all is burned', () => {
  const row = sureRow(made, 0.05, 20);
  const all = Array.from({ length: 256 }, (_, k) => darkness(row, k));
  const darkest = all.indexOf(Math.max(...all));
  // Of 0.05 to 20 J/mm² by ratio brown lies between a quarter and six tenths of the way.
  expect(darkest / 255).toBeGreaterThan(0.2);
  expect(darkest / 255).toBeLessThan(0.6);
  expect(all[0]!).toBeLessThan(0.1 * all[darkest]!);
  expect(all[255]!).toBeLessThan(0.1 * all[darkest]!);
});

test('a wood and a machine that are known leave no range at any dose', () => {
  const known = { ...bench(), plus_minus: { optical_power_percent: 0, spot_width_percent: 0 } };
  const row = sureRow({ ...made, material: exactWood(), machine: known }, 0.05, 20);
  const all = Array.from({ length: 256 }, (_, k) => darkness(row, k));
  expect(new Set(all).size).toBe(1);
});
