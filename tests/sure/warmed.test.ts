import erf from '@stdlib/math-base-special-erf';
import { describe, expect, test } from 'vitest';
import { firedNeed, needOfFirings, savedByWarmth } from '../../src/burn/firing.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { type Forecast, forecast, toldOf } from '../../src/forecast.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { sharesOf } from '../../src/sure/contributions.ts';
import type { EngravedPlace } from '../../src/sure/engraved.ts';
import { startSaved, timesWith, woodHeat } from '../../src/sure/warmed.ts';
import { fill } from '../findings/small-jobs.ts';
import { benchKnownTo, boardKnownTo, exactWood } from './exact.ts';

const exact = exactWood();
const sharp = benchKnownTo(0, 0);
const X0 = exact.warmth_scale_k.value;
const place = (doseJPerMm2: number, rest: Partial<EngravedPlace> = {}): EngravedPlace => ({
  doseJPerMm2,
  dwellS: 0.003,
  headZMm: 0,
  needTimes: 0.8,
  firings: 1,
  isFilled: false,
  ...rest,
});

test('what warmth saves is read back from the need it leaves', () => {
  for (const firings of [1, 1.8, 4])
    for (const warmthK of [0, 60, 150, 300]) {
      const saved = warmthK / X0;
      expect(savedByWarmth(firedNeed(firings, warmthK, exact), firings, exact.firing_cost.value)).toBeCloseTo(
        saved,
        9,
      );
    }
});

describe('on other woods and machines', () => {
  const savedOn = (dose: number, wood = exact, power = 1, width = 1) =>
    startSaved(place(dose), exact)(woodHeat(wood), { power, width }) / 0.2;
  const twice = (name: 'heat_kept' | 'heat_kept_most_j_mm2' | 'warmth_scale_k' | 'density_kg_m3') => {
    const wood = structuredClone(exact);
    wood[name].value *= 2;
    return wood;
  };

  test('light firings keep a share of their dose, heavy ones no more than the most', () => {
    expect(savedOn(0.05, twice('heat_kept'))).toBeCloseTo(2, 6);
    expect(savedOn(0.05, twice('heat_kept_most_j_mm2'))).toBeCloseTo(1, 6);
    // Far above the cap its rims alone keep more; kept.test.ts has the share itself.
    expect(savedOn(5, twice('heat_kept'))).toBeLessThan(1.15);
    expect(savedOn(5, twice('heat_kept_most_j_mm2'))).toBeGreaterThan(1.8);
  });

  test('twice the scale, or twice the wood to warm, halves it', () => {
    for (const name of ['warmth_scale_k', 'density_kg_m3'] as const)
      expect(savedOn(0.3, twice(name))).toBeCloseTo(0.5, 9);
  });

  test('more power leaves more, but not above the cap; a wider spot meets it later', () => {
    expect(savedOn(0.05, exact, 1.2)).toBeCloseTo(1.2, 6);
    expect(savedOn(5, exact, 1.2)).toBeLessThan(1.05);
    expect(savedOn(0.05, exact, 1, 1.5)).toBeCloseTo(1, 6);
    expect(savedOn(0.6, exact, 1, 1.5)).toBeGreaterThan(1.1);
  });
});

describe('chances and ranges', () => {
  const below = (z: number) => 0.5 * (1 + erf(z / Math.SQRT2));

  test('the scale alone known to 30 %: against the error function', () => {
    const wood = exactWood({ warmth_scale_k: 0.3 * X0 });
    const answer = woodAnswer(wood, beamOf(sharp));
    const [cool, warm] = [1, 0.6].map((times) => answer.doseForDepth(4, 0.01, 0, times));
    for (const part of [0.4, 0.8, 1, 1.3]) {
      // So much of what is saved as the scale stands must be saved: X₀ may be at most 1/part of itself.
      const doseJPerMm2 = cool! - part * (cool! - warm!);
      const { chanceThrough } = startSureness(wood, sharp, boardKnownTo(0)).comesThrough({
        doseJPerMm2,
        dwellS: 0.01,
        headZMm: 0,
        passes: 1,
        perPassJPerMm2: doseJPerMm2,
        needTimes: 0.6,
        firings: 1,
      });
      expect(chanceThrough).toBeCloseTo(below(-Math.log(part) / Math.sqrt(Math.log(1.09))), 2.9);
    }
  });

  test('where warmth is not followed, its numbers do nothing; where it is, they are told by name', () => {
    const doubts = { warmth_scale_k: 200, heat_kept: 0.1, heat_kept_most_j_mm2: 0.025 };
    const sureness = startSureness(exactWood(doubts), sharp, boardKnownTo(0));
    const unfollowed = sureness.engraved(place(0.5, { needTimes: 1, firings: null }));
    expect(unfollowed.toneHigh - unfollowed.toneLow).toBe(0);
    const shares = (dose: number) => sharesOf(sureness.toneUnsure(place(dose))).map(([name]) => name);
    expect(shares(0.15)).toEqual(['heat_kept', 'warmth_scale_k']);
    expect(shares(0.9)).toEqual(['warmth_scale_k', 'heat_kept_most_j_mm2', 'heat_kept']);
  });

  test('a wood whose warmth a swatch has measured is surer of its warm places', () => {
    const range = (plusMinus: number) => {
      const { toneLow, toneHigh } = startSureness(
        exactWood({ warmth_scale_k: plusMinus }),
        sharp,
        boardKnownTo(0),
      ).engraved(place(0.4));
      return toneHigh - toneLow;
    };
    expect(range(X0 / 12)).toBeLessThan(0.3 * range(X0 / 3));
  });
});

describe('against whole forecasts of a small fill on other woods', () => {
  const made = (wood: typeof exact): Forecast =>
    forecast(fill({ widthMm: 4, heightMm: 6, s: 450 }), sharp, wood, {
      stock: boardKnownTo(0),
      cellMm: 0.04,
    });
  const usual = made(exact);
  const operationOf = (of: Forecast) => gatherEvidence(toldOf(of)).operations[0]!;
  const each = operationOf(usual);
  const fired = {
    doseJPerMm2: each.straightJPerMm2,
    needTimes: each.straightNeedTimes,
    firings: each.straightFirings,
    isFilled: true,
  };

  test.each([
    [1.5, 1, 1, 1],
    [0.6, 1, 1, 1],
    [1, 1.6, 1, 1],
    [1, 0.5, 1, 1],
    [1.3, 0.8, 0.7, 1.2],
    [0.7, 1.3, 1.5, 0.6],
  ])('share × %f, most × %f, scale × %f, cost × %f: needs what is worked out without them', (...times) => {
    const wood = structuredClone(exact);
    const names = ['heat_kept', 'heat_kept_most_j_mm2', 'warmth_scale_k', 'firing_cost'] as const;
    names.forEach((name, k) => {
      wood[name].value *= times[k]!;
    });
    const saved = startSaved(fired, exact)(woodHeat(wood), { power: 1, width: 1 });
    const { straightNeedTimes } = operationOf(made(wood));
    expect(Math.abs(timesWith(fired, saved, wood.firing_cost.value) / straightNeedTimes - 1)).toBeLessThan(
      0.02,
    );
    // Without its warmth, or with that of the profile, it would be off by more.
    expect(
      Math.abs(needOfFirings(fired.firings!, 0, wood.firing_cost.value) / straightNeedTimes - 1),
    ).toBeGreaterThan(0.1);
  });
});
