import { describe, expect, test } from 'vitest';
import { skinShare, skinTable } from '../../src/warmth/depth-kernel.ts';
import {
  addHeat,
  type HeatPieces,
  type Ladder,
  REACH_SIGMA2,
  startLadder,
  warmthAt,
} from '../../src/warmth/ladder.ts';
import { skinByIntegral } from './direct.ts';
import { poplarHeat } from './measure.ts';

/**
 * Closed forms of heat in an insulated half-space, from Carslaw & Jaeger, *Conduction of Heat in Solids*, 2nd ed.,
 * ch. X (values from memory), and Rosenthal 1946. Light is absorbed at the surface here and the spot is a
 * point, but where a test says otherwise.
 */
const ALPHA = 0.15;
const RHO_C = 7.6e-4;
const K = ALPHA * RHO_C;
const surface = { diffusivityMm2PerS: ALPHA, depthMm: 1e-4, thicknessMm: null };

const ladderOf = (skin: Float32Array = skinTable(surface)): Ladder =>
  startLadder({ diffusivityMm2PerS: ALPHA, volumetricJPerMm3K: RHO_C, skin, spotVarianceMm2: 0 });

function heatAt(points: readonly (readonly [x: number, y: number, tS: number, heatJ: number])[]): HeatPieces {
  const column = (k: 0 | 1 | 2 | 3) => Float64Array.from(points, (point) => point[k]);
  return {
    xMm: column(0),
    yMm: column(1),
    halfXMm: new Float64Array(points.length),
    halfYMm: new Float64Array(points.length),
    tS: column(2),
    halfS: new Float64Array(points.length),
    heatJ: column(3),
  };
}

function ladderWith(points: Parameters<typeof heatAt>[0]): Ladder {
  const ladder = ladderOf();
  addHeat(ladder, heatAt(points), 0, points.length);
  return ladder;
}

const expectNear = (found: number, wanted: number, part: number) =>
  expect(Math.abs(found / wanted - 1), `${found} for ${wanted}`).toBeLessThan(part);

describe('one flash of heat', () => {
  test.each([0.02, 0.3, 2, 17, 240])('a point after %d s: 2E/(ρc(4παt)^1.5)·e^(−r²/4αt)', (tS) => {
    const ladder = ladderWith([[3.21, 4.56, 0, 0.01]]);
    for (const r of [0, 1, 1.7].map((times) => times * Math.sqrt(2 * ALPHA * tS))) {
      const wanted =
        ((2 * 0.01) / (RHO_C * (4 * Math.PI * ALPHA * tS) ** 1.5)) * Math.exp((-r * r) / (4 * ALPHA * tS));
      expectNear(warmthAt(ladder, 3.21 + 0.6 * r, 4.56 + 0.8 * r, tS, 0), wanted, 0.04);
    }
  });

  test.each([0.1, 1, 30])('a line after %d s: E′/(2πkt)·e^(−r²/4αt)', (tS) => {
    const line = Array.from({ length: 8001 }, (_, k) => [0.01 * k - 40, 7.03, 0, 0.01 * 0.012] as const);
    const ladder = ladderWith(line);
    for (const r of [0, 1, 1.7].map((times) => times * Math.sqrt(2 * ALPHA * tS))) {
      const wanted = (0.012 / (2 * Math.PI * K * tS)) * Math.exp((-r * r) / (4 * ALPHA * tS));
      expectNear(warmthAt(ladder, 0.123, 7.03 + r, tS, 0), wanted, 0.03);
    }
  });

  test.each([0.3, 2, 17])('a sheet after %d s: q/√(πkρct)', (tS) => {
    const sheet = Array.from({ length: 301 * 301 }, (_, k) => {
      const [i, j] = [k % 301, Math.floor(k / 301)];
      return [0.1 * i - 15, 0.1 * j - 15, 0, 0.05 * 0.01] as const;
    });
    const wanted = 0.05 / Math.sqrt(Math.PI * K * RHO_C * tS);
    expectNear(warmthAt(ladderWith(sheet), 0.03, -0.02, tS, 0), wanted, 0.02);
  });
});

describe('light absorbed in depth', () => {
  const inDepth = { diffusivityMm2PerS: ALPHA, depthMm: 0.15, thicknessMm: null };

  test('the mean over the skin begins at half of 1/δ, and ends as a sheet on the surface', () => {
    expect(skinShare(inDepth, 0)).toBeCloseTo(1 / (2 * 0.15), 10);
    expectNear(skinShare(inDepth, 1000), 1 / Math.sqrt(Math.PI * ALPHA * 1000), 1e-3);
  });

  test('it is the cosine integral of the profile, (2/π)∫ e^(−αk²t)/(1 + k²δ²)² dk', () => {
    for (const ageS of [0.001, 0.01, 0.1, 0.4, 1, 5, 30]) {
      expectNear(skinShare(inDepth, ageS), skinByIntegral({ ...poplarHeat, ...inDepth }, ageS), 1e-5);
    }
  });

  test('it is the surface form (1/δ)·e^(αt/δ²)·erfc(√(αt)/δ) averaged over where the heat was absorbed', () => {
    // Heat that begins at depth z' gives depth z (1/√(4παt))·[e^(−(z−z')²/4αt) + e^(−(z+z')²/4αt)].
    const ageS = 0.05;
    const wide = 4 * ALPHA * ageS;
    const step = 0.004;
    let sum = 0;
    for (let a = step / 2; a < 1.8; a += step) {
      for (let b = step / 2; b < 1.8; b += step) {
        const spread = Math.exp(-((a - b) ** 2) / wide) + Math.exp(-((a + b) ** 2) / wide);
        sum += (Math.exp(-(a + b) / 0.15) / (0.15 * 0.15)) * spread;
      }
    }
    expectNear(skinShare(inDepth, ageS), (sum * step * step) / Math.sqrt(Math.PI * wide), 2e-3);
  });
});

describe('a plate', () => {
  const plate = { diffusivityMm2PerS: ALPHA, depthMm: 0.15, thicknessMm: 4 };

  test('is a half-space at first, and evenly warm through its depth in the end', () => {
    expectNear(skinShare(plate, 2), skinShare({ ...plate, thicknessMm: null }, 2), 1e-6);
    expectNear(skinShare(plate, 1000), 1 / 4, 0.01);
  });

  test('its two forms meet: images, and the series of its modes', () => {
    const at = (fourier: number) => skinShare(plate, (fourier * 16) / ALPHA);
    expectNear(at(1 - 1e-9), at(1 + 1e-9), 1e-4);
    // Carslaw & Jaeger 3.3: (1/D)·[1 + 2·Σ e^(−m²π²Fo)] for heat on the surface.
    for (const fourier of [0.3, 0.6, 1.2]) {
      let modes = 1;
      for (let m = 1; m < 20; m++) modes += 2 * Math.exp(-m * m * Math.PI * Math.PI * fourier);
      expectNear(at(fourier), modes / 4, 0.01);
    }
  });

  test('keeps all heat: the plane adds up to what was put in, at any late time', () => {
    for (const tS of [300, 900]) {
      const ladder = ladderOf(skinTable({ ...surface, thicknessMm: 2 }));
      addHeat(ladder, heatAt([[0.3, 0.2, 0, 2]]), 0, 1);
      const step = 1.5;
      let sum = 0;
      for (let x = -60; x <= 60; x += step) {
        for (let y = -60; y <= 60; y += step) sum += warmthAt(ladder, x, y, tS, 0);
      }
      expectNear(sum * step * step * 2 * RHO_C, 2, 0.02);
    }
  });
});

describe('a beam on its way', () => {
  test('Rosenthal: P/(2πkr)·e^(−v(r + ξ)/2α) beside and behind a point source that moves evenly', () => {
    const [watts, speed] = [0.4, 6];
    const stepS = 0.0005;
    const endS = 6;
    const way = Array.from({ length: endS / stepS }, (_, k) => {
      const tS = (k + 0.5) * stepS;
      return [speed * tS, 5.05, tS, watts * stepS] as const;
    });
    const ladder = ladderWith(way);
    for (const [behind, beside] of [
      [0.3, 0],
      [1, 0],
      [4, 0],
      [12, 0],
      [0.5, 0.2],
      [2, 0.4],
      [6, 0.8],
    ] as const) {
      const r = Math.hypot(behind, beside);
      const wanted = (watts / (2 * Math.PI * K * r)) * Math.exp((-speed * (r - behind)) / (2 * ALPHA));
      const found = warmthAt(ladder, speed * endS - behind, 5.05 + beside, endS, endS);
      expectNear(found, wanted, 0.06);
    }
  });

  test('endless rows: −ln(1 − e^(−p²/4αT))·E′/(2πkT) on the newest', () => {
    const [pitch, periodS, perMm] = [0.1, 0.8, 0.01];
    const rows: (readonly [number, number, number, number])[] = [];
    const count = 600;
    for (let row = 0; row < count; row++) {
      // All of a row at once, long enough that its ends are not felt until late.
      for (let x = -25; x <= 25; x += 0.2) rows.push([x, pitch * row, periodS * row, 0.2 * perMm]);
    }
    const found = warmthAt(ladderWith(rows), 0.07, pitch * count, periodS * count, periodS * count);
    const wanted =
      (-Math.log(1 - Math.exp((-pitch * pitch) / (4 * ALPHA * periodS))) * perMm) /
      (2 * Math.PI * K * periodS);
    expectNear(found, wanted, 0.04);
  });
});

test('heat out of reach is left out, and gives less than e^(−R/2) of what it would on the spot', () => {
  for (const tS of [0.01, 0.3, 4, 50]) {
    const away = Math.sqrt(1.01 * REACH_SIGMA2 * 2 * ALPHA * tS);
    const ladder = ladderWith([[2, 3, 0, 1]]);
    expect(warmthAt(ladder, 2 + away, 3, tS, 0)).toBe(0);
    const onTheSpot = 2 / (RHO_C * (4 * Math.PI * ALPHA * tS) ** 1.5);
    const leftOut = onTheSpot * Math.exp((-away * away) / (4 * ALPHA * tS));
    expect(leftOut).toBeLessThan(Math.exp(-REACH_SIGMA2 / 2) * onTheSpot);
    expect(Math.exp(-REACH_SIGMA2 / 2)).toBeLessThan(0.003);
  }
});
