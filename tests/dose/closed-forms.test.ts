import erf from '@stdlib/math-base-special-erf';
import { describe, expect, test } from 'vitest';
import { normalQuantile, phi, psi, REACH_SIGMA } from '../../src/dose/normal.ts';
import { integrate } from '../../src/grid.ts';
import { at, doseOf, frame } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import type { Step } from '../support/program-of.ts';

/** A line along x at height y at full power and speed v, long enough that its ramps lie far outside. */
const line = (y: number, v: number, from = -400, to = 400): Step[] => [
  { x: from, y, rapid: true },
  { x: to, y, feed: v, s: 1000, power: 'constant', rapid: false },
];
const normalCdf = (u: number) => 0.5 * (1 + erf(u / Math.SQRT2));

describe('the normal distribution table', () => {
  test('Φ agrees with an independent erf (stdlib) to the 4e-6 that is cut off, Ψ with u·Φ + φ', () => {
    for (let u = -7; u <= 7; u += 0.00137) {
      expect(Math.abs(phi(u) - normalCdf(u))).toBeLessThan(4e-6);
      const integral = u * normalCdf(u) + Math.exp((-u * u) / 2) / Math.sqrt(2 * Math.PI);
      expect(Math.abs(psi(u) - integral)).toBeLessThan(2e-5);
    }
  });

  test('published values: erf 0.25, 0.5, 1, 1.5, 2', () => {
    for (const [x, value] of [
      [0.25, 0.276326],
      [0.5, 0.5205],
      [1, 0.842701],
      [1.5, 0.966105],
      [2, 0.995322],
    ] as const) {
      // The table ends at 4.5 σ and shares the 7e-6 beyond out evenly.
      expect(Math.abs(2 * phi(x * Math.SQRT2) - 1 - value)).toBeLessThan(8e-6);
    }
  });

  test('the quantile turns Φ round, within 0.001 up to 3 σ', () => {
    for (let u = -3; u <= 3; u += 0.0137)
      expect(Math.abs(normalQuantile(normalCdf(u)) - u)).toBeLessThan(1e-3);
  });

  test('ends exactly: 0 and 1 beyond the reach', () => {
    expect([phi(-REACH_SIGMA), phi(REACH_SIGMA), psi(-REACH_SIGMA), psi(REACH_SIGMA)]).toEqual([
      0,
      1,
      0,
      REACH_SIGMA,
    ]);
    expect(phi(REACH_SIGMA - 1e-9)).toBeCloseTo(1, 9);
  });
});

describe('one Gaussian line: F(y) = √(2/π)·P/(v·w)·exp(−2y²/w²), w the 1/e² radius', () => {
  test('peak fluence 1.994711 J/mm² for 5 W, 50 mm/s, w = 0.040 mm (closed form, checked by quadrature)', () => {
    const machine = machineWith({ laser: { optical_power_w: 5 }, spot: { width_mm: [0.08, 0.08] } });
    // Cells of w/40: their mean lies h²·F''/24 = F0·h²/(6·w²) below the peak.
    const dose = doseOf(line(0.0005, 50), machine, frame(0, 0, 4, 1, 0.001));
    expect(at(dose, 2, 0)).toBeCloseTo(1.994711 * (1 - (0.001 / 0.04) ** 2 / 6), 4);
  });

  test.each([0, 27, 45, 90])(
    'cell means across a line turned by %d° match the erf closed form',
    (turnDeg) => {
      const machine = machineWith({ laser: { optical_power_w: 5 }, spot: { width_mm: [0.16, 0.16] } });
      const turn = (turnDeg * Math.PI) / 180;
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      const steps: Step[] = [
        { x: -40 * c, y: -40 * s, rapid: true },
        { x: 40 * c, y: 40 * s, feed: 20, s: 1000, power: 'constant', rapid: false },
      ];
      const h = 0.05;
      const dose = doseOf(steps, machine, frame(-1, -1, 40, 40, h));
      const sigma = 0.04;
      // Mean over the cell by a fine product rule of the exact line profile.
      for (const [i, j] of [
        [20, 20],
        [21, 20],
        [25, 27],
        [30, 22],
        [10, 10],
      ] as const) {
        let mean = 0;
        for (let a = 0; a < 20; a++) {
          for (let b = 0; b < 20; b++) {
            const x = -1 + h * (i + (a + 0.5) / 20);
            const y = -1 + h * (j + (b + 0.5) / 20);
            const off = y * c - x * s;
            mean += Math.exp((-off * off) / (2 * sigma * sigma)) / 400;
          }
        }
        const peak = 5 / 20 / (sigma * Math.sqrt(2 * Math.PI));
        expect(Math.abs(at(dose, i, j) - mean * peak)).toBeLessThan(peak * 1e-3);
      }
    },
  );

  test('the end of a stroke: 50 % at the end point, 84.134 % and 15.866 % at ± w/2 (erf closed form)', () => {
    // A stroke that begins at full speed: what comes before it is dark.
    const steps: Step[] = [
      { x: -50, y: 0.0005, feed: 40, s: 0, power: 'constant', rapid: false },
      { x: 0.05, s: 0 },
      { x: 100, s: 1000 },
    ];
    const machine = machineWith({ spot: { width_mm: [0.2, 0.2] } });
    const h = 0.001;
    const dose = doseOf(steps, machine, frame(-1, 0, 2100, 1, h));
    const far = at(dose, 2000, 0);
    const share = (offMm: number) => {
      const i = Math.round((1.05 + offMm) / h);
      return (at(dose, i, 0) + at(dose, i - 1, 0)) / 2 / far;
    };
    expect(share(0)).toBeCloseTo(0.5, 4);
    expect(share(0.05)).toBeCloseTo(0.84134, 4);
    expect(share(-0.05)).toBeCloseTo(0.15866, 4);
    expect(share(0.025)).toBeCloseTo(0.691462, 4);
    expect(share(0.1)).toBeCloseTo(0.97725, 4);
  });
});

describe('uniform spots', () => {
  test('a disc moving: centre 1.27324·P/(v·d), profile (4P/(πd²v))·√(d² − 4y²)', () => {
    const machine = machineWith({ spot: { shape: 'uniform-ellipse', width_mm: [1, 1] } });
    const dose = doseOf(line(0.025, 40, -50, 50), machine, frame(-0.2, -0.8, 8, 33, 0.05));
    for (let j = 0; j < 33; j++) {
      const y = -0.8 + (j + 0.5) * 0.05 - 0.025;
      const exact = ((4 * 8) / (Math.PI * 40)) * Math.sqrt(Math.max(0, 1 - 4 * y * y));
      // The rim's slope is infinite: a cell mean there is not the value at its middle.
      if (Math.abs(Math.abs(y) - 0.5) > 0.06) expect(at(dose, 4, j)).toBeCloseTo(exact, 2);
    }
    expect(at(dose, 4, 16) / (8 / 40)).toBeCloseTo(1.27324, 2);
  });

  test('a square moving along its side: P/(v·d), the same all across', () => {
    const machine = machineWith({ spot: { shape: 'uniform-rectangle', width_mm: [1, 1] } });
    const dose = doseOf(line(0, 40, -50, 50), machine, frame(-0.2, -0.6, 8, 24, 0.05));
    for (let j = 3; j < 21; j++) expect(at(dose, 4, j)).toBeCloseTo(8 / 40, 4);
    expect(at(dose, 4, 1)).toBeLessThan(1e-12);
  });

  test('a square moving along its diagonal peaks at √2·P/(v·d) on its centre line', () => {
    const machine = machineWith({ spot: { shape: 'uniform-rectangle', width_mm: [1, 1], rotation_deg: 45 } });
    const dose = doseOf(line(0.01, 40, -50, 50), machine, frame(-0.2, 0, 8, 1, 0.02));
    expect(at(dose, 4, 0) / (8 / 40)).toBeCloseTo(Math.SQRT2, 1);
  });
});

/** Second moments of a dose grid about its centroid, less the h²/12 that averaging over cells adds (Sheppard). */
function moments(dose: ReturnType<typeof doseOf>) {
  const { nx, ny, cellMm, data } = dose.grid;
  let [sum, sx, sy, sxx, syy, sxy] = [0, 0, 0, 0, 0, 0];
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const d = data[j * nx + i]!;
      const [x, y] = [i * cellMm, j * cellMm];
      sum += d;
      sx += d * x;
      sy += d * y;
      sxx += d * x * x;
      syy += d * y * y;
      sxy += d * x * y;
    }
  }
  const [mx, my] = [sx / sum, sy / sum];
  const sheppard = (cellMm * cellMm) / 12;
  return { xx: sxx / sum - mx * mx - sheppard, yy: syy / sum - my * my - sheppard, xy: sxy / sum - mx * my };
}

describe('spot widths are D4σ (ISO 11146, as in S. Prahl, "ISO 11146 Beam Size Definitions")', () => {
  const still: Step[] = [
    { x: 2, y: 2, feed: 50, s: 0, power: 'constant', rapid: false },
    { dwellS: 1, s: 1000 },
  ];

  test.each([0, 20, 45, 90, 135])(
    'Gaussian 0.3 × 0.5 mm turned by %d°: 4σ, tilt and ellipse come back',
    (rotation) => {
      const machine = machineWith({ spot: { width_mm: [0.3, 0.5], rotation_deg: rotation } });
      const { xx, yy, xy } = moments(doseOf(still, machine, frame(0, 0, 200, 200, 0.02)));
      const root = Math.sqrt((xx - yy) ** 2 + 4 * xy * xy);
      expect(Math.sqrt(8 * (xx + yy) - 8 * root)).toBeCloseTo(0.3, 3);
      expect(Math.sqrt(8 * (xx + yy) + 8 * root)).toBeCloseTo(0.5, 3);
      const tilt = (0.5 * Math.atan2(2 * xy, xx - yy) * 180) / Math.PI; // direction of the long axis
      expect((((tilt - 90 - rotation) % 180) + 270) % 180).toBeCloseTo(90, 1);
    },
  );

  test('a uniform ellipse has D4σ equal to its full widths, a uniform rectangle 2/√3 of them', () => {
    const ellipse = moments(
      doseOf(
        still,
        machineWith({ spot: { shape: 'uniform-ellipse', width_mm: [0.6, 1] } }),
        frame(0, 0, 200, 200, 0.02),
      ),
    );
    expect(4 * Math.sqrt(ellipse.xx)).toBeCloseTo(0.6, 2);
    expect(4 * Math.sqrt(ellipse.yy)).toBeCloseTo(1, 2);
    const box = moments(
      doseOf(
        still,
        machineWith({ spot: { shape: 'uniform-rectangle', width_mm: [0.6, 1] } }),
        frame(0, 0, 200, 200, 0.02),
      ),
    );
    expect(4 * Math.sqrt(box.xx)).toBeCloseTo((0.6 * 2) / Math.sqrt(3), 2);
    expect(4 * Math.sqrt(box.yy)).toBeCloseTo(2 / Math.sqrt(3), 2);
  });

  test('a spot out of focus by its Rayleigh length is √2 wider, and rests carry all their energy', () => {
    const machine = machineWith({ spot: { width_mm: [0.3, 0.3], rayleigh_mm: 3 } });
    const dose = doseOf([{ ...still[0]!, z: 3 }, still[1]!], machine, frame(0, 0, 200, 200, 0.02));
    expect(4 * Math.sqrt(moments(dose).xx)).toBeCloseTo(0.3 * Math.SQRT2, 3);
    expect(integrate(dose.grid)).toBeCloseTo(8, 5);
  });
});

describe('rasters', () => {
  /** Rows along x, `pitch` apart, with the ramps far outside the grid. */
  const raster = (pitch: number): Step[] =>
    Array.from({ length: 61 }, (_, k) =>
      k % 2 ? [{ x: 40, y: k * pitch }, { x: -40 }] : [{ x: -40, y: k * pitch }, { x: 40 }],
    )
      .flat()
      .map((step, k) => ({ ...step, feed: 100, s: 1000, power: 'constant', rapid: k === 0 }) as Step);

  // Peak-to-valley over mean, exact theta-function sum (Poisson summation), by row spacing over 1/e² radius.
  test.each([
    [1, 0.02877],
    [1.25, 0.17],
    [1.5, 0.4462],
    [2, 1.1649],
    [2.5, 1.8194],
  ])('row spacing %d w: mean P/(v·p) and ripple %d', (spacing, ripple) => {
    const w = 0.1;
    const pitch = spacing * w;
    const machine = machineWith({ spot: { width_mm: [2 * w, 2 * w] }, acceleration_mm_s2: [1e5, 1e5, 1e5] });
    const cells = 400; // per row spacing
    const dose = doseOf(raster(pitch), machine, frame(0, 30 * pitch, 1, cells * 2, pitch / cells));
    const column = Array.from(dose.grid.data);
    const mean = column.reduce((sum, v) => sum + v, 0) / column.length;
    expect(mean / (8 / (100 * pitch))).toBeCloseTo(1, 4);
    const measured = (Math.max(...column) - Math.min(...column)) / mean;
    expect(measured).toBeCloseTo(ripple, spacing > 2 ? 2 : 3);
  });
});
