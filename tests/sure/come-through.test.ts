import erf from '@stdlib/math-base-special-erf';
import { describe, expect, test } from 'vitest';
import { depthLaw, excessForDepth } from '../../src/burn/depth.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { InputError } from '../../src/errors.ts';
import { forecast } from '../../src/forecast.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { SURE, startSureness } from '../../src/sure/come-through.ts';
import type { LeastPlace } from '../../src/sure/place.ts';
import { seeded } from '../support/random.ts';
import { benchKnownTo, boardKnownTo, boxMuller, DECIDING, exactWood, multiple, woodLike } from './exact.ts';

const poplar = shippedMaterials['poplar plywood']!;
const sharp = benchKnownTo(0, 0);
const exact = exactWood();

const place = (doseJPerMm2: number, passes = 6, rest: Partial<LeastPlace> = {}): LeastPlace => ({
  doseJPerMm2,
  dwellS: 0.01,
  headZMm: 0,
  passes,
  perPassJPerMm2: doseJPerMm2 / passes,
  needTimes: 1,
  firings: null,
  ...rest,
});

/** What 4 mm need on the exact wood, J/mm². */
const need = woodAnswer(exact, beamOf(sharp)).doseForDepth(4, 0.01, 0);
/** Φ, by a library that is not used for the inverse. */
const below = (z: number) => 0.5 * (1 + erf(z / Math.SQRT2));
const sigmaOf = (relative: number) => Math.sqrt(Math.log(1 + relative * relative));

describe('one thing that varies, against the error function', () => {
  // Not more than one draw of 2039 apart.
  test.each([0.7, 0.85, 0.95, 1, 1.05, 1.2, 1.4])('power known to a tenth, %f of the dose needed', (part) => {
    const { chanceThrough } = startSureness(exact, benchKnownTo(10, 0), boardKnownTo(0)).comesThrough(
      place(part * need),
    );
    expect(chanceThrough).toBeCloseTo(below(Math.log(part) / sigmaOf(0.1)), 2.9);
  });

  test.each([0.8, 1, 1.1, 1.3])('removal known to a quarter, %f of the dose needed', (part) => {
    const wood = exactWood({ removal_j_mm3: 0.25 * exact.removal_j_mm3.value });
    wood.moisture_percent.value = 12;
    const excess = excessForDepth(depthLaw(wood, beamOf(sharp)), 4);
    const begins = woodAnswer(wood, beamOf(sharp)).doseForDepth(4, 0.01, 0) - excess;
    const { chanceThrough } = startSureness(wood, sharp, boardKnownTo(0)).comesThrough(
      place(begins + part * excess),
    );
    expect(chanceThrough).toBeCloseTo(below(Math.log(part) / sigmaOf(0.25)), 2.9);
  });

  test('passes for sure: the next whole number from which the closed form gives 19 of 20', () => {
    const each = need / 6;
    const { passesForSure } = startSureness(exact, benchKnownTo(10, 0), boardKnownTo(0)).comesThrough(
      place(need),
    );
    const chance = (passes: number) => below(Math.log((passes * each) / need) / sigmaOf(0.1));
    expect(chance(passesForSure!)).toBeGreaterThanOrEqual(SURE);
    expect(chance(passesForSure! - 1)).toBeLessThan(SURE);
  });
});

describe('the speed for sure', () => {
  test('is the plain one, where power alone varies, less what the closed form keeps back', () => {
    const sureness = startSureness(exact, benchKnownTo(10, 0), boardKnownTo(0));
    const { doseForDepth } = woodAnswer(exact, beamOf(benchKnownTo(10, 0)));
    const multipleOf = sureness.speedForSure(place(need), 6);
    // Of 20 such beams 19 have more than exp(−1.645 σ) of the power; a slower speed asks for a little more (dwell).
    const weak = Math.exp(-1.6449 * sigmaOf(0.1));
    expect(((need / multipleOf) * weak) / doseForDepth(4, 0.01 / multipleOf, 0)).toBeCloseTo(1, 3);
  });

  test('gives the chance that was asked for, whatever varies, and none where nothing burns', () => {
    for (const sure of [0.5, 0.8, 0.95]) {
      const sureness = startSureness(poplar, benchKnownTo(10, 10), boardKnownTo(null), sure);
      for (const passes of [1, 4, 9]) {
        const multipleOf = sureness.speedForSure(place(need), passes);
        const at = (part: number) => {
          const dose = (need * passes) / 6 / (multipleOf * part);
          return sureness.comesThrough(place(dose, passes, { dwellS: 0.01 / (multipleOf * part) }));
        };
        expect(at(0.9999).chanceThrough).toBeGreaterThanOrEqual(sure);
        expect(at(1.002).chanceThrough).toBeLessThan(sure);
      }
      expect(sureness.speedForSure(place(0), 4)).toBe(0);
    }
  });

  test('rows that fill an area get no less of a wider spot', () => {
    const wide = startSureness(exact, benchKnownTo(0, 20), boardKnownTo(0));
    const alone = wide.comesThrough(place(1.05 * need)).chanceThrough;
    const filled = wide.comesThrough(place(1.05 * need, 6, { isFilled: true })).chanceThrough;
    expect(alone).toBeGreaterThan(0.5);
    expect(filled).toBeGreaterThan(alone + 0.1);
  });

  test('more than 50 passes are not told, but for a job that has them', () => {
    const sureness = startSureness(exact, sharp, boardKnownTo(0));
    const faint = (passes: number) => place((need * passes) / 59.5, passes);
    expect(sureness.comesThrough(faint(6)).passesForSure).toBeNull();
    expect(sureness.comesThrough(faint(61))).toEqual({ chanceThrough: 1, passesForSure: 60 });
  });
});

describe('where nothing varies', () => {
  const sureness = startSureness(exact, sharp, boardKnownTo(0));

  test('a cut comes through on every board or on none', () => {
    expect(sureness.comesThrough(place(need * 1.0001))).toEqual({ chanceThrough: 1, passesForSure: 6 });
    expect(sureness.comesThrough(place(need * 0.9999))).toEqual({ chanceThrough: 0, passesForSure: 7 });
  });

  test('what others burned there is not burned again with each pass', () => {
    const half = place(need * 0.9, 3, { perPassJPerMm2: (need * 0.35) / 3 });
    expect(sureness.comesThrough(half)).toEqual({ chanceThrough: 0, passesForSure: 4 });
    expect(sureness.comesThrough(place(need * 0.9, 3, { perPassJPerMm2: 0 }))).toEqual({
      chanceThrough: 0,
      passesForSure: null,
    });
  });

  test('each further cool firing asks for its own share, as firedNeed says', () => {
    const cost = exact.firing_cost.value;
    const answer = woodAnswer(exact, beamOf(sharp));
    const needed = (passes: number) => answer.doseForDepth(4, 0.01, 0, 1 + (passes - 1) * cost);
    const perPass = 3;
    const enough = [...Array(40).keys()].find((n) => n > 0 && n * perPass >= needed(n))!;
    for (const passes of [1, 2, enough - 1, enough, enough + 3]) {
      const fired = place(passes * perPass, passes, {
        needTimes: 1 + (passes - 1) * cost,
        firings: passes,
      });
      expect(sureness.comesThrough(fired)).toEqual({
        chanceThrough: passes >= enough ? 1 : 0,
        passesForSure: enough,
      });
    }
  });
});

describe('from forecast to forecast', () => {
  const asked = () => startSureness(poplar, benchKnownTo(10, 5), boardKnownTo(0.1));
  const engraved = { ...place(2), isFilled: true };

  test('the same question is worked out once', () => {
    const first = asked();
    const next = asked();
    expect(next.depthSpan({ ...engraved })).toBe(first.depthSpan(engraved));
    expect(next.comesThrough({ ...place(need) })).toBe(first.comesThrough(place(need)));
  });

  test('a place that is nearly alike gets its own answer, whatever others have asked before', () => {
    const first = asked().depthSpan(engraved);
    const close = asked().depthSpan({ ...engraved, doseJPerMm2: 2 * (1 + 1e-7) });
    expect(close.depthMm).toBeGreaterThan(first.depthMm);
    expect(close.depthMm).toBeCloseTo(first.depthMm, 5);
  });

  test('how sure one of them must be is no answer for another', () => {
    const passes = [0.6, 0.95].map(
      (sure) =>
        startSureness(poplar, benchKnownTo(10, 5), boardKnownTo(0.1), sure).comesThrough(place(need))
          .passesForSure!,
    );
    expect(passes[1]).toBeGreaterThan(passes[0]!);
  });
});

describe('all that varies', () => {
  const machine = benchKnownTo(10, 10);
  const sureness = startSureness(poplar, machine, boardKnownTo(null));

  test('the chance never falls with dose or passes, and passes for sure are those whose chance is enough', () => {
    let before = 0;
    for (let passes = 1; passes <= 25; passes++) {
      const { chanceThrough, passesForSure } = sureness.comesThrough(place((passes * need) / 6, passes));
      expect(chanceThrough).toBeGreaterThanOrEqual(before);
      expect(chanceThrough >= SURE).toBe(passes >= passesForSure!);
      before = chanceThrough;
    }
    expect(before).toBeGreaterThan(0.99);
  });

  test('is the same every time', () => {
    const again = startSureness(structuredClone(poplar), machine, boardKnownTo(null));
    for (const part of [0.8, 1, 1.3])
      expect(again.comesThrough(place(part * need))).toEqual(sureness.comesThrough(place(part * need)));
  });

  test('what is known better is surer, on either side', () => {
    const swatch = startSureness(exactWood(), benchKnownTo(10, 10), boardKnownTo(null));
    expect(swatch.comesThrough(place(1.2 * need)).chanceThrough).toBeGreaterThan(
      sureness.comesThrough(place(1.2 * need)).chanceThrough,
    );
    expect(swatch.comesThrough(place(0.85 * need)).chanceThrough).toBeLessThan(
      sureness.comesThrough(place(0.85 * need)).chanceThrough,
    );
  });

  test('calibration: of boards said to come through 19 in 20, 93 to 97 % do', () => {
    let dose = need;
    while (sureness.comesThrough(place(dose)).chanceThrough < SURE) dose *= 1.002;
    const random = seeded(20);
    const normal = () => boxMuller(1 - random(), random());
    const boards = 1500;
    let through = 0;
    for (let k = 0; k < boards; k++) {
      const wood = woodLike(poplar, Array.from({ length: DECIDING.length + 1 }, normal));
      const [power, width] = [multiple(0.1, normal()), multiple(0.1, normal())];
      const [x, y] = machine.spot.width_mm;
      const beam = {
        ...beamOf(machine),
        spot: { ...machine.spot, width_mm: [x * width, y * width] as const },
      };
      const needed = woodAnswer(wood, beam).doseForDepth(4 * multiple(0.03, normal()), 0.01 * width, 0);
      if ((dose * power) / width >= needed) through++;
    }
    expect(through / boards).toBeGreaterThan(0.93);
    expect(through / boards).toBeLessThan(0.97);
  });
});

test('a part of boards that means nothing is refused, of a forecast as of a suggestion', () => {
  for (const sure of [0, 0.49, 1, 2, Number.NaN]) {
    expect(() => startSureness(poplar, sharp, boardKnownTo(null), sure)).toThrow(
      `found sure: ${sure}; expected a part of boards from 0.5 to 0.99, as in 0.95`,
    );
    expect(() => forecast('G21\nM3 S500\nG1 X10 F600\nM5\n', sharp, poplar, { sure })).toThrow(InputError);
    expect(() => suggest({ kind: 'cut' }, poplar, sharp, { thicknessMm: 3, sure })).toThrow(InputError);
  }
});
