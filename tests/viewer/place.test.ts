import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { cellAt } from '../../src/grid.ts';
import { factsAround, factWords } from '../../viewer/stage/facts.ts';
import { lastArrivalS } from '../../viewer/stage/when.ts';
import { coarserReveals } from '../../viewer/worker/reveal.ts';
import { sceneOf } from '../../viewer/worker/scene.ts';
import { machineWith } from '../support/machines.ts';

/** Rows half a millimetre apart, darker each; then one slow line through the board. */
const JOB = `G21 G90
M3 S0
G0 X5 Y5
G1 X25 S300 F2400
G0 X5 Y5.5
G1 X25 S400 F2400
G0 X5 Y6
G1 X25 S500 F2400
G0 X5 Y12
G1 X25 S1000 F60
M5
`;

const scene = sceneOf(
  {
    id: 1,
    setup: {
      job: { name: 'job.nc', text: JOB },
      machine: machineWith({ laser: { optical_power_w: 10 }, spot: { width_mm: [0.15, 0.15] } }),
      material: shippedMaterials['poplar plywood']!,
      stock: { widthMm: 30, heightMm: 20, thicknessMm: 3, xMm: 0, yMm: 0 },
      changes: [],
      cellMm: 0.05,
    },
    live: false,
    texels: 1_000_000,
  },
  () => {},
);

describe('a pointed place', () => {
  test('is the mean over what the pointer covers: rows and the wood between them', () => {
    const between = factsAround(scene, 15, 5.25, 0.05)!;
    expect(between.tone).toBeLessThan(0.02);
    const one = factsAround(scene, 15, 5.25, 0.5)!;
    const other = factsAround(scene, 15, 5.3, 0.5)!;
    expect(one.tone).toBeGreaterThan(0.1);
    expect(Math.abs(one.tone - other.tone)).toBeLessThan(0.1);
    expect(one.mostDoseJPerMm2).toBeGreaterThan(2 * one.doseJPerMm2);
    expect(factWords(one, 'burn')[0]).toMatch(/^[\d.]+ J\/mm², up to [\d.]+$/);
  });

  test('tells first what the view shows', () => {
    const facts = factsAround(scene, 15, 12, 0.1)!;
    expect(facts.through).toBeGreaterThan(0);
    expect(factWords(facts, 'speed')[0]).toBe('60 mm/min');
    expect(factWords(facts, 'power')[0]).toBe('10 W');
    expect(factWords(facts, 'depth')[0]).toMatch(/cut through$/);
    expect(factWords(facts, 'arrival')[0]).toMatch(/^at \d+:\d\d/);
    expect(factWords(facts, 'burn')[0]).toMatch(/J\/mm²/);
    // A dose in the midst of the wood's range is the least sure of its tone; far beyond full char all boards agree.
    const rows = factsAround(scene, 15, 5.25, 0.5)!;
    expect(rows.toneGiveOrTake).toBeGreaterThan(0.05);
    expect(factWords(rows, 'burn').join()).toMatch(/tone 0\.\d\d ± 0\.\d\d/);
    expect(facts.toneGiveOrTake).toBeLessThan(rows.toneGiveOrTake);
  });

  test('knows nothing off the board, and bare wood', () => {
    expect(factsAround(scene, -1, 5, 0.2)).toBeNull();
    expect(factWords(factsAround(scene, 15, 17, 0.2)!, 'speed')).toEqual(['bare wood, no dose']);
    // No cells lie there: they hold only what light falls on.
    expect(cellAt(scene.forecast.burn.frame, 15, 17)).toBe(-1);
  });
});

test('a place is the same whether cells go on beyond the burn or not', () => {
  const { forecast, arrival } = scene;
  const { burn, dose } = forecast;
  const [i0, j0, nx, ny] = [40, 50, burn.frame.nx + 90, burn.frame.ny + 80];
  const wider = (values: Float32Array): Float32Array => {
    const all = new Float32Array(nx * ny);
    for (let j = 0; j < burn.frame.ny; j++)
      all.set(values.subarray(j * burn.frame.nx, (j + 1) * burn.frame.nx), (j0 + j) * nx + i0);
    return all;
  };
  const { cellMm } = burn.frame;
  const frame = { nx, ny, cellMm, x0Mm: burn.frame.x0Mm - i0 * cellMm, y0Mm: burn.frame.y0Mm - j0 * cellMm };
  const within = {
    ...scene,
    forecast: {
      ...forecast,
      burn: { ...burn, frame, tone: wider(burn.tone), depthMm: wider(burn.depthMm), through: null },
      dose: {
        ...dose,
        grid: { ...dose.grid, ...frame, data: wider(dose.grid.data) },
        doseLnDwell: wider(dose.doseLnDwell),
      },
    },
    arrival,
  };
  for (const [x, y] of [
    [15, 4.4],
    [4.2, 6],
    [26, 12],
    [25.2, 12.9],
  ] as const) {
    const [own, wide] = [scene, within].map((each) => factsAround(each, x, y, 1.1)!);
    expect(own!.doseJPerMm2).toBeGreaterThan(0);
    expect(own!.doseJPerMm2 / wide!.doseJPerMm2).toBeCloseTo(1, 9);
    expect(own!.tone).toBeCloseTo(wide!.tone, 9);
    expect(own!.last).toEqual(wide!.last);
  }
});

describe('a visited place', () => {
  test('is seen when the last beam has left its surroundings', () => {
    const { motion } = scene.forecast;
    const rows = lastArrivalS(scene, [15, 5], 3, null)!;
    const cut = lastArrivalS(scene, [15, 5], 9, null)!;
    expect(rows).toBeLessThan(cut);
    expect(cut).toBeLessThan(motion.durationS);
    const second = scene.forecast.program.operations[1]!;
    expect(lastArrivalS(scene, [15, 5], 9, 1)!).toBeLessThan(motion.startS[second.firstMove]!);
    expect(lastArrivalS(scene, [15, 17], 1, null)).toBeNull();
  });
});

describe('seen from afar', () => {
  test('a line keeps its own depth and speed beside its share of the texel', () => {
    const { arrival, layers, surface } = scene;
    const { frame } = arrival;
    // One column of texels across the cut.
    const i = Math.floor((15 - frame.x0Mm) / frame.cellMm);
    let root = 0;
    let deep = 0;
    let speed = 0;
    let share = 0;
    for (let j = 0; j < frame.ny; j++) {
      if (Math.abs(frame.y0Mm + (j + 0.5) * frame.cellMm - 12) > 1) continue;
      const k = 4 * (j * frame.nx + i);
      root += layers.depth[k]!;
      deep += layers.depth[k + 1]!;
      speed += layers.visit[k]!;
      share += layers.visit[k + 3]!;
    }
    expect(share).toBeGreaterThan(0);
    expect((speed / share) * arrival.topSpeedMmPerS).toBeCloseTo(1, 0);
    expect((root / deep) ** 2 * surface.deepestMm).toBeGreaterThan(0.5);
    expect(surface.deepestMm).toBe(3);
  });

  test('a coarser arrival reaches from the first of its four to the last, and touches all they touch', () => {
    const [finest] = scene.reveals;
    const [half] = coarserReveals(finest!);
    expect(half).toEqual(scene.reveals[1]);
    for (let j = 0; j < half!.ny; j++) {
      for (let i = 0; i < half!.nx; i++) {
        const four = [0, 1, finest!.nx, finest!.nx + 1].map((step) => 2 * j * finest!.nx + 2 * i + step);
        const touched = four.filter((k) => finest!.spanS[2 * k]! <= finest!.spanS[2 * k + 1]!);
        const at = 2 * (j * half!.nx + i);
        if (touched.length === 0) expect(half!.spanS[at]!).toBeGreaterThan(half!.spanS[at + 1]!);
        else {
          expect(half!.spanS[at]).toBe(Math.min(...touched.map((k) => finest!.spanS[2 * k]!)));
          expect(half!.spanS[at + 1]).toBe(Math.max(...touched.map((k) => finest!.spanS[2 * k + 1]!)));
        }
      }
    }
  });
});
