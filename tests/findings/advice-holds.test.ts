import { describe, expect, test } from 'vitest';
import { labOf } from '../../src/burn/colour.ts';
import type { Material } from '../../src/burn/material.ts';
import { settle } from '../../src/change/advised.ts';
import { changesWords, parseChanges } from '../../src/change/grammar.ts';
import type { Finding, FindingKind } from '../../src/findings/finding.ts';
import { type Forecast, type ForecastOptions, forecast } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { anyWood, between, fc, wood } from '../burn/anything.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar, ROUGH, told, withChanges } from './pairs.ts';

/** What a finding promises is what the forecast of the changed job says. */

/**
 * Differences in lightness, L*: hardly seen, half of what counts as plainly different (6, `visible-difference.ts`); and below
 * that still. What is left of them is warmth that corners no longer leave, and steps of speed and power.
 */
const HARDLY_SEEN = 3;
const NOT_PLAIN = 5;

const on = (text: string, machine: Machine, material: Material = poplar, options: ForecastOptions = {}) =>
  forecast(text, machine, material, { ...ROUGH, stock: board(4, 120, 80), ...options });

const find = ({ findings }: Forecast, kind: FindingKind): Finding | undefined =>
  findings.find((each) => each.kind === kind);

const taken = (made: Forecast, { advice }: Finding): Forecast =>
  withChanges(made, parseChanges(advice!.change));

/** How light the operation comes out, L*, by the forecast's own word for its tone. */
const lightness = ({ engravings, material }: Forecast, operation = 1): number =>
  labOf(engravings.find((each) => each.operation === operation)!.tone, material)[0];

/** Letters of short strokes side by side. */
function letters(s: number, feed: number, mode = 'M3', sizeMm = 6): string {
  const lines = ['G21 G90', `${mode} S0`, `F${feed}`];
  for (let k = 0; k < 6; k++) {
    const x = 10 + sizeMm * k;
    const at = (dx: number, dy: number) => `X${x + dx * sizeMm} Y${10 + dy * sizeMm}`;
    lines.push(`G0 ${at(0, 0)}`, `G1 ${at(0, 1)} S${s}`, `G1 ${at(0.5, 0.5)}`, `G1 ${at(0, 0.5)}`);
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

/** Of 200 mm/s²: from rest to rest 6 mm are run at 35 mm/s at most, a third of the feed. */
const lazy = (laser: Parameters<typeof machineWith>[0] = {}) =>
  machineWith({
    max_speed_mm_s: [100, 100, 10],
    acceleration_mm_s2: [200, 200, 50],
    spot: { width_mm: [0.1, 0.1] },
    ...laser,
    laser: { optical_power_w: 10, s_max: 1000, ...laser.laser },
  });

const EVENS_OUT: readonly FindingKind[] = ['dark-corner', 'below-speed', 'dark-start-stop', 'dark-row-end'];

describe('what never comes up to its feed', () => {
  const made = on(letters(80, 6000), lazy(), wood('birch plywood'));

  test('keeps its tone under the proportional power that is advised', () => {
    const advised = made.findings.filter(({ kind }) => EVENS_OUT.includes(kind));
    expect(advised.map(({ kind }) => kind).sort()).toEqual(['below-speed', 'dark-corner', 'dark-start-stop']);
    for (const finding of advised) {
      const then = taken(made, finding);
      expect(Math.abs(lightness(then) - lightness(made)), told(finding)).toBeLessThan(HARDLY_SEEN);
      expect(find(then, finding.kind), told(finding)).toBeUndefined();
      expect(find(then, 'no-mark'), told(finding)).toBeUndefined();
    }
  });

  test('has nothing left once advice is taken, and is as dark as before', () => {
    const { changes, findings } = settle(made, (changes) => withChanges(made, changes));
    expect(findings.map(told), changesWords(changes)).toEqual([]);
    expect(Math.abs(lightness(withChanges(made, changes)) - lightness(made))).toBeLessThan(HARDLY_SEEN);
  });

  test('keeps it also where the beam does not follow the head', () => {
    const constant = on(letters(80, 6000), lazy({ laser: { m4_power: 'constant' } }), wood('birch plywood'));
    const advised = constant.findings.filter(({ kind }) => EVENS_OUT.includes(kind));
    expect(advised.length).toBeGreaterThan(1);
    for (const finding of advised) {
      const then = taken(constant, finding);
      expect(Math.abs(lightness(then) - lightness(constant)), told(finding)).toBeLessThan(HARDLY_SEEN);
    }
  });
});

const anySlowWork = fc.record({
  s: fc.integer({ min: 20, max: 900 }),
  feed: fc.integer({ min: 1500, max: 12_000 }),
  sizeMm: between(2, 12),
});

const anyLazyMachine = fc
  .record({
    watts: between(1, 20),
    accel: between(100, 1500),
    spot: between(0.07, 0.2),
    threshold: fc.constantFrom(0, 0, 0.03, 0.08),
    m4: fc.constantFrom('proportional' as const, 'proportional' as const, 'constant' as const),
  })
  .map(({ watts, accel, spot, threshold, m4 }) =>
    machineWith({
      max_speed_mm_s: [150, 150, 10],
      acceleration_mm_s2: [accel, accel, 50],
      laser: { optical_power_w: watts, s_max: 1000, threshold_fraction: threshold, m4_power: m4 },
      spot: { width_mm: [spot, spot * 1.2] },
    }),
  );

test('what evens out short strokes keeps their tone, whatever job, machine and wood', () => {
  let advised = 0;
  fc.assert(
    fc.property(anySlowWork, anyLazyMachine, anyWood, ({ s, feed, sizeMm }, machine, name) => {
      const made = on(letters(s, feed, 'M3', sizeMm), machine, wood(name), { stock: null });
      for (const finding of made.findings) {
        if (!EVENS_OUT.includes(finding.kind) || !finding.advice) continue;
        advised++;
        const then = taken(made, finding);
        expect(Math.abs(lightness(then) - lightness(made)), told(finding)).toBeLessThan(NOT_PLAIN);
      }
    }),
    { numRuns: 40, seed: 5, endOnFailure: true },
  );
  expect(advised).toBeGreaterThan(20);
}, 120_000);

/** Rows to and fro, their ends joined by burned turns or run out in the dark. */
function rowsOf({
  s,
  feed,
  mode,
  lengthMm,
  spacingMm,
  overMm,
  count = 30,
}: {
  readonly s: number;
  readonly feed: number;
  readonly mode: string;
  readonly lengthMm: number;
  readonly spacingMm: number;
  /** null: the turn burns too. */
  readonly overMm: number | null;
  readonly count?: number;
}): string {
  const lines = ['G21 G90', `${mode} S0`, `F${feed}`, 'G0 X10 Y10'];
  for (let row = 0; row < count; row++) {
    const [from, to, way] = row % 2 === 0 ? [10, 10 + lengthMm, 1] : [10 + lengthMm, 10, -1];
    const y = (10 + row * spacingMm).toFixed(3);
    if (overMm === null) lines.push(`G1 X${from} Y${y} S${s}`, `G1 X${to} S${s}`);
    else
      lines.push(
        `G0 X${from - way * overMm} Y${y}`,
        `G1 X${from} S0`,
        `G1 X${to} S${s}`,
        `G1 X${to + way * overMm} S0`,
      );
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

const quick = machineWith({
  max_speed_mm_s: [100, 100, 10],
  acceleration_mm_s2: [1000, 1000, 50],
  laser: { optical_power_w: 5, s_max: 1000 },
  spot: { width_mm: [0.08, 0.096] },
});

/** The depth that too-deep would tell of the changed job, mm, by asking from a far smaller limit on; 0 where it is less than that. */
function depthThen(made: Forecast, { advice }: Finding): number {
  const few = { ...made, checks: { ...made.checks, deepestEngraving: 0.02 } };
  const then = withChanges(few, parseChanges(advice!.change));
  return Number(find(then, 'too-deep')?.measure.depth_mm ?? 0);
}

/** The engraving may take a quarter of the board, and advice aims at nine tenths of that. */
const aimedMm = ({ measure }: Finding): number => 0.9 * Number(measure.limit_mm);

test('of rows whose ends burn as deep at any feed less power is told, and the depth it brings comes', () => {
  const zigzag = { s: 700, feed: 800, mode: 'M3', lengthMm: 8, spacingMm: 0.1, overMm: null };
  const made = on(rowsOf(zigzag), quick);
  const finding = find(made, 'too-deep')!;
  expect(finding.advice!.change, told(finding)).toMatch(/^1: power/);
  expect(depthThen(made, finding) / aimedMm(finding), told(finding)).toBeCloseTo(1, 1);
  // Where the turns lie beside the work a higher speed does.
  const beside = on(rowsOf({ ...zigzag, overMm: 3 }), quick);
  const faster = find(beside, 'too-deep')!;
  expect(faster.advice!.change, told(faster)).toMatch(/^1: speed/);
  expect(depthThen(beside, faster) / aimedMm(faster), told(faster)).toBeCloseTo(1, 1);
});

const anyDeepRows = fc.record({
  s: fc.integer({ min: 150, max: 1000 }),
  feed: fc.integer({ min: 100, max: 4000 }),
  mode: fc.constantFrom('M3', 'M3', 'M4'),
  lengthMm: between(2, 20),
  spacingMm: between(0.06, 0.15),
  overMm: fc.constantFrom(null, null, 0, 0.5, 3),
});

test('the depth that is promised comes, whatever rows, machine and wood', () => {
  let advised = 0;
  fc.assert(
    fc.property(anyDeepRows, anyLazyMachine, anyWood, (rows, machine, name) => {
      const made = on(rowsOf({ ...rows, count: 16 }), machine, wood(name));
      const finding = find(made, 'too-deep');
      if (!finding) return;
      advised++;
      const part = depthThen(made, finding) / aimedMm(finding);
      expect(part, told(finding)).toBeGreaterThan(0.9);
      expect(part, told(finding)).toBeLessThan(1.06);
      expect(find(taken(made, finding), 'too-deep'), told(finding)).toBeUndefined();
    }),
    { numRuns: 80, seed: 3, endOnFailure: true },
  );
  expect(advised).toBeGreaterThan(20);
}, 120_000);

/** A picture of 3 × 3 mm in cells of 0.075 mm, whose S comes and goes. */
function picture(): string {
  const lines = ['G21 G90', 'M4 S0', 'F6000'];
  for (let row = 0; row < 60; row++) {
    const y = (10 + 0.05 * row).toFixed(2);
    const at = (k: number) => (row % 2 === 0 ? 10 + 0.075 * k : 13 - 0.075 * k).toFixed(3);
    lines.push(`G0 X${at(0)} Y${y}`);
    for (let k = 0; k < 40; k++)
      lines.push(`G1 X${at(k + 1)} S${Math.round(350 + 349 * Math.sin(k / 6 + row / 9))}`);
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

test('a picture with bare places is told what lights them, and not the settings it has', () => {
  const machine = machineWith({
    max_speed_mm_s: [200, 200, 10],
    acceleration_mm_s2: [500, 500, 50],
    lookahead_moves: 16,
    laser: { optical_power_w: 10, s_max: 1000, threshold_fraction: 0.03 },
    spot: { width_mm: [0.1, 0.1] },
  });
  const made = on(picture(), machine, wood('beech'));
  const finding = find(made, 'faint-corner')!;
  expect(finding.advice!.change, told(finding)).toMatch(/^1: overscan/);
  const [, ends] = /for the ends, ([\d.]+) mm of it/.exec(finding.remedy)!;
  const left = find(taken(made, finding), 'faint-corner');
  const lit = Number(finding.measure.bare_mm) - Number(left?.measure.bare_mm ?? 0);
  expect(lit, told(finding)).toBeGreaterThan(0.9 * Number(ends));
  // What lies within the rows then is told with the S it takes, and nothing that is so already.
  expect(left!.advice, told(left!)).toBeNull();
  expect(left!.remedy).toMatch(/^Let S be at least \d+ where/);
});

/** The forecast's own cells, a third of the spot: rows are told by the mean across them. */
const FINE = { cellMm: null };

const anyStripes = fc.record({
  s: fc.integer({ min: 50, max: 900 }),
  feed: fc.integer({ min: 600, max: 4000 }),
  mode: fc.constantFrom('M3', 'M4'),
  lengthMm: between(8, 30),
  part: between(1.1, 2.2),
});

test('rows laid as close as is told, at the speed or power told beside, keep their tone', () => {
  let advised = 0;
  fc.assert(
    fc.property(anyStripes, anyLazyMachine, anyWood, ({ part, ...rows }, machine, name) => {
      const spacingMm = part * machine.spot.width_mm[1];
      const count = Math.ceil(6 / spacingMm);
      const job = { ...rows, spacingMm, overMm: 12, count };
      const made = on(rowsOf(job), machine, wood(name), { stock: null, ...FINE });
      const finding = find(made, 'stripes');
      if (!finding) return;
      const [, power] = /([\d.]+) % power keeps the tone/.exec(finding.remedy) ?? [];
      const [, speed] = /([\d.]+) times the speed keeps the tone/.exec(finding.remedy) ?? [];
      const even = Number(finding.measure.even_spacing_mm);
      const closer = {
        ...job,
        spacingMm: even,
        count: Math.ceil((count * spacingMm) / even),
        s: power === undefined ? job.s : 10 * Number(power),
        feed: speed === undefined ? job.feed : job.feed * Number(speed),
      };
      advised++;
      const then = on(rowsOf(closer), machine, wood(name), { stock: null, ...FINE });
      expect(Math.abs(lightness(then) - lightness(made)), told(finding)).toBeLessThan(NOT_PLAIN);
      expect(find(then, 'stripes'), told(finding)).toBeUndefined();
    }),
    { numRuns: 60, seed: 4, endOnFailure: true },
  );
  expect(advised).toBeGreaterThan(15);
}, 120_000);
