import { describe, expect, test } from 'vitest';
import { REGIONS, type SpeedPower, type Use, wattsAt } from '../../src/burn/speed-power.ts';
import { type Chart, chartOf, MOST_PANELS } from '../../src/chart/chart.ts';
import { type Polyline, STEPS_UP_TO } from '../../src/chart/curves.ts';
import { chartNotes, panelSentence, showsCut } from '../../src/chart/notes.ts';
import { rowRipple, usualRowSpacingMm } from '../../src/chart/row-spacing.ts';
import { SURE, startSureness } from '../../src/sure/come-through.ts';
import { comesThroughAt, fastestForSure } from '../../src/sure/settings.ts';
import { speedPowerInRows } from '../../src/warmth/rows.ts';
import { anyWood, between, fc, wood } from '../burn/anything.ts';
import { benchGantry, workshopGantry } from '../support/demo-machines.ts';
import { machineWith } from '../support/machines.ts';

const line: Use = { kind: 'line' };
const rows: Use = { kind: 'rows', rowSpacingMm: 0.1 };
const setup = { machine: benchGantry, material: wood('poplar plywood'), thicknessMm: 4, passes: 1 };
/** Where a panel says *cut*, as many boards as it says must come through; elsewhere it goes by the numbers as they stand. */
const isCut = (answers: SpeedPower, speed: number, watts: number): boolean => {
  const { work } = answers;
  const sureness = startSureness(work.material, work.machine, work);
  return comesThroughAt(answers, sureness, speed, watts)!.chanceThrough >= SURE;
};
const order = (answers: SpeedPower, speed: number, watts: number): number =>
  REGIONS.indexOf(answers.outcome(speed, watts).region);

const anyChart = fc
  .record({
    name: anyWood,
    machine: fc.constantFrom(benchGantry, workshopGantry),
    thicknessMm: fc.oneof(fc.constant(null), between(0.2, 10)),
    spacing: between(0.04, 0.2),
    passes: fc.integer({ min: 1, max: 4 }),
  })
  .map(({ name, spacing, ...rest }) =>
    chartOf({ ...rest, material: wood(name) }, [line, { kind: 'rows', rowSpacingMm: spacing }]),
  );

/** Places of a line that lie on the panel, every few. */
const some = (places: Polyline, [from, to]: readonly [number, number]): Polyline =>
  places.filter(([speed, power], k) => k % 7 === 0 && speed > from && speed < to && power <= 1);

describe('the chart', () => {
  test('its edges part the regions by forward evaluation, and its curves of equal dose are P/v = const, exactly', () => {
    fc.assert(
      fc.property(anyChart, (chart) => {
        for (const { work, edges, doses, speedsMmPerS } of chart.panels) {
          const answers = speedPowerInRows(work);
          expect(edges.map(({ region }) => region)).toEqual(
            REGIONS.slice(1).filter((region) => region !== 'cut' || work.thicknessMm !== null),
          );
          for (const { region, line: places } of edges) {
            for (const [speed, power] of some(places, speedsMmPerS)) {
              const { laser } = work.machine;
              // The demo's controllers have so many levels that curves are drawn as if power were free.
              expect(laser.power_levels).toBeGreaterThan(STEPS_UP_TO);
              const watts = wattsAt({ ...laser, power_levels: null }, power);
              if (region === 'cut') {
                // Many near rows in thin stock keep so much heat that more than one speed may be right.
                if (work.use.kind === 'rows' && work.passes > 1) continue;
                expect(isCut(answers, speed * 0.995, watts)).toBe(true);
                expect(isCut(answers, speed * 1.005, watts)).toBe(false);
                continue;
              }
              expect(order(answers, speed * 0.999, watts)).toBeGreaterThanOrEqual(REGIONS.indexOf(region));
              expect(order(answers, speed * 1.001, watts)).toBeLessThan(REGIONS.indexOf(region));
            }
          }
          expect(doses.length).toBeGreaterThan(3);
          for (const { doseJPerMm2, line: places } of doses) {
            for (const [speed, power] of some(places, speedsMmPerS)) {
              const watts = wattsAt({ ...work.machine.laser, power_levels: null }, power);
              expect((answers.dosePerLineEnergy * watts) / speed / doseJPerMm2).toBeCloseTo(1, 9);
            }
          }
        }
      }),
      { numRuns: 25 },
    );
  });

  test('straight pieces between the places of a curve leave it by less than its own width', () => {
    const answers = speedPowerInRows({ ...setup, use: line });
    const { laser } = setup.machine;
    const sureness = startSureness(setup.material, setup.machine, setup);
    const [panel] = chartOf(setup, [line]).panels;
    for (const { region, line: places } of panel!.edges) {
      for (let k = 1; k < places.length; k++) {
        // Halfway on paper: even in power and in the logarithm of speed.
        const power = (places[k - 1]![1] + places[k]![1]) / 2;
        const speed = Math.sqrt(places[k - 1]![0] * places[k]![0]);
        const watts = wattsAt({ ...laser, power_levels: null }, power);
        const exact =
          region === 'cut' ? fastestForSure(answers, sureness, watts) : answers.fastest(region, watts);
        expect(Math.abs(Math.log(speed / exact))).toBeLessThan(region === 'cut' ? 0.005 : 0.002);
      }
    }
  });

  test('climbs in the controller’s own steps where it has few levels', () => {
    const machine = machineWith({
      laser: { optical_power_w: 10, power_levels: 10, threshold_fraction: 0.25 },
    });
    const answers = speedPowerInRows({ ...setup, machine, use: rows });
    const [panel] = chartOf({ ...setup, machine }, [rows]).panels;
    for (const { region, line: places } of panel!.edges) {
      const levels = new Set(places.map(([speed]) => speed));
      // Levels 3 … 10 give light, and one place has none.
      expect(levels.size).toBe(9);
      for (let k = 2; k < places.length; k += 2) {
        const middle = (places[k - 1]![1] + places[k]![1]) / 2;
        const [speed] = places[k]!;
        expect(places[k - 1]![0]).toBe(speed);
        if (region === 'cut') {
          expect(isCut(answers, speed * 0.995, wattsAt(machine.laser, middle))).toBe(true);
          expect(isCut(answers, speed * 1.005, wattsAt(machine.laser, middle))).toBe(false);
          continue;
        }
        expect(order(answers, speed * 0.999, wattsAt(machine.laser, middle))).toBeGreaterThanOrEqual(
          REGIONS.indexOf(region),
        );
        expect(order(answers, speed * 1.001, wattsAt(machine.laser, middle))).toBeLessThan(
          REGIONS.indexOf(region),
        );
      }
    }
    expect(chartNotes(chartOf({ ...setup, machine }, [rows])).join(' ')).toMatch(
      /knows 10 power levels.*Below 25 % power this laser gives no light/,
    );
  });

  test('ends at the machine’s top speed and begins below its slowest edge', () => {
    const chart = chartOf(setup, [line, rows]);
    expect(chart.panels.map(({ work }) => work.use.kind)).toEqual(['rows', 'line']);
    const [inRows, alone] = chart.panels;
    expect(inRows!.speedsMmPerS[1]).toBe(100);
    expect(alone!.speedsMmPerS[0]).toBe(inRows!.speedsMmPerS[0]);
    for (const { work, speedsMmPerS } of chart.panels) {
      expect(isCut(speedPowerInRows(work), speedsMmPerS[0], 5)).toBe(true);
    }
    expect(chart.panels.every(showsCut)).toBe(true);
    expect(chartOf({ ...setup, thicknessMm: null }, [line]).panels.some(showsCut)).toBe(false);
  });

  test('keeps a sensible axis for any machine a profile may describe', () => {
    for (const watts of [0.01, 5, 9000]) {
      for (const speed of [0.001, 1, 100, 1e5]) {
        const machine = machineWith({
          max_speed_mm_s: [speed, speed, 1],
          laser: { optical_power_w: watts },
        });
        for (const { speedsMmPerS, doses } of chartOf({ ...setup, machine }, [line, rows]).panels) {
          const [from, to] = speedsMmPerS;
          expect(from).toBeGreaterThan(0);
          expect(to / from).toBeGreaterThanOrEqual(29);
          expect(doses.length).toBeLessThan(40);
        }
      }
    }
  });

  test('shows cuts with more passes, each faster than the one before, for lines alone', () => {
    const [inRows, alone] = chartOf(setup, [line, rows]).panels;
    expect(inRows!.cuts).toEqual([]);
    expect(alone!.cuts.map(({ passes }) => passes)).toEqual([2, 3, 5, 8]);
    for (const { passes, line: places } of alone!.cuts) {
      const [speed] = places.at(-1)!;
      const answers = speedPowerInRows({ ...setup, use: line, passes });
      expect(isCut(answers, speed * 0.995, 5)).toBe(true);
      expect(isCut(answers, speed * 1.005, 5)).toBe(false);
    }
    expect(chartOf({ ...setup, passes: 3 }, [line]).panels[0]!.cuts.map(({ passes }) => passes)).toContain(6);
  });

  test('shows no more panels than can be read', () => {
    const uses = [0.05, 0.08, 0.1, 0.2, 0.3].map((rowSpacingMm): Use => ({ kind: 'rows', rowSpacingMm }));
    expect(chartOf(setup, uses).panels).toHaveLength(MOST_PANELS);
    // Spacings that only rounding tells apart share one.
    expect(chartOf(setup, [rows, { kind: 'rows', rowSpacingMm: 0.1005 }]).panels).toHaveLength(1);
  });
});

describe('what is said beside it', () => {
  test('a panel in words, from slow to fast, no further than the machine goes', () => {
    const [inRows] = chartOf(setup, [rows]).panels;
    expect(panelSentence(inRows!)).toMatch(
      /^Rows 0\.1 mm apart and 50 mm long, at full power: cut through up to 12\d mm\/min, char up to 3\d{3} mm\/min, brown beyond\.$/,
    );
    const [strong] = chartOf({ ...setup, machine: machineWith({ laser: { optical_power_w: 4000 } }) }, [
      line,
    ]).panels;
    expect(panelSentence(strong!)).toBe('Lines, at full power: cut through at every speed.');
  });

  test('rows that do not run together, cutting, and dwells beyond what was measured', () => {
    const said = (chart: Chart) => chartNotes(chart).join('\n');
    expect(said(chartOf(setup, [{ kind: 'rows', rowSpacingMm: 0.3 }]))).toMatch(
      /0\.3 mm apart do not run together/,
    );
    expect(said(chartOf(setup, [rows]))).not.toMatch(/run together/);
    expect(said(chartOf(setup, [line]))).toMatch(/Before cutting: raise the board/);
    expect(said(chartOf(setup, [line]))).toMatch(/Cut through means on 19 of 20 such boards/);
    expect(said(chartOf(setup, [line], [], 0.9))).toMatch(/Cut through means on 9 of 10 such boards/);
    expect(said(chartOf({ ...setup, thicknessMm: null }, [line]))).not.toMatch(/cutting/);
    expect(said(chartOf(setup, [line]))).toMatch(/published thresholds were measured at 0\.17 to 3\.2 s/);
  });

  test('the usual row spacing runs together, whatever the spot: within 5 % of the mean', () => {
    // Poisson sum over Gaussian rows (closed form; table of p/σ against peak and valley in tests/findings).
    for (const shape of ['gaussian', 'uniform-ellipse', 'uniform-rectangle'] as const)
      for (let width = 0.06; width < 0.4; width += 0.01) {
        const { spot } = machineWith({ spot: { shape, width_mm: [0.1, Number(width.toFixed(2))] } });
        const { peakToValley } = rowRipple(spot, usualRowSpacingMm(spot));
        expect(peakToValley, `${shape} ${width}`).toBeLessThan(0.1);
      }
    expect(usualRowSpacingMm(benchGantry.spot)).toBe(0.1);
    // 0.55 of 0.12 mm would be rounded to 0.07, whose ripple is over a tenth.
    expect(usualRowSpacingMm(workshopGantry.spot)).toBe(0.055);
  });
});
