import { describe, expect, test } from 'vitest';
import { costOfDepth, costOfWood, depthLaw, depthOfExcess, depthWithExcess } from '../../src/burn/depth.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { becomesOf, forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { reportOf } from '../../src/report.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import type { EngravedPlace } from '../../src/sure/engraved.ts';
import { depthRangeWords, shadeRangeWords, shadeWords } from '../../src/sure/words.ts';
import { between, fc } from '../burn/anything.ts';
import { ramp, rows, square } from '../findings/small-jobs.ts';
import { seeded } from '../support/random.ts';
import { benchKnownTo, boardKnownTo, boxMuller, DECIDING, exactWood, multiple, woodLike } from './exact.ts';

const poplar = shippedMaterials['poplar plywood']!;
const place = (doseJPerMm2: number, rest: Partial<EngravedPlace> = {}): EngravedPlace => ({
  doseJPerMm2,
  dwellS: 0.003,
  headZMm: 0,
  needTimes: 1,
  firings: null,
  isFilled: true,
  ...rest,
});
/** Φ⁻¹(0.95), from tables of the normal distribution. */
const Z95 = 1.6449;
const sigmaOf = (relative: number) => Math.sqrt(Math.log(1 + relative * relative));

describe('one thing that varies, against the law itself', () => {
  const exact = exactWood();
  const machine = benchKnownTo(10, 0);
  const { tone, depthMm } = woodAnswer(exact, beamOf(machine));
  const sureness = startSureness(exact, machine, boardKnownTo(0));

  test.each([0.2, 0.4, 0.6, 0.9])('power known to a tenth: the tones of its ends, %f J/mm²', (dose) => {
    const made = sureness.engraved(place(dose));
    const [less, more] = [-Z95, Z95].map((z) => dose * Math.exp(z * sigmaOf(0.1)));
    expect(made.tone).toBeCloseTo(tone(dose, 0.003), 9);
    expect(made.toneLow).toBeCloseTo(tone(less!, 0.003), 2);
    expect(made.toneHigh).toBeCloseTo(tone(more!, 0.003), 2);
    expect(made.depthLowMm).toBeCloseTo(depthMm(less!, 0.003, 0), 2);
    expect(made.depthHighMm).toBeCloseTo(depthMm(more!, 0.003, 0), 2);
  });

  test('a wider spot takes from a line and not from filled rows', () => {
    const wide = startSureness(exact, benchKnownTo(0, 20), boardKnownTo(0));
    const filled = wide.engraved(place(0.6));
    const alone = wide.engraved(place(0.6, { isFilled: false }));
    expect(filled.toneHigh - filled.toneLow).toBeLessThan(0.03);
    expect(alone.toneHigh - alone.toneLow).toBeGreaterThan(0.2);
  });

  test('where nothing varies there is no range', () => {
    const made = startSureness(exact, benchKnownTo(0, 0), boardKnownTo(0)).engraved(place(0.6));
    expect([made.toneLow, made.toneHigh]).toEqual([made.tone, made.tone]);
    expect(made.depthLowMm / made.depthMm).toBeCloseTo(1, 2);
    expect(made.depthHighMm / made.depthMm).toBeCloseTo(1, 2);
  });

  test('no board is engraved deeper than it is thick', () => {
    const thin = { ...boardKnownTo(0), thicknessMm: 0.05 };
    const made = startSureness(exact, machine, thin).engraved(place(5));
    expect([made.depthLowMm, made.depthMm, made.depthHighMm]).toEqual([0.05, 0.05, 0.05]);
    // Nor where nobody knows how thick it is: through is as deep as was said.
    const doubtful = { thicknessMm: 0.05, thicknessPlusMinusMm: 0.02 };
    const through = startSureness(exact, machine, doubtful).engraved(place(5));
    expect([through.depthLowMm, through.depthMm, through.depthHighMm]).toEqual([0.05, 0.05, 0.05]);
  });
});

test('the depth of one dose is that of the law, shallow and deep, in focus and out of it', () => {
  fc.assert(
    fc.property(between(0.001, 60), between(-3, 3), (excess, headZMm) => {
      const beam = { ...beamOf(benchKnownTo(0, 0)), headZMm };
      const exact = depthOfExcess(depthLaw(poplar, beam), excess);
      expect(
        Math.abs(depthWithExcess(costOfDepth(costOfWood(poplar), beam), excess) / exact - 1),
      ).toBeLessThan(2e-3);
    }),
    { numRuns: 200 },
  );
});

describe('ranges of a job', () => {
  const machine = benchKnownTo(10, 10);
  const options = { stock: boardKnownTo(null), cellMm: 0.1 };
  const job = rows(Array(40).fill(400), 2400, 3);
  const base = forecast(job, machine, poplar, options);
  const [engraved] = base.engravings;

  test('are those of whole forecasts with drawn machines and woods', () => {
    // Fewer than the script draws; nine of ten forecasts lie within, give or take what 60 can tell.
    const random = seeded(11);
    const normal = () => boxMuller(1 - random(), random());
    const made = Array.from({ length: 60 }, () => {
      const { laser, spot } = machine;
      const w = multiple(0.1, normal());
      const [x, y] = spot.width_mm;
      const drawn = readMachine({
        ...machine,
        laser: { ...laser, optical_power_w: laser.optical_power_w * multiple(0.1, normal()) },
        spot: { ...spot, width_mm: [x * w, y * w] },
      });
      const wood = woodLike(poplar, Array.from({ length: DECIDING.length + 1 }, normal));
      return forecast(job, drawn, wood, options).engravings[0]!;
    });
    const within = (of: (each: (typeof made)[number]) => number, low: number, high: number) =>
      made.filter((each) => of(each) >= low && of(each) <= high).length / made.length;
    expect(within(({ tone }) => tone, engraved!.toneLow, engraved!.toneHigh)).toBeGreaterThan(0.8);
    expect(within(({ tone }) => tone, engraved!.toneLow, engraved!.toneHigh)).toBeLessThan(0.99);
    expect(within(({ depthMm }) => depthMm, engraved!.depthLowMm, engraved!.depthHighMm)).toBeGreaterThan(
      0.8,
    );
  });

  test('stand in the report and in a sentence, and what-ifs keep them', () => {
    const [told] = reportOf(base).operations;
    expect(told!.tone).toBeCloseTo(engraved!.tone, 4);
    expect(told!.tone_low).toBeLessThan(told!.tone!);
    expect(told!.tone_high).toBeGreaterThan(told!.tone!);
    expect(told!.depth_high_mm).toBeGreaterThan(told!.depth_mm!);
    expect(becomesOf(base)).toEqual([
      expect.stringMatching(
        /^Operation 1 comes out .* until a swatch narrows it; [\d.]+ mm deep, [\d.]+ to [\d.]+ mm\.$/,
      ),
    ]);
    const [stronger] = forecastChanged(base, parseChanges('1: power 50%'), { cellMm: 0.1 }).engravings;
    expect(stronger!.toneLow).toBeGreaterThan(engraved!.toneLow);
    const [whole] = forecast(job.replaceAll('S400', 'S500'), machine, poplar, options).engravings;
    expect(stronger!.toneLow).toBeCloseTo(whole!.toneLow, 3);
  });

  test('of rows in many shades are told of the middle one', () => {
    const [shaded] = forecast(rows(ramp(100, 700), 2400, 3), machine, poplar, options).engravings;
    expect(shaded!.hasShades).toBe(true);
    expect(Math.abs(shaded!.tone - engraved!.tone)).toBeLessThan(0.03);
  });

  test('are not told of what is meant to cut, where they are null in the report', () => {
    const cut = forecast(square({ s: 1000, feed: 240, passes: 5 }), machine, poplar, options);
    expect(cut.engravings).toEqual([]);
    expect(reportOf(cut).operations[0]).toMatchObject({ tone: null, tone_high: null, depth_low_mm: null });
  });
});

describe('the words', () => {
  const made = (toneLow: number, tone: number, toneHigh: number) =>
    shadeRangeWords({ tone, toneLow, toneHigh, depthMm: 0, depthLowMm: 0, depthHighMm: 0 }, true);

  test('name the shade and those it could as well be', () => {
    expect(made(0.3, 0.5, 0.7)).toBe('brown, between tan and dark brown until a swatch narrows it');
    expect(made(0.45, 0.5, 0.8)).toBe('brown, or as dark as char until a swatch narrows it');
    expect(made(0.02, 0.1, 0.15)).toBe('light tan, or as light as next to bare until a swatch narrows it');
    expect(made(0.45, 0.5, 0.55)).toBe('brown on nearly every such board');
  });

  test('every shade begins where it should', () => {
    expect([0, 0.05, 0.2, 0.4, 0.6, 0.75].map(shadeWords)).toEqual([
      'next to bare',
      'light tan',
      'tan',
      'brown',
      'dark brown',
      'char',
    ]);
    // Told as 40 and as 39 %.
    expect([0.3999, 0.3949].map(shadeWords)).toEqual(['brown', 'tan']);
  });

  test('depths that are nothing are not told', () => {
    const deep = (depthLowMm: number, depthMm: number, depthHighMm: number) =>
      depthRangeWords({ tone: 0, toneLow: 0, toneHigh: 0, depthMm, depthLowMm, depthHighMm });
    expect(deep(0, 0.005, 0.01)).toBe('');
    expect(deep(0, 0.077, 0.153)).toBe('; 0.08 mm deep, 0 to 0.15 mm');
    expect(deep(0.2, 0.2, 0.2)).toBe('; 0.2 mm deep');
  });
});
