import { describe, expect, test } from 'vitest';
import { agreementSentences, type Moved } from '../../src/outcome/words.ts';

/** When burns are said to speak against the machine's profile. */

/** Power and spot, as logarithms, with one standard deviation each. */
const known = (mean: readonly [number, number], sigma: readonly [number, number]) => ({
  names: ['optical_power', 'spot_width'],
  mean: [...mean],
  covariance: [
    [sigma[0] ** 2, 0],
    [0, sigma[1] ** 2],
  ],
});
const light = (...percents: number[]): Moved[] =>
  percents.map((optical_power_percent) => ({ optical_power_percent, spot_width_percent: 0 }));
const spot = (...percents: number[]): Moved[] =>
  percents.map((spot_width_percent) => ({ optical_power_percent: 0, spot_width_percent }));

describe('the laser is suspected', () => {
  test.each([
    [0.0601, []],
    [
      0.0599,
      [
        'Two burns say that the laser gives 11 % less light than its profile says: a dirty lens, or an old diode?',
      ],
    ],
  ])('from two standard deviations on (%d)', (sigma, told) => {
    expect(agreementSentences(known([-0.12, 0], [sigma, 0.1]), false, light(-6, -5.3))).toEqual(told);
  });

  test('by burns that pointed that way only, and by no single one', () => {
    const off = known([-0.12, 0], [0.04, 0.1]);
    expect(agreementSentences(off, false, light(-11.3))).toEqual([]);
    expect(agreementSentences(off, false, light(-14, 2.7))).toEqual([]);
    expect(agreementSentences(off, false, light(-11.2, -0.04))).toEqual([]);
    expect(agreementSentences(off, false, light(-6, 2, 0, -7.3))[0]).toMatch(
      /^Two of four burns say that the laser gives 11 % less light/,
    );
  });
});

test('more light and another spot are told by the same measure', () => {
  const more = known([0.14, 0.15], [0.06, 0.08]);
  expect(agreementSentences(more, false, light(8, 7))).toEqual([
    'Two burns say that the laser gives 15 % more light than its profile says: measure its optical power if you can.',
  ]);
  expect(agreementSentences(known([0, 0.15], [0.06, 0.074]), false, spot(8, 8))).toEqual([
    'Two burns say that the spot is 16 % wider than the profile says: out of focus?',
  ]);
  expect(agreementSentences(known([0, 0.15], [0.06, 0.076]), false, spot(8, 8))).toEqual([]);
});
