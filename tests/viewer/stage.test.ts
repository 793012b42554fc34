import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { BroughtJob } from '../../src/cli/viewer/page.ts';
import { machineWith } from '../support/machines.ts';
import { SLOW, settle, shot, still, useWorld } from './world.ts';

const world = useWorld();

/** A job of our own on a board of 50 × 50 mm, with a spot so fine that rows stand apart. */
const jobOf = (text: string, laser: object = {}): BroughtJob => ({
  name: 'rows.nc',
  title: 'rows',
  about: '',
  text,
  machine: machineWith({
    lookahead_moves: 16,
    laser: { optical_power_w: 10, ...laser },
    spot: { width_mm: [0.08, 0.1] },
  }),
  material: shippedMaterials['birch plywood']!,
  stock: { widthMm: 50, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 },
  cellMm: null,
  notes: [],
});

/** Rows 0.2 mm apart over 40 × 40 mm, the first at y. */
function rowsFrom(yMm: number): string {
  const lines = ['G21 G90', 'M4 S0'];
  for (let k = 0; k < 200; k++) {
    const y = (yMm + 0.2 * k).toFixed(3);
    const [from, to] = k % 2 === 0 ? [5, 45] : [45, 5];
    lines.push(`G0 X${from} Y${y}`, `G1 X${to} S500 F3000`);
  }
  return `${lines.join('\n')}\nM5\n`;
}

/** The mean brightness of each line of pixels over the middle fifth of a picture, 0…255. */
function brightnessByLine(png: Buffer): number[] {
  const { width, height, data } = PNG.sync.read(png);
  const from = Math.round(width * 0.4);
  const to = Math.round(width * 0.6);
  return Array.from({ length: height }, (_, y) => {
    let sum = 0;
    for (let x = from; x < to; x++) {
      const k = 4 * (y * width + x);
      sum += 0.3 * data[k]! + 0.59 * data[k + 1]! + 0.11 * data[k + 2]!;
    }
    return sum / (to - from);
  });
}

const furthest = (a: readonly number[], b: readonly number[]): number =>
  Math.max(...a.map((value, k) => Math.abs(value - b[k]!)));

/** The lines of pixels well inside the rows, of a whole board seen from above. */
const inside = (lines: readonly number[]): number[] =>
  lines.slice(Math.round(lines.length * 0.25), Math.round(lines.length * 0.55));

/** How far brightness may differ, of 255: tone and dose are kept in bytes, and a dose has a steep map. */
const MOST_APART = { 1: 9, 2: 9, 3: 4, 4: 4, 6: 4 } as const;

describe('from afar', () => {
  test(
    'rows finer than pixels come out as their mean, without bands',
    async () => {
      const views = [1, 2, 3, 4, 6] as const;
      const seen = async (yMm: number, height: number) => {
        const own = await world.open({
          jobs: [jobOf(rowsFrom(yMm))],
          viewport: { width: 760, height },
        });
        await settle(own);
        await own.keyboard.press('f');
        await own.keyboard.press('t');
        const lines = [];
        for (const view of views) {
          await own.keyboard.press(String(view));
          await still(own);
          lines.push(inside(brightnessByLine(await shot(own))));
        }
        await own.context().close();
        return lines;
      };
      // Where the rows lie against the pixels must not matter: bands would move when the rows do.
      for (const height of [420, 600]) {
        const [one, other] = [await seen(5, height), await seen(5.08, height)];
        for (const [k, view] of views.entries())
          expect(furthest(one[k]!, other[k]!), `view ${view} at ${height}`).toBeLessThan(MOST_APART[view]);
      }
    },
    3 * SLOW,
  );
});
