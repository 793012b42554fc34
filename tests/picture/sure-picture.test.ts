import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import { demoJobs } from '../../src/demo/index.ts';
import { forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { surePictureOf } from '../../src/picture/sure-picture.ts';
import { toneRangeMap } from '../../src/picture/tone-ranges.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { bench, board } from '../findings/pairs.ts';
import { rows, square } from '../findings/small-jobs.ts';
import { benchGantry } from '../support/demo-machines.ts';
import { exactWood } from '../sure/exact.ts';
import { expectPicture } from './snapshot.ts';

const poplar = shippedMaterials['poplar plywood']!;
const EMBER = [214, 72, 20];

describe('the map of how sure a forecast is', () => {
  const made = forecast(rows(Array(40).fill(400), 2400, 3), bench(), poplar, { cellMm: 0.04 });
  const sureness = startSureness(poplar, bench(), { thicknessMm: null });

  test('shows the range that is told of the engraving, a little more for its spot’s sake, and none on bare wood', () => {
    const ranges = toneRangeMap(made, sureness);
    const { toneLow, toneHigh } = made.engravings[0]!;
    const there = ranges[cellAt(made.burn.frame, 30, 11)]!;
    // It takes every place for a line, whose dose the spot's width changes as well.
    expect(there).toBeGreaterThan(toneHigh - toneLow - 0.02);
    expect(there).toBeLessThan(1.25 * (toneHigh - toneLow));
    // Beyond the cells that light falls on there is no dose either.
    expect(cellAt(made.burn.frame, 30, 13.5)).toBe(-1);
    expect(ranges[cellAt(made.burn.frame, 30, made.burnBounds.maxYMm + 0.4)]).toBe(0);
  });

  test('shows nothing where all is known', () => {
    const sharp = { ...bench(), plus_minus: { optical_power_percent: 0, spot_width_percent: 0 } };
    const wood = exactWood();
    const ranges = toneRangeMap(made, startSureness(wood, sharp, { thicknessMm: null }));
    expect(ranges.every((range) => range < 1e-6)).toBe(true);
  });

  test('marks a cut that is not for sure, and none that is', () => {
    const marked = (passes: number): number => {
      const cut = forecast(square({ s: 1000, feed: 900, passes }), bench(), poplar, {
        stock: board(4),
        cellMm: 0.2,
      });
      const { data } = surePictureOf(cut, 'a square', drawSvg);
      let count = 0;
      for (let k = 0; k < data.length; k += 4) if (EMBER.every((value, c) => data[k + c] === value)) count++;
      return count;
    };
    expect(marked(8)).toBeGreaterThan(1000);
    expect(marked(16)).toBe(0);
  });

  test('of the demo’s marker is as its snapshot shows', async () => {
    const { stock, readText } = demoJobs.find(({ name }) => name === 'marker')!;
    const made = forecast(await readText(), benchGantry, poplar, { stock, cellMm: 0.1 });
    expectPicture('sure-marker', surePictureOf(made, 'Basil marker, first try', drawSvg));
  });
});
