import { describe, expect, test } from 'vitest';
import { readChecks } from '../../src/cli/checks.ts';
import { readStock } from '../../src/cli/stock.ts';
import { readMachine } from '../../src/machine/profile.ts';

describe('what the person knows of how far numbers may be off', () => {
  test('of the thickness stands behind it', () => {
    expect(readStock('130x32x4~0.1@5,-2')).toEqual({
      widthMm: 130,
      heightMm: 32,
      thicknessMm: 4,
      thicknessPlusMinusMm: 0.1,
      xMm: 5,
      yMm: -2,
    });
    expect(readStock('130x32x4 ~ .2').thicknessPlusMinusMm).toBe(0.2);
    expect(readStock('130x32x4~0').thicknessPlusMinusMm).toBe(0);
    expect(readStock('9000x9000')).toMatchObject({ widthMm: 9000, heightMm: 9000, thicknessMm: null });
    expect(readStock('130x32x4@0,0')).not.toHaveProperty('thicknessPlusMinusMm');
  });

  test.each(['130x32~0.1', '130x32x4~', '130x32x4~-1', '130x32x4~5', '130x32x4~0.1~0.1'])(
    '--stock %s is refused with what was expected',
    (text) => {
      expect(() => readStock(text)).toThrow(/^found --stock .*; expected .* 120x80x4~0\.1@0,0/);
    },
  );

  test('--sure is a part of boards', () => {
    expect(readChecks({ sure: '0.9' }).sure).toBe(0.9);
    expect(readChecks({}).sure).toBeNull();
    for (const text of ['0.4', '1', '95', 'very', ''])
      expect(() => readChecks({ sure: text })).toThrow(
        /^found --sure .*; expected a part of boards from 0\.5 to 0\.99/,
      );
  });

  test('of power and spot stands in the machine’s profile, 10 % each unless told', () => {
    const told = { optical_power_w: 5 };
    expect(readMachine({ laser: told }).plus_minus).toEqual({
      optical_power_percent: 10,
      spot_width_percent: 10,
    });
    expect(readMachine({ laser: told, plus_minus: { spot_width_percent: 4 } }).plus_minus).toEqual({
      optical_power_percent: 10,
      spot_width_percent: 4,
    });
    expect(() => readMachine({ laser: told, plus_minus: { spot_width_percent: -4 } })).toThrow(
      /plus_minus\.spot_width_percent/,
    );
    expect(() => readMachine({ laser: told, plus_minus: { spot: 4 } })).toThrow(/spot/);
  });
});
