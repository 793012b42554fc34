import erf from '@stdlib/math-base-special-erf';
import { describe, expect, test } from 'vitest';
import { depthLaw, excessForDepth } from '../../src/burn/depth.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { type LeastPlace, SURE, startSureness } from '../../src/sure/come-through.ts';
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
  firingsCount: false,
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
    const { chanceThrough } = startSureness(exact, benchKnownTo(10, 0), boardKnownTo(0))(place(part * need));
    expect(chanceThrough).toBeCloseTo(below(Math.log(part) / sigmaOf(0.1)), 2.9);
  });

  test.each([0.8, 1, 1.1, 1.3])('removal known to a quarter, %f of the dose needed', (part) => {
    const wood = exactWood({ removal_j_mm3: 0.25 * exact.removal_j_mm3.value });
    wood.moisture_percent.value = 12;
    const excess = excessForDepth(depthLaw(wood, beamOf(sharp)), 4);
    const begins = woodAnswer(wood, beamOf(sharp)).doseForDepth(4, 0.01, 0) - excess;
    const { chanceThrough } = startSureness(wood, sharp, boardKnownTo(0))(place(begins + part * excess));
    expect(chanceThrough).toBeCloseTo(below(Math.log(part) / sigmaOf(0.25)), 2.9);
  });

  test('passes for sure: the next whole number from which the closed form gives 19 of 20', () => {
    const each = need / 6;
    const { passesForSure } = startSureness(exact, benchKnownTo(10, 0), boardKnownTo(0))(place(need));
    const chance = (passes: number) => below(Math.log((passes * each) / need) / sigmaOf(0.1));
    expect(chance(passesForSure!)).toBeGreaterThanOrEqual(SURE);
    expect(chance(passesForSure! - 1)).toBeLessThan(SURE);
  });
});

describe('where nothing varies', () => {
  const sureness = startSureness(exact, sharp, boardKnownTo(0));

  test('a cut comes through on every board or on none', () => {
    expect(sureness(place(need * 1.0001))).toEqual({ chanceThrough: 1, passesForSure: 6 });
    expect(sureness(place(need * 0.9999))).toEqual({ chanceThrough: 0, passesForSure: 7 });
  });

  test('what others burned there is not burned again with each pass', () => {
    const half = place(need * 0.9, 3, { perPassJPerMm2: (need * 0.35) / 3 });
    expect(sureness(half)).toEqual({ chanceThrough: 0, passesForSure: 4 });
    expect(sureness(place(need * 0.9, 3, { perPassJPerMm2: 0 }))).toEqual({
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
        firingsCount: true,
      });
      expect(sureness(fired)).toEqual({ chanceThrough: passes >= enough ? 1 : 0, passesForSure: enough });
    }
  });
});

describe('all that varies', () => {
  const machine = benchKnownTo(10, 10);
  const sureness = startSureness(poplar, machine, boardKnownTo(null));

  test('the chance never falls with dose or passes, and passes for sure are those whose chance is enough', () => {
    let before = 0;
    for (let passes = 1; passes <= 25; passes++) {
      const { chanceThrough, passesForSure } = sureness(place((passes * need) / 6, passes));
      expect(chanceThrough).toBeGreaterThanOrEqual(before);
      expect(chanceThrough >= SURE).toBe(passes >= passesForSure!);
      before = chanceThrough;
    }
    expect(before).toBeGreaterThan(0.99);
  });

  test('is the same every time', () => {
    const again = startSureness(structuredClone(poplar), machine, boardKnownTo(null));
    for (const part of [0.8, 1, 1.3]) expect(again(place(part * need))).toEqual(sureness(place(part * need)));
  });

  test('what is known better is surer, on either side', () => {
    const swatch = startSureness(exactWood(), benchKnownTo(10, 10), boardKnownTo(null));
    expect(swatch(place(1.2 * need)).chanceThrough).toBeGreaterThan(
      sureness(place(1.2 * need)).chanceThrough,
    );
    expect(swatch(place(0.85 * need)).chanceThrough).toBeLessThan(sureness(place(0.85 * need)).chanceThrough);
  });

  test('calibration: of boards said to come through 19 in 20, 93 to 97 % do', () => {
    let dose = need;
    while (sureness(place(dose)).chanceThrough < SURE) dose *= 1.002;
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
