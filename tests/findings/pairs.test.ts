import { describe, expect, test } from 'vitest';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { FINDING_KINDS, type Place } from '../../src/findings/finding.ts';
import { forecastProgram } from '../../src/forecast.ts';
import { bench, board, forecastPair, type Pair, poplar, told } from './pairs.ts';

const number = (value: unknown): number => {
  expect(value).toBeTypeOf('number');
  return value as number;
};
const places = (value: unknown): readonly Place[] => value as readonly Place[];

const OFFCUT = [
  [0, 0],
  [60, 0],
  [60, 20],
  [40, 40],
  [0, 40],
] as const;

/** Numbers are closed forms of the job's own sizes unless another source is named. */
const pairs: readonly Pair[] = [
  {
    kind: 'dark-corner',
    check(finding) {
      expect(finding.measure.count).toBe(4);
      // The sharpest of the four are the turns at (30, 30) and (10, 20), by the same angle.
      expect([
        [30, 30],
        [10, 20],
      ]).toContainEqual(finding.atMm);
      expect(finding.line).toBe(finding.atMm![0] === 30 ? 7 : 8);
      expect(places(finding.measure.places).map(([x, y]) => [x, y])).toEqual(
        expect.arrayContaining([
          [30, 10],
          [30, 30],
          [10, 20],
          [10, 28],
        ]),
      );
      expect(number(finding.measure.times_straight)).toBeGreaterThan(2);
      expect(number(finding.measure.full_speed_mm_s)).toBeCloseTo(20, 9);
      expect(finding.advice?.change).toBe('1: proportional');
    },
  },
  {
    kind: 'dark-start-stop',
    check(finding) {
      expect(finding.measure.count).toBe(4);
      // From rest 1/v falls as 1/√x: over the spot's 1.5 σ = 0.045 mm the mean is 2·20/√(2·500·0.045) = 6.0 times; the
      // spot's own round-off and the cell leave some half of it at the end.
      expect(number(finding.measure.times_straight)).toBeGreaterThan(2);
      expect(number(finding.measure.times_straight)).toBeLessThan(6);
    },
  },
  {
    kind: 'dark-row-end',
    check(finding) {
      // v²/2a at 50 mm/s and 500 mm/s².
      expect(number(finding.measure.needed_mm)).toBeCloseTo(2.5, 9);
      expect(finding.measure.overscan_mm).toBe(2.7);
      expect(finding.remedy).toMatch(
        /^Leave 2\.7 mm of overscan: at 50 mm\/s this machine needs 2\.5 mm to turn\./,
      );
      // Thirty rows, two ends each.
      expect(finding.measure.count).toBe(60);
      expect(finding.advice?.change).toBe('1: proportional, overscan 2.7 mm');
    },
  },
  {
    kind: 'beam-on-at-rest',
    check(finding) {
      expect(finding.severity).toBe('stop');
      expect(finding.line).toBe(7);
      expect(finding.atMm).toEqual([20, 10]);
      // 1.5 W for 0.5 s into a Gaussian of 0.12 by 0.2 mm: 2·P·t/(π·w₁·w₂), w the 1/e² radii (wood-laser handbook form).
      expect(number(finding.measure.dose_j_mm2)).toBeCloseTo((2 * 1.5 * 0.5) / (Math.PI * 0.06 * 0.1), 3);
    },
  },
  {
    kind: 'beam-left-on',
    check(finding) {
      expect(finding.severity).toBe('stop');
      expect(finding.measure.s).toBe(300);
    },
  },
  {
    kind: 'beam-on-travel',
    machine: { laser: { fires_on_rapids: true } },
    check(finding) {
      // From (35, 10) to (5, 20).
      expect(number(finding.measure.burned_mm)).toBeCloseTo(Math.hypot(30, 10), 2);
      expect(finding.line).toBe(6);
    },
  },
  {
    kind: 'faint-corner',
    machine: { laser: { threshold_fraction: 0.1, optical_power_w: 10 } },
    check(finding) {
      // Three corners, a start and a stop.
      expect(finding.measure.count).toBe(5);
      // The way from the speed below which nothing marks down to the corner's, v² = a·δ·s/(1 − s) with √2·a across a
      // right angle, and up again: twice (v² − corner²)/2a.
      const corner = (500 * Math.SQRT2 * 0.01 * Math.SQRT1_2) / (1 - Math.SQRT1_2);
      const below = number(finding.measure.bare_below_mm_s);
      expect(below).toBeGreaterThan(20); // 10 % of 1000 is what S250 falls to at 40 % of 50 mm/s
      expect(number(finding.measure.longest_mm)).toBeLessThanOrEqual((below ** 2 - corner) / 500 + 1e-3);
      expect(number(finding.measure.longest_mm)).toBeGreaterThan(1.6);
      expect(finding.advice?.change).toMatch(/^1: speed \d+, power [\d.]+%$/);
    },
  },
  {
    kind: 'stripes',
    check(finding) {
      // p = 3 w, the 1/e² radius w = 0.1 mm: 234.05 % by the Poisson sum (worked beforehand, see ripple.test.ts).
      expect(number(finding.measure.row_spacing_mm)).toBeCloseTo(0.3, 9);
      expect(number(finding.measure.ripple_percent)).toBeCloseTo(234.05, 1);
      // Rows and spot grown alike have the same ripple.
      const { spot_across_mm: across, even_spacing_mm: even } = finding.measure;
      const widthMm = Number(/would have to be ([\d.]+) mm\. So dose swings/.exec(finding.message)?.[1]);
      expect(Math.abs(widthMm - (number(across) * 0.3) / number(even))).toBeLessThan(0.011);
    },
  },
  {
    kind: 'rows-shifted',
    machine: { laser: { beam_delay_ms: 2 } },
    check(finding) {
      // Twice 50 mm/s × 2 ms.
      expect(number(finding.measure.shift_mm)).toBeCloseTo(0.2, 9);
      expect(finding.advice?.change).toBe('1: one direction');
    },
  },
  {
    kind: 'burned-twice',
    check(finding) {
      // The common edge of the two tiles, from (25, 25) to (25, 5).
      expect(number(finding.measure.overlap_mm)).toBeGreaterThan(19.5);
      expect(number(finding.measure.overlap_mm)).toBeLessThanOrEqual(20);
      expect(finding.atMm?.[0]).toBe(25);
      expect(finding.measure.count).toBe(1);
    },
  },
  {
    kind: 'not-through',
    options: { stock: board(3) },
    check(finding, { burn }) {
      expect(finding.measure.passes_needed).toBe(2);
      expect(number(finding.measure.depth_mm)).toBeLessThan(3);
      expect(number(finding.measure.depth_mm)).toBeGreaterThan(1.5);
      expect(finding.remedy).toMatch(/never leave it unattended/);
      expect(burn.depthMm.reduce((most, depth) => Math.max(most, depth), 0)).toBeGreaterThan(2);
    },
  },
  {
    kind: 'too-deep',
    options: { stock: board(3) },
    check(finding) {
      expect(finding.measure.limit_mm).toBe(0.75);
      expect(number(finding.measure.depth_mm)).toBeGreaterThan(0.75);
    },
  },
  {
    kind: 'warm-fill',
    check(finding) {
      expect(finding.measure.row_mm).toBe(4);
      expect(number(finding.measure.tone)).toBeGreaterThan(number(finding.measure.usual_tone));
      // 24 mm² get 0.31·2.5 W·0.08 s a row of 0.28 s. Over a wide area a steady flux q warms a half-space's surface by
      // 2q·√(t/π)/√(kρc) (Carslaw & Jaeger 1959, 2.9): some 150 K at the end of 17 s here, the sides of so small a fill
      // taking away about half; it saves X/650 K of the need.
      const saved = number(finding.measure.usual_need_times) - number(finding.measure.need_times);
      expect(saved).toBeGreaterThan(60 / 650);
      expect(saved).toBeLessThan(170 / 650);
      expect(finding.remedy).not.toMatch(/pause/);
    },
  },
  {
    kind: 'beam-never-on',
    check(finding, { dose }) {
      expect(finding).toMatchObject({ severity: 'stop', line: 0, operation: null });
      expect(dose.energyJ).toBe(0);
    },
  },
  {
    kind: 'cut-before-engraved',
    options: { stock: board(3) },
    check(finding) {
      expect(finding.severity).toBe('stop');
      expect(finding.operation).toBe(2);
      expect(finding.measure.loop_mm).toBe(100);
    },
  },
  {
    kind: 'below-speed',
    check(finding) {
      expect(finding.severity).toBe('warning');
      expect(finding.measure.share).toBe(1);
      // Sixteen moves of 0.1 mm known ahead: √(2·a·15.5·0.1) = 39 mm/s, from which the head can just come to rest.
      expect(number(finding.measure.lookahead_limit_mm_s)).toBeCloseTo(Math.sqrt(2 * 500 * 15.5 * 0.1), 0);
      expect(number(finding.measure.mean_speed_mm_s)).toBeLessThan(Math.sqrt(2 * 500 * 15.5 * 0.1));
    },
  },
  {
    kind: 'speed-capped',
    machine: { laser: { optical_power_w: 10 } },
    check(finding) {
      expect(finding.severity).toBe('warning');
      expect(number(finding.measure.limit_mm_min)).toBeCloseTo(6000, 6);
      // 90 % at 15000 mm/min is the dose of 36 % at 6000.
      expect(finding.advice?.change).toBe('1: speed 6000, power 36%');
    },
  },
  {
    kind: 'starved',
    machine: { lookahead_moves: 64, link: { baud: 9600, ack_bytes: 4, lines_per_second: null } },
    check(finding) {
      // 9600 baud carry 960 bytes a second (8N1); `X10.3 S400` and its end are 11 bytes, with the answer 15.
      expect(number(finding.measure.lines_per_s)).toBeGreaterThan(960 / 16);
      expect(number(finding.measure.lines_per_s)).toBeLessThan(960 / 14);
      expect(number(finding.measure.mm_per_line)).toBeCloseTo(0.1, 2);
      expect(number(finding.measure.lost_s)).toBeGreaterThan(2);
    },
  },
  {
    kind: 'off-bed',
    check(finding) {
      expect(finding.measure.left_mm).toBe(2.5);
      expect(finding.remedy).toBe('Move the job 2.5 mm to the right; it fits the bed then.');
    },
  },
  {
    kind: 'off-stock',
    options: { stock: board(3, 60, 50) },
    check(finding) {
      expect(finding.measure.right_mm).toBe(5);
      expect(finding.atMm).toEqual([65, 10]);
    },
  },
  {
    kind: 'near-edge',
    // A corner is cut off from (60, 20) to (40, 40): the line x + y = 80.
    options: { stock: { ...board(3, 60, 40), outline: OFFCUT } },
    check(finding) {
      // The corner of the burn at (49, 30) lies 1/√2 within it.
      expect(number(finding.measure.clearance_mm)).toBeCloseTo(Math.SQRT1_2, 3);
      expect(finding.atMm).toEqual([49, 30]);
    },
  },
  {
    kind: 'on-spot',
    options: { stock: { ...board(3, 60, 40), avoid: [{ xMm: 30, yMm: 11, radiusMm: 3 }] } },
    check(finding) {
      expect(finding.measure.count).toBe(1);
      expect(finding.atMm![1]).toBe(10);
      expect(Math.hypot(finding.atMm![0] - 30, 1)).toBeLessThan(3);
    },
  },
  {
    kind: 'wrong-size',
    options: { expectMm: { widthMm: 40, heightMm: 20 } },
    check(finding) {
      // 96/72 (common practice: dots per inch taken for others).
      expect(finding.message).toMatch(/96 dots per inch were read as 72/);
      expect(finding.remedy).toMatch(/scale it by 0\.75/);
    },
  },
  {
    kind: 'other-scale',
    check(finding) {
      expect(finding).toMatchObject({ severity: 'warning', line: 6, operation: null });
      // 255 of 1000.
      expect(finding.message).toContain('25.5 % of it at most');
      expect(finding.measure).toEqual({ s_max: 255, scale_s: 1000 });
    },
  },
  {
    kind: 'power-clipped',
    check(finding) {
      expect(finding.measure.s_max).toBe(1800);
      expect(finding.message).toMatch(/55\.6 %/);
    },
  },
  {
    kind: 'below-threshold',
    machine: { laser: { threshold_fraction: 0.1 } },
    check(finding) {
      expect(finding.measure.unlit_mm).toBe(28);
      expect(finding.measure.least_s).toBe(101);
    },
  },
  {
    kind: 'no-mark',
    check(finding) {
      // √(8/π)·P/(v·w): 0.3 W at 100 mm/s, the spot 0.2 mm wide across the line.
      expect(number(finding.measure.dose_j_mm2)).toBeCloseTo((Math.sqrt(8 / Math.PI) * 0.3) / (100 * 0.2), 4);
      expect(finding.measure.marked_share).toBe(0);
      expect(finding.advice?.change).toMatch(/^1: power [\d.]+%$/);
    },
  },
  {
    kind: 'tones-lost',
    // The closed form below is that of wood fired once, cool.
    options: { cool: true },
    check(finding) {
      // P/(v·p) is full char's dose at S571; of the forty levels that lie 24.25 apart, eighteen lie above it.
      expect(finding.measure.dark_share).toBe(18 / 40);
      expect(number(finding.measure.dose_j_mm2)).toBeCloseTo((5 * 0.988) / (25 * 0.1), 1);
      const wanted = (100 * number(finding.measure.black_j_mm2) * 25 * 0.1) / 5;
      expect(number(finding.measure.most_power_percent) / wanted).toBeCloseTo(1, 1);
    },
  },
  {
    kind: 'may-ignite',
    check(finding) {
      expect(finding.severity).toBe('stop');
      // Along y the spot is 0.2 mm long and 0.12 mm wide.
      const mmPerS = 8.333 / 60;
      expect(number(finding.measure.longest_s)).toBeCloseTo(0.2 / mmPerS, 3);
      expect(number(finding.measure.dose_j_mm2)).toBeCloseTo(
        (Math.sqrt(8 / Math.PI) * 5) / (mmPerS * 0.12),
        0,
      );
      expect(finding.remedy).toMatch(/if 8\.333 mm\/s was meant, write F500/);
      expect(finding.advice?.change).toBe('1: speed 500');
    },
  },
  {
    kind: 'more-than-needed',
    machine: { laser: { optical_power_w: 20 } },
    options: { stock: board(3) },
    check(finding, { cuts, motion }) {
      expect(finding.severity).toBe('note');
      expect(number(finding.measure.times_needed)).toBeCloseTo(1 + cuts[0]!.margin, 2);
      expect(finding.measure.passes).toBe(1);
      expect(number(finding.measure.now_s)).toBeCloseTo(motion.durationS, 0);
    },
  },
  {
    kind: 'controller-may-stop',
    check(finding, { findings }) {
      expect(finding).toMatchObject({ severity: 'warning', atMm: null, operation: null });
      // One for each cause, by the line it stands on.
      expect(findings.map(({ line, message }) => `${line} ${message}`)).toEqual([
        '2 Line 2 holds “Herb marker, basil”, which is no G-code: the line was left out. A stricter controller may stop there.',
        '7 Line 7 holds both X34 and X35: the last counts. A stricter controller may stop there.',
      ]);
    },
  },
  {
    kind: 'not-simulated',
    check(finding) {
      expect(finding.message).toMatch(/M6|T/);
      expect(finding.line).toBe(8);
    },
  },
];

describe.each(pairs)('$kind', (pair) => {
  test('the bad job has it and nothing else', () => {
    const made = forecastPair(pair, false);
    expect(new Set(made.findings.map(({ kind }) => kind)), made.findings.map(told).join('\n')).toEqual(
      new Set([pair.kind]),
    );
    for (const finding of made.findings) {
      pair.check(finding, made);
      expect(finding.message).not.toMatch(/NaN|undefined|Infinity|!/);
      expect(finding.remedy).not.toMatch(/NaN|undefined|Infinity|!/);
    }
  });

  test('its innocent twin has nothing', () => {
    expect(forecastPair(pair, true).findings.map(told)).toEqual([]);
  });

  test('what is advised makes it go away', () => {
    const made = forecastPair(pair, false);
    const changes = made.findings.flatMap(({ advice }) => (advice ? parseChanges(advice.change) : []));
    if (changes.length === 0) {
      // Nothing that settings can remedy: the remedy says in words what to do.
      expect(made.findings.every(({ remedy }) => remedy.length > 20)).toBe(true);
      return;
    }
    const machine = bench(pair.machine);
    const changed = changeProgram(made.program, changes, machine);
    const { findings } = forecastProgram(changed, machine, poplar, pair.options ?? {});
    // A head that stays slow is still worth a note, when it does no harm any more.
    expect(findings.filter(({ severity }) => severity !== 'note').map(told)).toEqual([]);
    if (pair.kind !== 'below-speed') expect(findings).toEqual([]);
  });
});

test('every kind has its pair', () => {
  expect(pairs.map(({ kind }) => kind).sort()).toEqual([...FINDING_KINDS]);
});
