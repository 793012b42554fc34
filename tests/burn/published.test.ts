import { describe, expect, test } from 'vitest';
import { colourDifference, labOf } from '../../src/burn/colour.ts';
import { bandMeanDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { CHAR_BEGINS_TONE, toneRegion } from '../../src/burn/tone.ts';
import { errorWords, LADDER, ladderTone, publishedChecks, publishedTable } from './published.ts';

describe('what others have published', () => {
  test.each(publishedChecks().map((check) => [check.what, check.source, check] as const))(
    '%s — %s',
    (_what, _source, check) => {
      expect(check.forecast).toBeGreaterThanOrEqual(check.allowed[0]);
      expect(check.forecast).toBeLessThanOrEqual(check.allowed[1]);
    },
  );

  test('every row has its line in the table', () => {
    const checks = publishedChecks();
    const lines = publishedTable(checks).split('\n');
    expect(lines).toHaveLength(checks.length + 2);
    if (process.env.SHOW_TABLE) console.log(lines.join('\n'));
  });

  test('an error is told from a number, and from the nearer end of a range', () => {
    const check = { what: '', source: '', allowed: [0, 1] as const, unit: '', setBy: false };
    expect(errorWords({ ...check, published: 40, forecast: 44 })).toBe('+10 %');
    expect(errorWords({ ...check, published: -50, forecast: -45 })).toBe('+10 %');
    expect(errorWords({ ...check, published: [1, 2], forecast: 1.5 })).toBe('inside');
    expect(errorWords({ ...check, published: [1, 2], forecast: 0.9 })).toBe('-10 % outside');
  });
});

// Kudela, Reinprecht, Vidholdova, Andrejko 2019, Acta Facultatis Xylologiae Zvolen 61(1), p. 7 and 15.
describe('the dose ladder on beech', () => {
  test.each(LADDER.rows)(
    'specimen $specimen: P/(v·d) is the dose as printed, within 1 %',
    ({ speedMmPerS, jPerCm2 }) => {
      const forecast = 100 * bandMeanDoseJPerMm2(LADDER.powerW, speedMmPerS, LADDER.widthMm);
      expect(Math.abs(forecast / jPerCm2 - 1)).toBeLessThan(0.01);
    },
  );

  test('no char up to E, some from F, all over at H; A all but unaffected (Vidholdova et al. 2017)', () => {
    const tones = LADDER.rows.map(({ speedMmPerS }) => ladderTone(speedMmPerS, 'uniform-ellipse'));
    for (const tone of tones.slice(0, 5)) expect(tone).toBeLessThan(CHAR_BEGINS_TONE);
    for (const tone of tones.slice(5)) expect(tone).toBeGreaterThan(CHAR_BEGINS_TONE);
    expect(toneRegion(tones[7]!)).toBe('char');
    expect(toneRegion(tones[5]!)).toBe('brown');
    const beech = shippedMaterials.beech!;
    // ΔE* from 6 on counts as a large difference (Allegretti et al. 2009, as quoted in AFXZ 61(2) 2019).
    expect(colourDifference(labOf(tones[0]!, beech), labOf(0, beech))).toBeLessThan(6);
    expect(colourDifference(labOf(tones[7]!, beech), labOf(0, beech))).toBeGreaterThan(40);
  });
});
