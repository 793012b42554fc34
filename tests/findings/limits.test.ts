import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { allLoops } from '../../src/findings/evidence/loops.ts';
import type { Finding, FindingKind } from '../../src/findings/finding.ts';
import { type ForecastOptions, forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { readProgram } from '../../src/program/read.ts';
import { bench, board, type Pair, poplar, ROUGH, told } from './pairs.ts';
import { END, HEAD, hook, line, pieces, rows, sharpHook, square } from './small-jobs.ts';

/** More limits from both sides, and those that decide how grave a finding is. Numbers are closed forms of the jobs' own sizes. */

interface Limit {
  readonly kind: FindingKind;
  readonly words: string;
  readonly within: string;
  readonly beyond: string;
  readonly machine?: Pair['machine'];
  /** Where the limit is the machine's or the option's own, they differ instead of the job. */
  readonly machineBeyond?: Pair['machine'];
  readonly options?: ForecastOptions;
  readonly optionsBeyond?: ForecastOptions;
  /** What it is told as within the limit; left out: it is not told at all. */
  readonly graver?: readonly [within: Finding['severity'], beyond: Finding['severity']];
}

/** An edge along x of `xMm` at full reach, then one along y. */
const corner = (xMm: number, yMm: number, feed: number) =>
  `${HEAD}M4 S0\nG0 X10 Y10\nG1 X${10 + xMm} S500 F${feed}\nY${10 + yMm}\n${END}`;

/** A line of 100 mm along x at speed, the first `darkMm` of it with S90. */
const dim = (darkMm: number) =>
  `${HEAD}M3 S0\nG0 X5 Y10\nG1 X20 F3000\nX${20 + darkMm} S90\nX120 S500\nX135 S0\n${END}`;

const grey = rows(Array(40).fill(500), 1500, 3);

/** Rows burned from left to right, but the last ones from right to left. */
const oneWay = (against: number, count = 20) =>
  `${HEAD}M4 S0\n${Array.from({ length: count }, (_, k) => {
    const [from, to] = k < count - against ? [20, 40] : [40, 20];
    const over = Math.sign(to - from) * 3;
    return `G0 X${from - over} Y${10 + k / 10}\nG1 X${from} F1500 S0\nX${to} S500\nX${to + over} S0\n`;
  }).join('')}${END}`;

/** `count` rows, a given distance apart. */
const spaced = (mm: number, count = 20) =>
  `${HEAD}M4 S0\n${Array.from({ length: count }, (_, k) => {
    const [from, to] = k % 2 === 0 ? [20, 40] : [40, 20];
    const over = Math.sign(to - from) * 3;
    return `G1 X${from - over} Y${(10 + k * mm).toFixed(3)} S0 F1500\nX${from}\nX${to} S300\nX${to + over} S0\n`;
  }).join('')}${END}`;

const link = (lines_per_second: number) => ({ link: { baud: 1_000_000, ack_bytes: 0, lines_per_second } });

/** A stroke of 40 mm, one of `mm` on it or beside it, and one elsewhere. */
const again = (mm: number, offMm = 0, elsewhere = 'G0 X10 Y30\nG1 X100 S250\n') =>
  `${HEAD}M4 S0\nG0 X10 Y10\nG1 X50 S250 F1500\nG0 X15 Y${10 + offMm}\nG1 X${15 + mm} S250\n${elsewhere}${END}`;

const round = { spot: { width_mm: [0.16, 0.16] as [number, number] } };

/** Rows of 30 mm that are at speed but for their ends. */
const warmEnds = (overMm: number) => rows(Array(60).fill(900), 12_000, overMm, 'M3', 12);
const quickTurns: Pair['machine'] = { max_speed_mm_s: [200, 200, 10], acceleration_mm_s2: [8000, 8000, 50] };

const limits: readonly Limit[] = [
  {
    kind: 'speed-capped',
    words: 'a twentieth of the length',
    within: corner(190, 9, 4500),
    beyond: corner(190, 11, 4500),
    machine: { max_speed_mm_s: [100, 50, 10] },
  },
  {
    kind: 'speed-capped',
    words: 'half a per cent beyond the machine',
    within: line({ s: 500, feed: 6000 * 1.004 }),
    beyond: line({ s: 500, feed: 6000 * 1.006 }),
  },
  {
    kind: 'below-threshold',
    words: 'a twentieth of the length',
    within: dim(4.5),
    beyond: dim(5.5),
    machine: { laser: { threshold_fraction: 0.1 } },
    graver: ['note', 'warning'],
  },
  {
    kind: 'dark-corner',
    words: 'half as much dose again, at 34.5 and at 31.5 of 50 mm/s',
    within: hook,
    beyond: hook,
    machine: { ...round, cornering: { rule: 'speed-step', step_mm_s: 34.5 } },
    machineBeyond: { ...round, cornering: { rule: 'speed-step', step_mm_s: 31.5 } },
  },
  {
    kind: 'dark-corner',
    words: 'half as much dose again with what warmth adds, at 37 and at 34 of 50 mm/s',
    within: sharpHook,
    beyond: sharpHook,
    machine: { ...round, cornering: { rule: 'speed-step', step_mm_s: 74 } },
    machineBeyond: { ...round, cornering: { rule: 'speed-step', step_mm_s: 68 } },
  },
  {
    kind: 'dark-row-end',
    words: 'half as much dose again with what warmth adds, at overscans of 1.2 and 1 mm',
    within: warmEnds(1.2),
    beyond: warmEnds(1),
    machine: quickTurns,
  },
  {
    kind: 'rows-shifted',
    words: 'half the width of the spot: 2·25 mm/s·1.2 ms = 0.06 mm',
    within: grey,
    beyond: grey,
    machine: { laser: { beam_delay_ms: 1.17 } },
    machineBeyond: { laser: { beam_delay_ms: 1.23 } },
  },
  {
    kind: 'rows-shifted',
    words: 'the whole width of the spot',
    within: grey,
    beyond: grey,
    machine: { laser: { beam_delay_ms: 2.35 } },
    machineBeyond: { laser: { beam_delay_ms: 2.45 } },
    graver: ['note', 'warning'],
  },
  {
    kind: 'rows-shifted',
    words: 'a fifth of the rows against the others',
    within: oneWay(4, 21),
    beyond: oneWay(5),
    machine: { laser: { beam_delay_ms: 3 } },
  },
  {
    kind: 'stripes',
    words: 'what the eye tells apart, 0.145 mm',
    within: spaced(0.142),
    beyond: spaced(0.149),
    machine: { spot: { width_mm: [0.1, 0.1] } },
    graver: ['note', 'warning'],
  },
  {
    kind: 'below-speed',
    words: 'half the length below nine tenths of the feed: 0.81·v²/a = 4.05 mm',
    within: corner(8.3, 0, 3000),
    beyond: corner(7.9, 0, 3000),
  },
  {
    kind: 'starved',
    words: 'half a second',
    within: pieces(30, 500, 900),
    beyond: pieces(30, 500, 900),
    machine: link(117),
    machineBeyond: link(113),
  },
  {
    kind: 'starved',
    words: 'a twentieth of the time',
    within: pieces(240, 500, 900),
    beyond: pieces(240, 500, 900),
    machine: link(143),
    machineBeyond: link(141),
  },
  {
    kind: 'off-bed',
    words: 'a hundredth of a millimetre',
    within: line({ s: 500, feed: 1500 }).replace('M5', 'G0 X300.009\nM5'),
    beyond: line({ s: 500, feed: 1500 }).replace('M5', 'G0 X300.011\nM5'),
  },
  {
    kind: 'wrong-size',
    words: 'half a millimetre',
    within: square({ s: 500, feed: 1500 }),
    beyond: square({ s: 500, feed: 1500 }),
    options: { expectMm: { widthMm: 30.48, heightMm: 30 } },
    optionsBeyond: { expectMm: { widthMm: 30.52, heightMm: 30 } },
  },
  {
    kind: 'wrong-size',
    words: 'a hundredth',
    within: square({ s: 500, feed: 1500, side: 150 }),
    beyond: square({ s: 500, feed: 1500, side: 150 }),
    options: { expectMm: { widthMm: 150 / 0.9902, heightMm: 150 } },
    optionsBeyond: { expectMm: { widthMm: 150 / 0.9895, heightMm: 150 } },
  },
  {
    kind: 'burned-twice',
    words: 'three quarters of it again: then it is burned in passes',
    within: again(31, 0, ''),
    beyond: again(29, 0, ''),
  },
  {
    kind: 'burned-twice',
    words: 'a quarter of the spot’s mean width beside the line, 0.039 mm',
    within: again(25, 0.042),
    beyond: again(25, 0.036),
  },
];

const run = (text: string, machine: Pair['machine'], options: ForecastOptions = {}) =>
  forecast(text, bench(machine), poplar, { ...ROUGH, ...options }).findings;

describe.each(limits)('$kind: $words', (limit) => {
  const { kind, within, beyond, machine, options, graver } = limit;

  test('just within', () => {
    const found = run(within, machine, options);
    if (graver) expect(found.map((each) => [each.kind, each.severity])).toEqual([[kind, graver[0]]]);
    else expect(found.map(told)).toEqual([]);
  });

  test('just beyond', () => {
    const found = run(beyond, limit.machineBeyond ?? machine, limit.optionsBeyond ?? options);
    expect(
      found.map((each) => each.kind),
      found.map(told).join('\n'),
    ).toEqual([kind]);
    if (graver) expect(found[0]!.severity).toBe(graver[1]);
  });
});

describe('what is meant to cut', () => {
  /** How deep a job goes on its straight parts, mm, read off the forecast half-way along its first side. */
  const depthOf = (job: string, power: number): number => {
    const { burn } = forecast(job, bench({ ...round, laser: { optical_power_w: power } }), poplar, {
      stock: board(60),
      cellMm: 0.02,
    });
    const { nx, ny, x0Mm, cellMm } = burn.frame;
    const i = Math.floor((30 - x0Mm) / cellMm);
    let deepest = 0;
    for (let j = 0; j < ny; j++) deepest = Math.max(deepest, burn.depthMm[j * nx + i]!);
    return deepest;
  };
  const kindsOn = (job: string, power: number, thicknessMm: number) =>
    run(job, { ...round, laser: { optical_power_w: power } }, { stock: board(thicknessMm) }).map(
      ({ kind }) => kind,
    );

  // The stock is so thick that the depth is this part of it, and a little thinner or thicker.
  test.each([
    ['an open line from half through on', line({ s: 700, feed: 300, mode: 'M4' }), 0.5],
    ['the closed outline around everything from a quarter on', square({ s: 700, feed: 300 }), 0.25],
    ['… with full power and the lowest speed from a tenth on', square({ s: 1000, feed: 900 }), 0.1],
  ])('%s', (_words, job, part) => {
    const depth = depthOf(job, 5);
    expect(depth).toBeGreaterThan(0.1);
    expect(kindsOn(job, 5, (depth / part) * 0.95)).toContain('not-through');
    expect(kindsOn(job, 5, (depth / part) * 1.05)).not.toContain('not-through');
  });

  test.each([
    [830, true],
    [770, false],
  ])('with S%d of 1000 a shallow outline is meant to cut: %s', (s, cut) => {
    const job = square({ s, feed: 600 });
    const depth = depthOf(job, 5);
    expect(kindsOn(job, 5, depth / 0.17).includes('not-through')).toBe(cut);
  });
});

describe('engraving too deep', () => {
  const heavy = (count: number) =>
    `${HEAD}M4 S0\n${Array.from({ length: count }, (_, k) => `G0 X${k % 2 ? 43 : 17} Y${10 + k / 10}\nG1 X${k % 2 ? 40 : 20} F600 S0\nX${k % 2 ? 20 : 40} S900\nX${k % 2 ? 17 : 43} S0\n`).join('')}${END}`;
  const depth = (() => {
    const { burn } = forecast(heavy(25), bench(), poplar, { stock: board(60), cellMm: 0.05 });
    return burn.depthMm[cellAt(burn.frame, 30, 11)]!;
  })();
  const deep = (count: number, thicknessMm: number) =>
    run(heavy(count), {}, { stock: board(thicknessMm) }).filter(({ kind }) => kind === 'too-deep');

  test('begins at a quarter of the board', () => {
    expect(depth).toBeGreaterThan(0.2);
    expect(deep(25, (depth / 0.25) * 0.93).length).toBe(1);
    expect(deep(25, (depth / 0.25) * 1.07).length).toBe(0);
  });

  test('is judged from ten places on', () => {
    expect([deep(9, depth / 0.4).length, deep(10, depth / 0.4).length]).toEqual([0, 1]);
  });

  test('is mended to nine tenths of the limit', () => {
    const thicknessMm = depth / 0.4;
    const [finding] = deep(25, thicknessMm);
    const { wanted_j_mm2, dose_j_mm2, limit_mm } = finding!.measure;
    expect(limit_mm).toBeCloseTo(0.25 * thicknessMm, 3);
    const less = heavy(25).replaceAll(
      'F600',
      `F${(600 * (dose_j_mm2 as number)) / (wanted_j_mm2 as number)}`,
    );
    const { burn } = forecast(less, bench(), poplar, { stock: board(60), cellMm: 0.05 });
    const there = burn.depthMm[cellAt(burn.frame, 30, 11)]!;
    expect(there / (limit_mm as number)).toBeGreaterThan(0.82);
    expect(there / (limit_mm as number)).toBeLessThan(0.98);
  });
});

test('a ripple of less than a tenth is no stripe even on a wood that is black at half as much again as it begins to mark at', () => {
  const touchy = {
    ...poplar,
    first_mark_j_mm2: { ...poplar.first_mark_j_mm2, value: 1 },
    full_char_j_mm2: { ...poplar.full_char_j_mm2, value: 1.5 },
  };
  // 4·exp(−2π²σ²/p²) is a tenth at p = 0.1157 mm for σ = 0.05 mm; a mean of about 1.25 J/mm² by its power.
  const kinds = (mm: number) => {
    const s = Math.round((1000 * 1.25 * mm * 25) / 5);
    const machine = bench({ spot: { width_mm: [0.2, 0.2] } });
    const job = spaced(mm).replaceAll('S300', `S${s}`);
    return forecast(job, machine, touchy, ROUGH).findings.map(({ kind }) => kind);
  };
  expect([kinds(0.113), kinds(0.1185)]).toEqual([[], ['stripes']]);
});

test('three rows can be striped, two are none; they are advised to lie where a ripple of a fiftieth is left', () => {
  const machine = bench({ spot: { width_mm: [0.4, 0.4] } });
  const stripes = (rows: number) =>
    forecast(spaced(0.3, rows).replaceAll('S300', 'S700'), machine, poplar, ROUGH).findings.filter(
      ({ kind }) => kind === 'stripes',
    );
  expect(stripes(2)).toEqual([]);
  expect(stripes(3)).toHaveLength(1);
  // 4·exp(−2π²σ²/p²) is a fiftieth at p = 0.193 mm for σ = 0.1 mm; told in steps of 0.005 mm.
  expect(stripes(3)[0]!.measure.even_spacing_mm).toBe(0.19);
});

test('corners and row ends that heat alone makes dark say which part dose and which the heat has', () => {
  const bends = { ...round, cornering: { rule: 'speed-step' as const, step_mm_s: 68 } };
  for (const [job, machine] of [
    [sharpHook, bends],
    [warmEnds(1), quickTurns],
  ] as const) {
    // How warm wood is where rows end hangs on how fine the firings are counted.
    const [found] = run(job, machine, { cellMm: 0.05 });
    expect(found!.message).toMatch(
      /1\.4 times the dose of .*, on wood still so warm that it counts as 1\.0\d+ times as much: 1\.5 times in all/,
    );
    const { times_straight, warm_times } = found!.measure as Record<string, number>;
    expect(times_straight).toBeLessThan(1.5);
    expect(warm_times).toBeGreaterThan(1.04);
    expect(run(job, machine, { cellMm: 0.05, cool: true })).toEqual([]);
  }
});

test('wood that is no warmer at a dark place than along the line is no cause of it', () => {
  const text = 'G21 G90\nM3 S255\nG0 X10 Y10\nG1 X30 F600\nY30\nX10\nY10\nM5\n';
  const slow = bench({
    acceleration_mm_s2: [800, 500, 50],
    max_speed_mm_s: [120, 100, 10],
    spot: { width_mm: [0.08, 0.15] },
  });
  const birch = shippedMaterials['birch plywood']!;
  const { findings } = forecast(text, slow, birch, { ...ROUGH, stock: board(3, 60, 60) });
  const found = findings.find(({ kind }) => kind === 'dark-start-stop')!;
  expect(found.measure.warm_times).toBeLessThan(1);
  expect(found.message).not.toMatch(/warm/);
  // By hand the line gives 10.2/80 J/mm over σ·√(2π), 2.54 J/mm² across x; the other side of the corner adds to that.
  expect(found.measure.straight_j_mm2).toBeGreaterThan(2.6);
  expect(found.message).toContain('the dose of the straight line with what else burns there (');
  const alone = forecast(text.replace(/Y30\nX10\nY10\n/, ''), slow, birch, {
    ...ROUGH,
    stock: board(3, 60, 60),
  });
  const lone = alone.findings.find(({ kind }) => kind === 'dark-start-stop')!;
  expect(lone.message).toContain('the dose of the straight line (');
});

test('rows out of line are advised to be slower down to a third of the speed', () => {
  const remedy = (delayMs: number) => run(grey, { laser: { beam_delay_ms: delayMs } })[0]!.remedy;
  expect(remedy(3.4)).toMatch(/in one direction only, or at 520 mm\/min/);
  expect(remedy(3.7)).toMatch(/in one direction only; it takes/);
});

test('a feed at twice what the machine runs asks for half the dose that constant power gives', () => {
  const job = line({ s: 800, feed: 12_000, mode: 'M3' });
  const finding = run(job, {}).find(({ kind }) => kind === 'speed-capped')!;
  const { dose_j_mm2, asked_j_mm2, times_feed } = finding.measure;
  expect(times_feed).toBe(2);
  expect((dose_j_mm2 as number) / (asked_j_mm2 as number)).toBeCloseTo(2, 2);
  expect(finding.severity).toBe('warning');
});

describe('a closed outline', () => {
  const loops = (endX: number, side = 10) => {
    const text = `${HEAD}M4 S500\nG0 X10 Y10\nG1 X${10 + side} F600\nY${10 + side}\nX10\nY${10 + endX}\n${END}`;
    const program = readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
    const { count, xMm, yMm } = program.moves;
    const lengthMm = Float64Array.from({ length: count }, (_, k) =>
      k === 0 ? 0 : Math.hypot(xMm[k]! - xMm[k - 1]!, yMm[k]! - yMm[k - 1]!),
    );
    return allLoops(program, program.operations[0]!, lengthMm).length;
  };

  test('meets itself within 0.05 mm', () => {
    expect([loops(0.047), loops(0.053)]).toEqual([1, 0]);
  });

  test('is a millimetre long at least', () => {
    expect([loops(0, 0.24), loops(0, 0.26)]).toEqual([0, 1]);
  });
});

test('a cut far above its need is advised down to the speed that 19 of 20 such boards come through at', () => {
  const found = run(
    square({ s: 1000, feed: 144 }),
    { laser: { optical_power_w: 20 } },
    { stock: board(3), cellMm: 0.03 },
  );
  const finding = found.find(({ kind }) => kind === 'more-than-needed')!;
  const { feed_mm_min, passes } = finding.measure;
  expect(passes).toBe(1);
  expect(finding.remedy).toMatch(/would do on 19 of 20 such boards/);
  const chanceAt = (feed: number) =>
    forecast(square({ s: 1000, feed }), bench({ laser: { optical_power_w: 20 } }), poplar, {
      stock: board(3),
      cellMm: 0.1,
    }).cuts[0]!.chanceThrough;
  expect(chanceAt(feed_mm_min as number)).toBeGreaterThanOrEqual(0.95);
  expect(chanceAt(1.04 * (feed_mm_min as number))).toBeLessThan(0.95);
});

test('creeping is told as mm/s in the place of mm/min where that would explain it, else advised half the time', () => {
  const remedyAt = (feed: number) => {
    const [finding] = run(line({ s: 1000, feed }), {});
    expect(finding!.kind).toBe('may-ignite');
    return finding!.remedy;
  };
  // Thirty seconds on a spot are the half second of a sixtieth.
  expect(remedyAt((0.12 * 60) / 29)).toMatch(/^F is in mm\/min/);
  // A quarter of a second on 0.12 mm is 28.8 mm/min, slower than wood is cut at all.
  expect(remedyAt((0.12 * 60) / 31)).toMatch(/^Burn it at 30 mm\/min or faster/);
  // On 0.3 mm it is 72.
  const [wide] = run(line({ s: 1000, feed: (0.3 * 60) / 31 }), { spot: { width_mm: [0.3, 0.3] } });
  expect(wide!.remedy).toMatch(/^Burn it at 72 mm\/min or faster/);
});
