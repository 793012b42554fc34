import { describe, expect, test } from 'vitest';
import type { BeamOnWood } from '../../src/burn/beam-on-wood.ts';
import { rayleighMm, surfaceWidthMm, widening } from '../../src/burn/beam-on-wood.ts';
import {
  costOfDepth,
  costOfWood,
  depthLaw,
  depthOf,
  doseForDepth,
  excessForDepth,
  excessToDepth,
  MAX_DEPTH_MM,
  removalBeginsJPerMm2,
  removalJPerMm3,
} from '../../src/burn/depth.ts';
import { linePeakDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { anyWood, between, fc, wood } from './anything.ts';
import { diode, pineCutter } from './beams.ts';

const spruce = shippedMaterials.spruce!;
const dose = between(0.01, 300);
const dwell = between(1e-4, 1);
const width = between(0.03, 1);

const withFocus = (beam: BeamOnWood, focusZMm: number): BeamOnWood => ({
  ...beam,
  spot: { ...beam.spot, focus_z_mm: focusZMm },
});

describe('the spot below the surface', () => {
  // Gaussian beam, ISO 11146: w/w0 at 0.5, 1, 2 and 3 Rayleigh lengths.
  test.each([
    [0.5, 1.118],
    [1, Math.SQRT2],
    [2, 2.2361],
    [3, 3.1623],
  ])('%d Rayleigh lengths from focus it is %d times as wide', (lengths, times) => {
    expect(widening(diode([0.1, 0.1], 2), lengths * 2)).toBeCloseTo(times, 4);
  });

  test('the profile’s Rayleigh length holds; without one the beam still widens', () => {
    expect(rayleighMm(diode([0.1, 0.1], 3.5))).toBe(3.5);
    expect(rayleighMm(diode([0.1, 0.1]))).toBeCloseTo(1.25, 9);
    expect(widening(diode([0.1, 0.1]), 5)).toBeGreaterThan(3);
  });

  test('a lower head puts the focus into the wood', () => {
    const beam = { ...diode([0.1, 0.1], 2), headZMm: -2 };
    expect(widening(beam, 2)).toBe(1);
    expect(surfaceWidthMm(beam)).toBeCloseTo(0.1 * Math.SQRT2, 9);
  });
});

describe('depth', () => {
  test('grows with dose and with passes, and is 0 where the surface does not char', () => {
    fc.assert(
      fc.property(anyWood, dose, between(1, 2), dwell, width, (name, h, more, t, w) => {
        const m = wood(name);
        const beam = diode([w, w]);
        const law = depthLaw(m, beam);
        const depth = depthOf(h, t, m, beam, 1, law);
        expect(depthOf(h * more, t, m, beam, 1, law)).toBeGreaterThanOrEqual(depth);
        expect(depthOf(h, t, m, beam, 2, law)).toBeGreaterThanOrEqual(depth);
        if (depth > 0 && depth < MAX_DEPTH_MM / 2) {
          expect(depthOf(h, t, m, beam, 2, law)).toBeGreaterThan(depth);
        }
        if (h <= removalBeginsJPerMm2(m, 450, t)) expect(depth).toBe(0);
      }),
      { numRuns: 50 },
    );
  });

  test('removal begins where the tone turns from tan to brown', () => {
    fc.assert(
      fc.property(anyWood, dwell, (name, t) => {
        const m = wood(name);
        expect(toneOf(removalBeginsJPerMm2(m, 450, t), t, m)).toBeCloseTo(0.4, 9);
      }),
    );
  });

  test('the dose of a depth reaches that depth', () => {
    fc.assert(
      fc.property(anyWood, between(0.01, 30), dwell, width, (name, depth, t, w) => {
        const m = wood(name);
        const beam = diode([w, w]);
        expect(depthOf(doseForDepth(depth, t, m, beam), t, m, beam)).toBeCloseTo(depth, 6);
      }),
      { numRuns: 50 },
    );
    expect(doseForDepth(MAX_DEPTH_MM + 1, 0.01, spruce, diode())).toBe(Infinity);
    expect(depthOf(1e9, 0.01, spruce, diode())).toBe(MAX_DEPTH_MM);
  });

  // Glasstone & Dolan 1977, 7.37: char depth closely proportional to radiant exposure.
  test('is (dose − threshold)/e_v as long as the floor is open', () => {
    const beam = diode([1, 1], 100);
    const begins = removalBeginsJPerMm2(spruce, 450, 0.01);
    expect(depthOf(begins + 1, 0.01, spruce, beam) * removalJPerMm3(spruce)).toBeCloseTo(1, 2);
  });

  // "Relationship between char depth of wood and cumulative heat exposure for fire investigation": depths are
  // comparable for the same cumulative exposure, however it came. Here each further pass warms the wood again.
  test('several passes take nearly as much as one pass of their sum, less what each pays to warm the wood', () => {
    const [four, sum] = [depthOf(3, 0.01, spruce, diode(), 4), depthOf(12, 0.01, spruce, diode())];
    expect(four).toBeLessThan(sum);
    expect(four).toBeGreaterThan(0.95 * sum);
    const paidJPerMm2 = 3 * spruce.firing_cost.value * removalBeginsJPerMm2(spruce, 450, 0.01);
    expect(four).toBeCloseTo(depthOf(12 - paidJPerMm2, 0.01, spruce, diode()), 9);
  });

  test('the law’s integral is right: doubling the samples’ step changes nothing to six digits', () => {
    const { stepMm, excessJPerMm2 } = depthLaw(spruce, diode());
    // Trapezoids over dose per depth, differenced from the law itself, against its end value.
    const slope = (k: number) => (excessJPerMm2[k + 1]! - excessJPerMm2[k - 1]!) / (2 * stepMm);
    let sum = 0;
    for (let k = 1; k < 3999; k += 2) sum += ((slope(k) + slope(k + 2)) / 2) * 2 * stepMm;
    expect(sum / (excessJPerMm2[3999]! - excessJPerMm2[1]!)).toBeCloseTo(1, 6);
  });
});

describe('what published cuts say of the sign', () => {
  const reach = (beam: BeamOnWood, m = spruce) =>
    depthOf(linePeakDoseJPerMm2(8, 5, surfaceWidthMm(beam)), 0.02, m, beam);

  // Hernandez-Castaneda et al. 2011, Opt. Lasers Eng. 49, 1139; McMillin & Harry 1971: wet slower than dry.
  test('wet wood is cut less deep than dry', () => {
    const wet = { ...spruce, moisture_percent: { ...spruce.moisture_percent, value: 60 } };
    expect(reach(diode(), wet)).toBeLessThan(reach(diode()));
    expect(reach(diode(), wet)).toBeGreaterThan(0.7 * reach(diode()));
  });

  // Jurek & Wagnerova 2021, Eur. J. Wood Prod. 79, 1097: focus burns black and deep, defocus brown.
  test('at the same line energy a spot out of focus gives a browner and shallower line', () => {
    const sharp = diode([0.1, 0.1], 2);
    const blurred = withFocus(sharp, 16);
    const peak = (beam: BeamOnWood) => linePeakDoseJPerMm2(2, 50, surfaceWidthMm(beam));
    const tone = (beam: BeamOnWood) => toneOf(peak(beam), surfaceWidthMm(beam) / 50, spruce);
    expect(tone(blurred)).toBeLessThan(tone(sharp));
    expect(depthOf(peak(blurred), 0.016, spruce, blurred)).toBeLessThan(
      depthOf(peak(sharp), 0.002, spruce, sharp),
    );
  });

  test('focus a little below the surface cuts thick stock deeper than focus on top', () => {
    const beam = diode([0.16, 0.16], 2);
    const cut = (b: BeamOnWood) => doseForDepth(8, 0.03, spruce, b) * surfaceWidthMm(b);
    expect(cut(withFocus(beam, 2))).toBeLessThan(cut(beam));
  });

  test('one depth alone takes the same as the law that is made for many', () => {
    for (const width of [0.02, 0.1, 0.3])
      for (const rayleigh_mm of [null, 1, 5])
        for (const [depthMm, headZMm] of [
          [0.05, 0],
          [4, 0],
          [20, -10],
        ] as const) {
          const spot = { ...diode([width, width]).spot, rayleigh_mm };
          const beam = { ...diode(), spot, headZMm };
          const many = excessForDepth(depthLaw(spruce, beam), depthMm);
          expect(
            Math.abs(excessToDepth(costOfDepth(costOfWood(spruce), beam), depthMm) / many - 1),
          ).toBeLessThan(1e-4);
        }
    expect(excessToDepth(costOfDepth(costOfWood(spruce), diode()), 0)).toBe(0);
    expect(excessToDepth(costOfDepth(costOfWood(spruce), diode()), 51)).toBe(Infinity);
  });

  // Hata et al. 1999, J. Soc. Mater. Sci. Japan 48(9), 1059, and the Kubovsky group 2022, Appl. Sci. 12, 11355:
  // a kerf widens with power and tapers downwards.
  test('a kerf is wider for more power, and narrower at the bottom than at the top', () => {
    const beam = diode([0.16, 0.16]);
    // Where the dose of a Gaussian line of 1/e² width d passes what a depth needs: d·√(½·ln(peak/needed)).
    const kerf = (powerW: number, depthMm: number) => {
      const over = linePeakDoseJPerMm2(powerW, 3, 0.16) / doseForDepth(depthMm, 0.05, spruce, beam);
      return 0.16 * Math.sqrt(Math.max(0, Math.log(over)) / 2);
    };
    expect(kerf(20, 0)).toBeGreaterThan(kerf(10, 0));
    expect(kerf(20, 0)).toBeGreaterThan(kerf(20, 3));
    expect(kerf(20, 3)).toBeGreaterThan(0);
  });

  // Kudela et al. 2023, Coatings 13, 2006: the denser latewood stands higher.
  test('the denser the wood, the less goes', () => {
    const woods = ['basswood', 'spruce', 'birch plywood', 'beech'].map((name) => shippedMaterials[name]!);
    const depths = woods.map((m) => depthOf(2, 0.005, m, diode()));
    expect(depths.toSorted((a, b) => b - a)).toEqual(depths);
  });

  // Best check 1 of the literature: one volumetric constant alone would be 1.7 times too fast at 25 mm.
  test('without depth losses the exponent over thickness would be near 1, and wrong', () => {
    const open = { ...spruce, wall_loss: { ...spruce.wall_loss, value: 0 } };
    const collimated = { ...pineCutter(), spot: { ...pineCutter().spot, rayleigh_mm: 1e6 } };
    const ratio = doseForDepth(25.4, 0.01, open, collimated) / doseForDepth(6.35, 0.01, open, collimated);
    expect(Math.log(ratio) / Math.log(4)).toBeCloseTo(1, 1);
  });
});
