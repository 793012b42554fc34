import { lab as d3Lab } from 'd3-color';
import { describe, expect, test } from 'vitest';
import { depthOf, doseForDepth } from '../../src/burn/depth.ts';
import { LEAST_DOSE_PART } from '../../src/burn/uncertainty.ts';
import { type BareSample, bareLight } from '../../src/photo/bare.ts';
import { labOfLinear, linearOfLab } from '../../src/photo/colour-space.ts';
import { homographyOf, inverted, mapped, scaleAt } from '../../src/photo/homography.ts';
import { codedOf, LINEAR, linearOf, nearestCode } from '../../src/photo/photo.ts';
import { boundedBy } from '../../src/swatch/fit/bounded.ts';
import { fitRemoval, isFit } from '../../src/swatch/fit/cuts.ts';
import { fitLadder, logarithmicWidths } from '../../src/swatch/fit/ladder.ts';
import { leastSquares, sigmaOf } from '../../src/swatch/fit/least-squares.ts';
import type { CutDose, LineDose } from '../../src/swatch/replay.ts';
import { seeded } from '../support/random.ts';
import { gaussian } from './photograph.ts';
import { poplar } from './woods.ts';

test('sRGB’s curve has its published places and turns back on itself', () => {
  // IEC 61966-2-1: straight below 0.04045, 0.5 coded is 0.21404 linear.
  expect(linearOf(0)).toBe(0);
  expect(linearOf(255)).toBeCloseTo(1, 12);
  expect(linearOf(127.5)).toBeCloseTo(0.21404, 5);
  expect(linearOf(0.04045 * 255)).toBeCloseTo(0.04045 / 12.92, 6);
  for (let coded = 0; coded <= 255; coded++) expect(codedOf(linearOf(coded))).toBeCloseTo(coded, 4);
});

test('the value nearest to a light is what the curve gives it, rounded', () => {
  const random = seeded(4);
  // More of them in the dark, where a little light is many values.
  const lights = Array.from({ length: 3000 }, () => random() ** 4);
  expect(lights.filter((light) => Math.abs(nearestCode(light) - codedOf(light)) > 0.5 + 1e-9)).toEqual([]);
  expect([...LINEAR].map(nearestCode)).toEqual(Array.from({ length: 256 }, (_, code) => code));
  expect([-1, Number.NaN, 2].map(nearestCode)).toEqual([0, 0, 255]);
});

test('CIELAB agrees with the colour library that paints the pictures', () => {
  const random = seeded(3);
  for (let k = 0; k < 300; k++) {
    const rgb = [random(), random(), random()] as const;
    const [l, a, b] = labOfLinear(rgb);
    const theirs = d3Lab(l, a, b).rgb();
    expect(theirs.r).toBeCloseTo(codedOf(rgb[0]), 1);
    expect(theirs.g).toBeCloseTo(codedOf(rgb[1]), 1);
    expect(theirs.b).toBeCloseTo(codedOf(rgb[2]), 1);
    linearOfLab([l, a, b]).forEach((c, at) => {
      expect(c).toBeCloseTo(rgb[at]!, 5);
    });
  }
  // A neutral grey is neutral, white is 100 (CIE 15).
  const [l, a, b] = labOfLinear([1, 1, 1]);
  expect(l).toBeCloseTo(100, 3);
  expect(Math.hypot(a, b)).toBeLessThan(0.01);
});

test('a homography takes its four points where they belong, and its inverse takes every point back', () => {
  const random = seeded(5);
  const from = [
    [0, 0],
    [100, 0],
    [100, 60],
    [0, 60],
  ] as const;
  for (let k = 0; k < 200; k++) {
    const to = from.map(([x, y]) => [40 + 10 * x + 120 * random(), 900 - 10 * y + 120 * random()] as const);
    const map = homographyOf(from, to)!;
    const back = inverted(map);
    from.forEach((point, corner) => {
      const [u, v] = mapped(map, point);
      expect(u).toBeCloseTo(to[corner]![0], 6);
      expect(v).toBeCloseTo(to[corner]![1], 6);
    });
    const point = [100 * random(), 60 * random()] as const;
    const again = mapped(back, mapped(map, point));
    expect(again[0]).toBeCloseTo(point[0], 8);
    expect(again[1]).toBeCloseTo(point[1], 8);
  }
  expect(
    scaleAt(
      homographyOf(
        from,
        from.map(([x, y]) => [7 * x, -7 * y] as const),
      )!,
      [50, 30],
    ),
  ).toBeCloseTo(7, 6);
  expect(
    homographyOf(from, [
      [0, 0],
      [1, 1],
      [2, 2],
      [3, 3],
    ]),
  ).toBeNull();
});

/**
 * Worked example of the logarithmic-width method (J. M. Liu, *Opt. Lett.* 7, 196 (1982), formula from memory; numbers
 * computed): w = 0.050 mm, E_th = 0.200 J give these widths.
 */
const LIU = [
  [0.3, 0.04503],
  [0.5, 0.06769],
  [1, 0.08971],
  [2, 0.1073],
  [5, 0.12686],
] as const;

test('the logarithmic-width method finds spot and threshold of its worked example', () => {
  const { wMm, thresholdJPerMm } = logarithmicWidths(
    LIU.map(([energy]) => energy),
    LIU.map(([, width]) => width),
  );
  expect(wMm).toBeCloseTo(0.05, 4);
  expect(thresholdJPerMm).toBeCloseTo(0.2, 3);
});

test('for wood that turns black at one dose the ladder fit is that method', () => {
  const sigma = 0.025; // of the profile's spot, 0.1 mm wide
  const stepMm = sigma / 40;
  const doses = LIU.map(([energy], k): LineDose => {
    const profileJPerMm2 = Float64Array.from({ length: 481 }, (_, j) => {
      const u = ((j - 240) * stepMm) / sigma;
      return (energy / (sigma * Math.sqrt(2 * Math.PI))) * Math.exp((-u * u) / 2);
    });
    const line = {
      n: k + 1,
      along: 'x' as const,
      at_mm: [0, 0] as [number, number],
      length_mm: 8,
      speed_mm_s: 10,
      s: 1,
    };
    return { line, lineEnergyJPerMm: energy, profileJPerMm2, stepMm, dwellS: 0.01 };
  });
  const read = LIU.map(([, widthMm]) => ({ widthMm, sigmaMm: 0.0005, shiftMm: 0 }));
  // F_th = √(2/π)·E_th/w for the example's own w; a little rounded, so that there is a slope to follow.
  const threshold = (Math.sqrt(2 / Math.PI) * 0.2) / 0.05;
  const darkness = (dose: number) => 1 / (1 + (threshold / dose) ** 60);
  const spot = {
    shape: 'gaussian',
    width_mm: [0.1, 0.1],
    rotation_deg: 0,
    focus_z_mm: 0,
    rayleigh_mm: null,
  } as const;
  const fit = fitLadder('x', doses, read, { ...spot, width_mm: [0.1, 0.1] }, darkness)!;
  expect(fit.widthMm).toBeCloseTo(0.1, 2);
  expect(Math.abs(fit.widthMm - 0.1)).toBeLessThan(fit.widthSigmaMm);
  expect(fit.doseFactor).toBeCloseTo(1, 1);
  // A spot half as wide again in the profile: the lines say what it really is.
  const wide = doses.map((dose) => ({
    ...dose,
    stepMm: stepMm * 1.5,
    profileJPerMm2: dose.profileJPerMm2.map((d) => d / 1.5),
  }));
  const again = fitLadder('x', wide, read, { ...spot, width_mm: [0.15, 0.15] }, darkness)!;
  expect(again.profileWidthMm).toBeCloseTo(0.15, 9);
  expect(again.widthMm).toBeCloseTo(fit.widthMm, 3);
});

test('too few visible lines tell nothing', () => {
  const doses = LIU.map(
    ([energy], k): LineDose => ({
      line: { n: k + 1, along: 'y', at_mm: [0, 0], length_mm: 8, speed_mm_s: 10, s: 1 },
      lineEnergyJPerMm: energy,
      profileJPerMm2: new Float64Array(11).fill(energy),
      stepMm: 0.01,
      dwellS: 0.01,
    }),
  );
  const read = LIU.map(() => ({ widthMm: 0.002, sigmaMm: 0.004, shiftMm: 0 }));
  const spot = {
    shape: 'gaussian' as const,
    width_mm: [0.1, 0.1] as [number, number],
    rotation_deg: 0,
    focus_z_mm: 0,
    rayleigh_mm: null,
  };
  expect(fitLadder('y', doses, read, spot, () => 0.5)).toBeNull();
  expect(fitLadder('x', doses, read, spot, () => 0.5)).toBeNull();
});

const beam = {
  spot: { shape: 'gaussian', width_mm: [0.12, 0.18], focus_z_mm: 0, rayleigh_mm: 2.5 },
  wavelengthNm: 450,
} as const;
const cutsOf = (peaks: readonly number[]): CutDose[] =>
  peaks.map((peakJPerMm2, k) => ({
    cut: { n: k + 1, at_mm: [k, 0], length_mm: 5, speed_mm_s: 4, s: 1000, passes: 1 },
    peakJPerMm2,
    dwellS: 0.04,
  }));
const NO_DOUBT = { firstMark: 0, fullChar: 0 };

test('removal is the one for which the board takes the bracketed dose', () => {
  const cuts = cutsOf([30, 27, 24, 21, 18, 15, 12]);
  for (const removal of [1.5, 2, 2.6, 3.2]) {
    const wood = { ...poplar, removal_j_mm3: { ...poplar.removal_j_mm3, value: removal } };
    const through = cuts
      .filter(({ peakJPerMm2, dwellS }) => depthOf(peakJPerMm2, dwellS, wood, beam) >= 3)
      .map(({ cut }) => cut.n);
    const fit = fitRemoval(cuts, through, 3, poplar, beam, NO_DOUBT);
    if (!isFit(fit)) {
      // Beyond the row: what the wood is must lie on the side that is told.
      expect(fit.atLeastJPerMm3 ?? 0).toBeLessThanOrEqual(removal);
      expect(fit.atMostJPerMm3 ?? 100).toBeGreaterThanOrEqual(removal);
      continue;
    }
    const asked = doseForDepth(3, 0.04, wood, beam);
    expect(fit.betweenJPerMm2[0]).toBeLessThanOrEqual(asked);
    expect(fit.betweenJPerMm2[1]).toBeGreaterThanOrEqual(asked);
    expect(Math.abs(fit.removalJPerMm3 - removal)).toBeLessThan(2 * fit.sigmaJPerMm3);
    const found = { ...poplar, removal_j_mm3: { ...poplar.removal_j_mm3, value: fit.removalJPerMm3 } };
    expect(doseForDepth(3, 0.04, found, beam)).toBeCloseTo(fit.doseJPerMm2, 3);
  }
});

test('none through, all through, and a mixed row say what they can', () => {
  const cuts = cutsOf([20, 16, 12.8, 10.2]);
  const none = fitRemoval(cuts, [], 3, poplar, beam, NO_DOUBT);
  const all = fitRemoval(cuts, [1, 2, 3, 4], 3, poplar, beam, NO_DOUBT);
  expect(none).toEqual({ atLeastJPerMm3: expect.any(Number), atMostJPerMm3: null });
  expect(all).toEqual({ atLeastJPerMm3: null, atMostJPerMm3: expect.any(Number) });
  const clean = fitRemoval(cuts, [1, 2], 3, poplar, beam, NO_DOUBT);
  const mixed = fitRemoval(cuts, [1, 3], 3, poplar, beam, NO_DOUBT);
  expect(isFit(clean) && !clean.mixed && isFit(mixed) && mixed.mixed).toBe(true);
  if (isFit(clean) && isFit(mixed)) expect(mixed.sigmaJPerMm3).toBeGreaterThan(clean.sigmaJPerMm3);
  expect(() => fitRemoval(cuts, [9], 3, poplar, beam, NO_DOUBT)).toThrow(
    /found cut 9; expected numbers from 1 to 4/,
  );
});

test('least squares finds a straight line, its uncertainties, and heeds what was known', () => {
  // y = 2 + 3x at x = 0 … 9 with σ = 0.5: var(slope) = σ²/Σ(x − x̄)² = 0.25/82.5 (any textbook).
  const random = gaussian(seeded(8));
  const x = Array.from({ length: 10 }, (_, k) => k);
  const y = x.map((each) => 2 + 3 * each + 0.5 * random());
  const residuals = ([a, b]: readonly number[]) => x.map((each, k) => (a! + b! * each - y[k]!) / 0.5);
  const free = { start: 0, scale: 1, prior: null };
  const fit = leastSquares([free, free], residuals);
  const meanY = y.reduce((s, each) => s + each, 0) / 10;
  const slope = x.reduce((s, each, k) => s + (each - 4.5) * (y[k]! - meanY), 0) / 82.5;
  expect(fit.values[1]).toBeCloseTo(slope, 5);
  expect(fit.values[0]).toBeCloseTo(meanY - 4.5 * slope, 5);
  const grown = Math.sqrt(Math.max(1, fit.chiSquarePerFreedom));
  expect(sigmaOf(fit, 1)).toBeCloseTo(Math.sqrt(0.25 / 82.5) * grown, 5);
  const held = leastSquares([free, { start: 3, scale: 1, prior: { value: 3, sigma: 1e-6 } }], residuals);
  expect(held.values[1]).toBeCloseTo(3, 5);
});

test('bare light stays sensible where wood is bare in two or three columns only, which tell no bend along x', () => {
  const normal = gaussian(seeded(13));
  const lamp = (x: number) => 0.4 * Math.exp(0.001 * (x - 50));
  for (const columns of [
    [5, 95],
    [5, 50, 95],
  ]) {
    const samples: BareSample[] = columns.flatMap((xMm) =>
      Array.from({ length: 20 }, (_, k): BareSample => {
        const light = lamp(xMm) * Math.exp(0.01 * normal());
        return { xMm, yMm: 3 * k, rgb: [light, 0.8 * light, 0.5 * light] };
      }),
    );
    const bare = bareLight(samples);
    expect(bare.leftOut).toBe(0);
    for (const xMm of columns) expect(Math.abs(Math.log(bare.at(xMm, 30)[0] / lamp(xMm)))).toBeLessThan(0.02);
    // Between them the least surface may be off, but not by a factor of two.
    for (let xMm = 5; xMm <= 95; xMm += 5)
      expect(Math.abs(Math.log(bare.at(xMm, 30)[0] / lamp(xMm)))).toBeLessThan(Math.LN2);
  }
});

test('bare light follows lamp and lens under knots and noise', () => {
  const random = seeded(12);
  const normal = gaussian(random);
  const lamp = (x: number, y: number) => 0.4 * Math.exp(0.004 * x - 0.003 * y - 0.00008 * (x - 40) ** 2);
  const samples: BareSample[] = [];
  for (let k = 0; k < 500; k++) {
    const [xMm, yMm] = [100 * random(), 60 * random()];
    const knot = k % 40 === 0 ? 0.6 : 1;
    const light = lamp(xMm, yMm) * knot * Math.exp(0.01 * normal());
    samples.push({ xMm, yMm, rgb: [light, 0.8 * light, 0.5 * light] });
  }
  const bare = bareLight(samples);
  expect(bare.leftOut).toBeGreaterThanOrEqual(12);
  expect(bare.leftOut).toBeLessThan(30);
  for (let k = 0; k < 100; k++) {
    const [x, y] = [5 + 90 * random(), 5 + 50 * random()];
    const [r, g] = bare.at(x, y);
    expect(Math.abs(Math.log(r / lamp(x, y)))).toBeLessThan(0.02);
    expect(g / r).toBeCloseTo(0.8, 2);
  }
  expect(Math.sqrt(bare.scatter[0]!)).toBeGreaterThan(0.008);
  expect(Math.sqrt(bare.scatter[0]!)).toBeLessThan(0.014);
});

describe('a removal of which only a bound is known', () => {
  const known = (value: number, plusMinus: number | null) => ({
    ...poplar.removal_j_mm3,
    value,
    plus_minus: plusMinus,
  });
  const moreThan = (atLeastJPerMm3: number) => ({ atLeastJPerMm3, atMostJPerMm3: null });
  const lessThan = (atMostJPerMm3: number) => ({ atLeastJPerMm3: null, atMostJPerMm3 });

  test('is the mean of what lies beyond it, by summing over all values', () => {
    for (const [value, bound] of [
      [2.2, 2.4],
      [2.2, 2],
      [3, 3],
    ] as const) {
      const [spread, doubt] = [0.15, LEAST_DOSE_PART].map((part) => Math.sqrt(Math.log1p(part * part))) as [
        number,
        number,
      ];
      let [weight, mean, square] = [0, 0, 0];
      for (let x = -1; x < 1; x += 1e-3) {
        // The bound as a soft step: its own doubt summed over.
        let beyond = 0;
        for (let y = -6 * doubt; y < 6 * doubt; y += doubt / 50)
          if (Math.log(value) + x > Math.log(bound) + y) beyond += Math.exp(-((y / doubt) ** 2) / 2);
        const likely = beyond * Math.exp(-((x / spread) ** 2) / 2);
        weight += likely;
        mean += likely * x;
        square += likely * x * x;
      }
      mean /= weight;
      const found = boundedBy(known(value, 0.15 * value), moreThan(bound))!;
      expect(Math.log(found.value / value)).toBeCloseTo(mean, 2);
      expect(found.sigma / found.value).toBeCloseTo(Math.sqrt(square / weight - mean * mean), 2);
    }
  });

  test('lies beyond a bound that the profile held for impossible, on either side alike', () => {
    const more = boundedBy(known(2.2, 0.3), moreThan(4.4))!;
    const less = boundedBy(known(2.2, 0.3), lessThan(1.1))!;
    expect(more.value - more.sigma / 2).toBeGreaterThan(4.4);
    expect(more.value).toBeLessThan(6);
    expect(less.value * more.value).toBeCloseTo(2.2 * 2.2, 6);
    expect(boundedBy(known(2.2, null), moreThan(4.4))!.value).toBeGreaterThan(4.4);
  });

  test('stays where the bound says nothing new, or nothing was asked', () => {
    expect(boundedBy(known(2.2, 0.3), moreThan(1.1))).toBeNull();
    expect(boundedBy(known(2.2, 0.3), lessThan(4.4))).toBeNull();
    expect(boundedBy(known(2.2, null), moreThan(1.1))).toBeNull();
    expect(boundedBy(known(2.2, 0.3), null)).toBeNull();
  });
});
