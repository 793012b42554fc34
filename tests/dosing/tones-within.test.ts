import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { tonesWithin } from '../../src/dosing/tones-within.ts';
import { type ForecastOptions, forecast } from '../../src/forecast.ts';
import { type Bounds, cellAt, middleOfCell } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { machineWith } from '../support/machines.ts';
import { PICTURES, rasterJob, SMALL } from './pictures.ts';

/** A part of a forecast is that part of the whole one. */

const poplar = shippedMaterials['poplar plywood']!;
const raster = rasterJob(PICTURES.waves!, { ...SMALL, widthMm: 6, heightMm: 2 }).replace(/M5\s*$/, '');
const within: Bounds = { minXMm: 5, minYMm: 4.95, maxXMm: 11, maxYMm: 7 };
/** A line before the picture, one through it, one beside it and one far away; none runs through corners of cells. */
const job = `G21 G90\nM3 S500\nG0 X4 Y8\nG1 X12 F1200\n${raster}M3 S400\nG0 X4.013 Y6.007\nG1 X12.021 Y6.631 F1500\nG0 X4 Y7.3\nG1 X12\nG0 X20 Y20\nG1 X26 F600\nM5\n`;

const cases: [name: string, machine: Machine, options: ForecastOptions][] = [
  ['a beam that follows at once', machineWith({ spot: { width_mm: [0.1, 0.1] } }), {}],
  ['one that lags', machineWith({ spot: { width_mm: [0.08, 0.12] }, laser: { rise_time_ms: 0.3 } }), {}],
  ['one that comes late', machineWith({ spot: { width_mm: [0.1, 0.1] }, laser: { beam_delay_ms: 1 } }), {}],
  [
    'a board of its own, no warmth',
    machineWith({ spot: { width_mm: [0.1, 0.1] } }),
    { cool: true, stock: { widthMm: 30, heightMm: 24, thicknessMm: 3, xMm: 0, yMm: 0 } },
  ],
];

describe.each(cases)('with %s', (_, machine, options) => {
  const whole = forecast(job, machine, poplar, options);
  const { s } = whole.program.moves;

  test('every cell within has the tone it has on the whole board, at any S', () => {
    const tonesOf = tonesWithin(within, whole.motion, { machine, material: poplar, options });
    const half = Float64Array.from(s, (each) => each / 2);
    const halfJob = job.replace(/S(\d+)/g, (_word, level: string) => `S${Number(level) / 2}`);
    for (const [at, burn] of [
      [s, whole.burn],
      [half, forecast(halfJob, machine, poplar, options).burn],
    ] as const) {
      const { frame, tone } = tonesOf(at);
      expect(frame.nx * frame.ny).toBeLessThan(burn.tone.length / 3);
      let most = 0;
      let marked = 0;
      for (let cell = 0; cell < tone.length; cell++) {
        const [x, y] = middleOfCell(frame, cell);
        if (x < within.minXMm || x > within.maxXMm || y < within.minYMm || y > within.maxYMm) continue;
        if (tone[cell]! > 0) marked++;
        most = Math.max(most, Math.abs(tone[cell]! - burn.tone[cellAt(burn.frame, x, y)]!));
      }
      expect(marked).toBeGreaterThan(500);
      expect(most).toBeLessThan(1e-5);
    }
  });
});
