import { describe, expect, test } from 'vitest';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastProgram } from '../../src/forecast.ts';
import { demoForecast } from '../support/demo-forecasts.ts';
import { poplar, told } from './pairs.ts';

describe('the first try at a marker', () => {
  test('has its real faults: dark row ends, dark corners and dots, and no cut', async () => {
    const { findings, program } = await demoForecast('marker');
    expect(findings.map(({ kind, operation }) => [kind, operation])).toEqual([
      ['dark-row-end', 1],
      ['dark-start-stop', 2],
      ['dark-corner', 2],
      ['not-through', 3],
    ]);
    const [rowEnd, , corner, cut] = findings;
    // The bench gantry turns 50 mm/s in 50²/(2·500) = 2.5 mm.
    expect(rowEnd!.measure).toMatchObject({ needed_mm: 2.5, overscan_mm: 2.7 });
    // The frame has four notches of two corners each; the leaves' points are the others.
    expect(corner!.measure.count).toBeGreaterThanOrEqual(8);
    expect(cut!.measure).toMatchObject({ passes: 2, thickness_mm: 4 });
    for (const { line } of findings) expect(line).toBeLessThanOrEqual(program.lineCount);
  });

  test('is sound with all that is advised', async () => {
    const made = await demoForecast('marker');
    const { machine } = made;
    const changes = parseChanges(made.findings.map(({ advice }) => advice!.change).join('; '));
    const changed = changeProgram(made.program, changes, machine);
    const { findings } = forecastProgram(changed, machine, poplar, { stock: made.stock });
    expect(findings.map(told)).toEqual([]);
  });
});

// Proportional power, overscan and passes enough: nothing to tell, not even a note.
test.each(['marker-careful', 'marker-set', 'sign'] as const)('%s has none', async (name) => {
  expect((await demoForecast(name)).findings.map(told)).toEqual([]);
});
