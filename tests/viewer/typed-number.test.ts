import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readings, readTyped } from '../../viewer/bench/typed-number.ts';

const SPEED = { min: 10, max: 60_000, unit: 'mm/min', digits: 5 };
const PASSES = { min: 1, max: 100, whole: true, digits: 4 };
const THICKNESS = { min: 0.1, max: 50, unit: 'mm', digits: 4 };

describe('a number as people type it', () => {
  test.each([
    ['12.5', [12.5]],
    ['12,5', [12.5]],
    ['.5', [0.5]],
    [',5', [0.5]],
    ['5,', [5]],
    ['0.120', [0.12]],
    ['-5', [-5]],
    ['−5', [-5]],
    ['+7', [7]],
    ['1e9', [1e9]],
    ['1,5e3', [1500]],
    ['1.500', [1.5, 1500]],
    ['1,500', [1.5, 1500]],
    ['-1,500', [-1.5, -1500]],
    ['1500.000', [1500]],
    ['1,234,567', [1234567]],
    ['1.234.567', [1234567]],
    ['1,500.5', [1500.5]],
    ['1.500,5', [1500.5]],
    ['1 500', [1500]],
    ['1\u202f500,25', [1500.25]],
    ['1’500', [1500]],
    ['1,50,5', []],
    ['1.5.5', []],
    ['1,500.5,5', []],
    ['1 50', []],
    ['abc', []],
    ['12a', []],
    ['', []],
    ['.', []],
    ['-', []],
  ])('%s', (text, expected) => {
    expect(readings(text)).toEqual(expected);
  });

  test('comes back from how any language writes it', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 50_000 }),
        fc.constantFrom('en-GB', 'de-DE', 'fr-FR', 'de-CH'),
        (thousandths, language) => {
          const value = thousandths + 0.25;
          const text = new Intl.NumberFormat(language, { minimumFractionDigits: 2 }).format(value);
          expect(readings(text), text).toEqual([value]);
        },
      ),
    );
  });
});

describe('a typed number in its place', () => {
  test('is taken as it is, to as many digits as are shown', () => {
    expect(readTyped('12,5', SPEED)).toEqual({ value: 12.5, note: null });
    expect(readTyped(' 900 mm/min', SPEED)).toEqual({ value: 900, note: null });
    expect(readTyped('1234.567', SPEED)).toEqual({ value: 1234.6, note: null });
    expect(readTyped('26', PASSES)).toEqual({ value: 26, note: null });
  });

  test('with one separator before three digits: the limits decide, or it is asked back', () => {
    expect(readTyped('1.500', SPEED)).toEqual({ value: 1500, note: 'read as 1500 mm/min' });
    expect(readTyped('1,500', SPEED)).toEqual({ value: 1500, note: 'read as 1500 mm/min' });
    expect(readTyped('3.175', THICKNESS)).toEqual({ value: 3.175, note: null });
    expect(readTyped('12.500', SPEED)).toEqual({ refusal: 'may mean 12.5 or 12500: type one of these' });
  });

  test('outside the limits it is refused in a short sentence', () => {
    expect(readTyped('0', SPEED)).toEqual({ refusal: '10 mm/min is the least here' });
    expect(readTyped('-5', SPEED)).toEqual({ refusal: '10 mm/min is the least here' });
    expect(readTyped('1e9', SPEED)).toEqual({ refusal: '60000 mm/min is the most here' });
    expect(readTyped('0', THICKNESS)).toEqual({ refusal: '0.1 mm is the least here' });
    expect(readTyped('1000', PASSES)).toEqual({ refusal: '100 is the most here' });
  });

  test('what is no whole number, or no number at all, is refused', () => {
    expect(readTyped('2.5', PASSES)).toEqual({ refusal: 'whole numbers only' });
    expect(readTyped('fast', SPEED)).toEqual({ refusal: '“fast” is not a number' });
    expect(readTyped('as fast as it can', SPEED)).toEqual({ refusal: '“as fast as i…” is not a number' });
  });

  test('a number within the limits is never changed by more than the digits shown', () => {
    fc.assert(
      fc.property(fc.integer({ min: 10, max: 60_000 }), (value) => {
        expect(readTyped(String(value), SPEED)).toEqual({ value, note: null });
      }),
    );
  });
});
