import erf from '@stdlib/math-base-special-erf';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { LEAST_DOSE_PART } from '../../src/burn/uncertainty.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { whatHelps } from '../../src/findings/evidence/what-helps.ts';
import { forecast } from '../../src/forecast.ts';
import { reportOf } from '../../src/report.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { chancesAfterSwatch, leftBySwatch, sharesOf } from '../../src/sure/contributions.ts';
import type { LeastPlace } from '../../src/sure/place.ts';
import { square } from '../findings/small-jobs.ts';
import { seeded } from '../support/random.ts';
import { benchKnownTo, boardKnownTo, boxMuller, DECIDING, exactWood, multiple, woodLike } from './exact.ts';

const poplar = shippedMaterials['poplar plywood']!;
const machine = benchKnownTo(10, 10);
const place = (doseJPerMm2: number): LeastPlace => ({
  doseJPerMm2,
  dwellS: 0.01,
  headZMm: 0,
  passes: 6,
  perPassJPerMm2: doseJPerMm2 / 6,
  needTimes: 1,
  firings: null,
});
const need = woodAnswer(poplar, beamOf(machine)).doseForDepth(4, 0.01, 0);
const below = (z: number) => 0.5 * (1 + erf(z / Math.SQRT2));
const sureness = startSureness(poplar, machine, boardKnownTo(null));

describe('what makes up what is not known', () => {
  test('added in squares it gives the chances that the drawn boards give', () => {
    for (const part of [0.8, 0.9, 1, 1.1, 1.3]) {
      const { effects } = sureness.cutUnsure(place(part * need));
      const chance = below(Math.log(part) / Math.hypot(...effects.values()));
      expect(Math.abs(chance - sureness.comesThrough(place(part * need)).chanceThrough)).toBeLessThan(0.03);
    }
  });

  test('one thing that varies makes up all of it, by its own σ', () => {
    const one = startSureness(exactWood(), benchKnownTo(10, 0), boardKnownTo(0)).cutUnsure(place(need));
    expect(sharesOf(one)).toEqual([['optical_power', 1]]);
    expect(one.effects.get('optical_power')).toBeCloseTo(Math.sqrt(Math.log(1.01)), 6);
    expect(one.ofSwatch).toBeCloseTo(Math.log(1 + LEAST_DOSE_PART), 9);
    const none = startSureness(exactWood(), benchKnownTo(0, 0), boardKnownTo(0)).cutUnsure(place(need));
    expect(sharesOf(none)).toEqual([]);
    expect(leftBySwatch(none)).toBe(1);
  });

  test('shares add up to all, the greatest first', () => {
    const shares = sharesOf(sureness.cutUnsure(place(need)));
    expect(shares.reduce((sum, [, share]) => sum + share, 0)).toBeCloseTo(1, 9);
    expect(shares.map(([, share]) => share)).toEqual(shares.map(([, share]) => share).sort((a, b) => b - a));
    expect(shares[0]![0]).toBe('removal_j_mm3');
  });
});

test('a swatch brings a chance up or down: as woods and machines drawn and then known to 5 % do', () => {
  const dose = 1.05 * need;
  const chance = sureness.comesThrough(place(dose)).chanceThrough;
  const [better, worse] = chancesAfterSwatch(chance, sureness.cutUnsure(place(dose)));
  const random = seeded(5);
  const normal = () => boxMuller(1 - random(), random());
  const known = Array.from({ length: 400 }, () => {
    const wood = woodLike(poplar, Array.from({ length: DECIDING.length + 1 }, normal));
    const [power, width] = [multiple(0.1, normal()), multiple(0.1, normal())];
    const [x, y] = machine.spot.width_mm;
    const spot = { ...machine.spot, width_mm: [x * width, y * width] as const };
    const needed = woodAnswer(wood, { ...beamOf(machine), spot }).doseForDepth(4, 0.01 * width, 0);
    // What stays is the thickness, which the need follows nearly as it is, and what a swatch cannot tell.
    return below(Math.log((dose * power) / width / needed) / Math.hypot(0.035, 0.05));
  }).sort((a, b) => a - b);
  const sigmas = (part: number) => known[Math.round(part * known.length)]!;
  expect(Math.abs(sigmas(below(1)) - better)).toBeLessThan(0.05);
  expect(Math.abs(sigmas(below(-1)) - worse)).toBeLessThan(0.05);
  expect(better).toBeGreaterThan(0.95);
  expect(worse).toBeLessThan(0.05);
});

describe('told', () => {
  const made = forecast(square({ s: 1000, feed: 900, passes: 8 }), machine, poplar, {
    stock: boardKnownTo(null),
    cellMm: 0.2,
  });

  test('of the least sure cut, in one sentence among what is good to know', () => {
    expect(made.notes).toContainEqual(
      expect.stringMatching(
        /^Whether operation 1 comes through: the wood’s removal energy makes up \d+ % of what is not known; a burned swatch would bring about \d of 10 such boards to nearly every such board or to (hardly any such board|(fewer than|about) \d+ of \d+ such boards)\.$/,
      ),
    );
    expect(made.notes).toContainEqual(
      expect.stringMatching(/^Such boards are all that .*10 % of optical power.*3 % of thickness/),
    );
    const [cut] = reportOf(made).cuts;
    expect(cut!.unsure_because.removal_j_mm3).toBeGreaterThan(0.2);
    expect(cut!.chance_with_swatch).toHaveLength(2);
  });

  test('of a tone, where no cut is unsure; of a wood that was measured without a swatch; of thickness, to measure it', () => {
    const engraving = {
      operation: 2,
      besideShare: 0,
      hasShades: false,
      isOfLines: false,
      isGuess: true,
      tone: 0.5,
      toneLow: 0.3,
      toneHigh: 0.7,
      depthMm: 0,
      depthLowMm: 0,
      depthHighMm: 0,
      because: [['full_char_j_mm2', 0.71]] as const,
      leftBySwatch: 0.21,
    };
    expect(whatHelps([], [engraving], true)).toBe(
      'How dark operation 2 comes out: the dose that chars the wood makes up 70 % of what is not known; a burned swatch would leave about 20 % of the range.',
    );
    expect(whatHelps([], [engraving], false)).toMatch(/makes up 70 % of what is not known\.$/);
    expect(whatHelps([], [{ ...engraving, toneHigh: 0.4 }], true)).toBeNull();
    // A swatch that may leave a cut as sure as it is told already promises nothing.
    const cut = (withSwatch: readonly [number, number]) =>
      whatHelps([{ ...made.cuts[0]!, chanceThrough: 0.9, withSwatch }], [], true);
    expect(cut([0.99, 0.91])).toMatch(/makes up \d+ % of what is not known\.$/);
    expect(cut([0.99, 0.6])).toMatch(
      /; a burned swatch would bring about 9 of 10 such boards to nearly every such board or to about 6 of 10 such boards\.$/,
    );
    const thick = { ...made.cuts[0]!, because: [['thickness', 0.6]] as const };
    expect(whatHelps([thick], [engraving], true)).toBe(
      'Whether operation 1 comes through: the board’s thickness makes up 60 % of what is not known; measure it.',
    );
  });
});
