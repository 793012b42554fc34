import { describe, expect, test } from 'vitest';
import { plainMeanForTone, seenAsArea, startSeenTimes } from '../../src/burn/seen-area.ts';
import { plainDoseForTone, toneOfPlainDose } from '../../src/burn/tone.ts';
import { pointsOf } from '../../src/chart/points.ts';
import { forecast } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { readWant } from '../../src/suggest/want.ts';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { wood } from '../burn/anything.ts';
import { machineWith } from '../support/machines.ts';
import { rowsJob } from '../support/setting-jobs.ts';

/** Rows that do not run together: suggestion, chart and forecast tell one tone and one depth. */

const material = wood('poplar plywood');
const WIDTH_MM = 0.1;
const machineOf = (shape: 'gaussian' | 'uniform-rectangle') =>
  machineWith({ laser: { optical_power_w: 5 }, spot: { shape, width_mm: [WIDTH_MM, WIDTH_MM] } });
const stock = { widthMm: 60, heightMm: 30, thicknessMm: 4, xMm: 0, yMm: 0 };

describe('what is suggested for rows so many spots apart comes out as it was said', () => {
  test.each([
    ['gaussian', 0.5, 'brown'],
    ['gaussian', 1, 'brown'],
    ['gaussian', 1.5, 'brown'],
    ['gaussian', 2, '30%'],
    ['gaussian', 3, '30%'],
    ['gaussian', 5, '15%'],
    ['gaussian', 6, 'brown'],
    ['uniform-rectangle', 1.5, 'brown'],
    ['uniform-rectangle', 5, 'tan'],
  ] as const)('%s, %d spots, %s', (shape, spots, want) => {
    const machine = machineOf(shape);
    const rowSpacingMm = spots * WIDTH_MM;
    const options = { thicknessMm: 4, rowSpacingMm, rowLengthMm: 20 };
    const [made] = suggest(readWant(want), material, machine, options).suggestions;
    const { outcome, engraved } = made!;
    const feedMmPerMin = mmPerSToMmPerMin(made!.speedMmPerS);
    const text = rowsJob({ feedMmPerMin, s: made!.s, rowSpacingMm, overscanMm: made!.runUpMm + 1 });
    const [engraving] = forecast(text, machine, material, { stock, cellMm: 0.05 }).engravings;
    // As near as dense rows come, whose small patch is a little cooler than the square that is told.
    for (const tone of [outcome.tone, engraved.tone])
      expect(Math.abs(engraving!.tone - tone)).toBeLessThan(spots < 1 ? 0.05 : 0.02);
    for (const depthMm of [outcome.depthMm, engraved.depthMm])
      expect(Math.abs(engraving!.depthMm - depthMm)).toBeLessThan(0.02 + 0.03 * depthMm);
    expect(Math.abs(engraving!.depthHighMm - engraved.depthHighMm)).toBeLessThan(
      0.02 + 0.03 * engraved.depthHighMm,
    );

    const program = readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
    const [point] = pointsOf(program, { machine, material, thicknessMm: 4 });
    expect(Math.abs(point!.engraved.tone - engraving!.tone)).toBeLessThan(0.03);
    expect(Math.abs(point!.engraved.depthMm - engraving!.depthMm)).toBeLessThan(
      0.02 + 0.03 * engraving!.depthMm,
    );
  });

  test('where so much stays pale that no burned line makes up for it, that is said', () => {
    const why = (spots: number, thicknessMm: number | null) =>
      suggest(readWant('brown'), material, machineOf('gaussian'), {
        thicknessMm,
        rowSpacingMm: spots * WIDTH_MM,
      }).impossible;
    expect(why(3, 4)).toMatch(
      /rows 0\.3 mm apart leave so much of it pale between them that their lines would have to go deeper than 1 mm\. Lay them 0\.045 mm apart\.$/,
    );
    expect(why(5, null)).toMatch(/rows 0\.5 mm apart leave so much of it pale/);
    expect(why(1, 4)).toBeNull();
  });
});

describe('an area of lines', () => {
  // Half of it gets twice its mean, half of it nothing: then it has half the tone of twice the dose.
  const half = [2, 0];

  test('has the mean of its tones', () => {
    const lit = { dwellS: 0.003, material, wavelengthNm: material.marked_with_nm };
    for (const tone of [0.05, 0.2, 0.4]) {
      const plain = plainMeanForTone(half, tone, material);
      expect(2 * plain).toBeCloseTo(plainDoseForTone(2 * tone, material), 9);
      expect(toneOfPlainDose(plain * startSeenTimes(half, material)(plain), material)).toBeCloseTo(tone, 3);
      const seen = seenAsArea(half, plain, lit);
      expect(seen.deepTimes * seen.doseJPerMm2).toBeCloseTo(2 * plain, 9);
    }
  });

  test('is never darker than what the bare half leaves', () => {
    expect(plainMeanForTone(half, 0.51, material)).toBe(Infinity);
  });
});
