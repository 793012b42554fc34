import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { isSwatchJob } from '../../src/program/swatch-job.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { square } from '../findings/small-jobs.ts';
import { benchGantry, workshopGantry } from '../support/demo-machines.ts';
import { machineWith } from '../support/machines.ts';

/** The swatch's own job, forecast as any other: it says what it is. */

/** Small, and seen on coarse cells: what is said goes by the ways burned. */
const board = (thicknessMm: number | null, widthMm = 80) => ({
  widthMm,
  heightMm: 50,
  thicknessMm,
  xMm: 0,
  yMm: 0,
});
const CELL_MM = 0.3;
const poplar = shippedMaterials['poplar plywood']!;

describe('the forecast of a swatch', () => {
  test.each([
    ['bench gantry', benchGantry, board(4)],
    ['workshop gantry', workshopGantry, board(3)],
    ['board of unknown thickness', benchGantry, board(null)],
    ['beam on an output pin', machineWith({ laser: { power_words: 'M106', s_max: 255 } }), board(3)],
  ])('%s: says that it is one and tells of no cut, tone or depth', (_, machine, stock) => {
    const { gcode } = makeSwatch(machine, stock);
    const { findings, cuts, notes } = forecast(gcode, machine, poplar, { stock, cellMm: CELL_MM });
    expect(findings).toEqual([]);
    expect(cuts).toEqual([]);
    expect(notes[0]).toMatch(/^This is a calibration swatch of Charcast: .* on purpose/);
  });

  test('of the same job without its first line is that of any job: a wall of cuts', () => {
    const stock = board(4);
    const { gcode } = makeSwatch(benchGantry, stock);
    const bare = gcode.slice(gcode.indexOf('\n') + 1);
    const { findings, cuts } = forecast(bare, benchGantry, poplar, { stock, cellMm: CELL_MM });
    expect(cuts.length).toBeGreaterThan(3);
    expect(findings.filter(({ kind }) => kind === 'not-through').length).toBeGreaterThan(2);
  });

  test('still tells what endangers table and machine', () => {
    const { gcode } = makeSwatch(benchGantry, board(4));
    const { findings } = forecast(gcode, benchGantry, poplar, { stock: board(4, 60), cellMm: CELL_MM });
    expect(findings.map(({ kind }) => kind)).toContain('off-stock');
  });

  test('is not that of another job with the same first line', () => {
    const text = `; calibration swatch 1234 for some gantry\n${square({ s: 500, feed: 600 })}`;
    const program = readProgram(text, readOptions(benchGantry));
    expect(program.titledSwatch).toBe(true);
    expect(isSwatchJob(program)).toBe(false);
    expect(forecast(text, benchGantry, poplar).notes.join()).not.toMatch(/calibration/);
  });
});
