import { describe, expect, test } from 'vitest';
import { fullSpeedStandard, timesDarker } from '../../src/findings/evidence/dark-places.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { linkHolds } from '../../src/findings/evidence/link-holds.ts';
import type { Finding, FindingKind, Place } from '../../src/findings/finding.ts';
import { type ForecastOptions, forecast, toldOf } from '../../src/forecast.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { bench, board, type Pair, poplar, ROUGH } from './pairs.ts';
import { END, HEAD, hook, line, pieces, rows, sharpHook } from './small-jobs.ts';

/** Limits within a finding: how far a remedy keeps off its limit, what counts as one line, what is said of it. */

const told = (
  kind: FindingKind,
  job: string,
  machine: Pair['machine'] = {},
  options: ForecastOptions = {},
): Finding[] =>
  forecast(job, bench(machine), poplar, { ...ROUGH, ...options }).findings.filter(
    (finding) => finding.kind === kind,
  );

test('what starves is advised nine tenths of what the link carries', () => {
  const machine = { link: { baud: 1_000_000, ack_bytes: 0, lines_per_second: 100 } };
  const [finding] = told('starved', pieces(60, 500, 900), machine);
  // A hundred lines a second, a tenth of a millimetre each: 10 mm/s; 15 mm/s in pieces of 15/90 mm.
  expect(finding!.advice!.change).toBe('1: speed 540, power 30%');
  expect(finding!.remedy).toContain('in pieces of 0.17 mm');
});

describe('a line that never comes up to its feed', () => {
  test.each([
    [0.035, 0.95, 0.97, 'Proportional power follows'],
    [0.048, 0.93, 0.95, 'The wood looks the same'],
  ])('below a threshold of %d gets from %d to %d of its dose: %s', (threshold, least, most, words) => {
    const [finding] = told('below-speed', `${HEAD}M4 S0\nG0 X10 Y10\nG1 X17.9 S500 F3000\n${END}`, {
      laser: { threshold_fraction: threshold },
    });
    const { times_straight } = finding!.measure;
    expect(times_straight).toBeGreaterThan(least);
    expect(times_straight).toBeLessThan(most);
    expect(finding!.message).toContain(words);
  });

  test('is advised seven tenths of its mean speed where it would come out paler', () => {
    const machine = { lookahead_moves: 2, laser: { threshold_fraction: 0.2 } };
    const [finding] = told('below-speed', pieces(20, 1000, 1500), machine);
    const { mean_speed_mm_s } = finding!.measure;
    expect(finding!.advice!.change).toMatch(/^1: speed 460,/);
    expect((460 / 60 / (mean_speed_mm_s as number)).toFixed(2)).toBe('0.69');
  });
});

test('where the head slows by less than the closed form can tell, warmth alone makes no corner dark', () => {
  const machine = bench({ cornering: { rule: 'speed-step', step_mm_s: 68 } });
  const made = forecast(sharpHook, machine, poplar, { cellMm: 0.05 });
  const evidence = { ...gatherEvidence(toldOf(made)), warmestTimes: () => 2 };
  // As if the rest of the line were so cool that it needed twice the dose.
  const each = { ...evidence.operations[0]!, straightNeedTimes: 2 };
  const { xMm, yMm } = made.program.moves;
  const corner = xMm.indexOf(50) + 1;
  const darker = (times: number) =>
    timesDarker(evidence, each, corner, [xMm[corner - 1]!, yMm[corner - 1]!], times, fullSpeedStandard(1));
  expect(darker(1.09)).toBe(0);
  expect(darker(1.11)).toBeGreaterThan(1.5);
});

describe('the same line', () => {
  test('is one that runs the same way within ten degrees', () => {
    const along = (degrees: number) => {
      const teeth = Array.from({ length: 30 }, (_, k) => {
        const side = (k % 2 ? -0.5 : 0.5) * Math.tan((degrees * Math.PI) / 180);
        return `X${15.5 + k} Y${(20 + side).toFixed(4)}`;
      });
      const job = `${HEAD}M4 S0\nG0 X10 Y20\nG1 X50 S900 F600\nG0 ${teeth[0]}\nG1 S900 ${teeth.slice(1).join('\n')}\n${END}`;
      return told('burned-twice', job, { spot: { width_mm: [1, 1] } }).length;
    };
    expect([along(9.5), along(10.5)]).toEqual([1, 0]);
  });

  /** How often a stroke is told that begins on a line, or crosses it in its middle, and leaves it at a slope. */
  const leaving = (slope: number, from: number, to: number, widthMm: number) => {
    const at = (t: number) => `X${(30 + t).toFixed(4)} Y${(20 + t * slope).toFixed(4)}`;
    const job = `${HEAD}M4 S0\nG0 X10 Y20\nG1 X50 S400 F600\nG0 ${at(from)}\nG1 ${at(to)} S400\n${END}`;
    return told('burned-twice', job, { spot: { width_mm: [widthMm, widthMm] } }).length;
  };

  test('is not left at a slope of a hundredth', () => {
    expect([leaving(0.0085, -15, 15, 0.25), leaving(0.0115, -15, 15, 0.25)]).toEqual([1, 0]);
  });

  test('may be left so by a third of what counts as the same line', () => {
    expect([leaving(0.03, 0, 3, 1), leaving(0.03, 0, 4, 1)]).toEqual([1, 0]);
  });

  test('is never left at a slope of a twentieth', () => {
    expect([leaving(0.045, 0, 2, 1), leaving(0.055, 0, 2, 1)]).toEqual([1, 0]);
  });

  test('is burned again from a millimetre on, where the stroke turns back after a millimetre', () => {
    const back = (mm: number) => {
      const job = `${HEAD}M4 S0\nG0 X10 Y10\nG1 X50 S250 F1500\nX${50 - mm}\nG0 X10 Y30\nG1 X50\n${END}`;
      return told('burned-twice', job, { spot: { width_mm: [0.08, 0.08] } }).length;
    };
    // A millimetre of way from the turn back to itself is half a one, and each place counts from its middle.
    expect([back(1.5), back(1.65)]).toEqual([0, 1]);
  });
});

test('how deep engraving goes is what a twentieth of its places exceeds', () => {
  const job = (deep: number) =>
    `${HEAD}M4 S0\n${Array.from({ length: 100 }, (_, k) => {
      const [from, to] = k % 2 ? [28, 20] : [20, 28];
      const over = Math.sign(to - from) * 3;
      const s = k % 12 === 0 && k / 12 < deep ? 900 : 200;
      return `G0 X${from - over} Y${(10 + k * 0.4).toFixed(1)}\nG1 X${from} F600 S0\nX${to} S${s}\nX${to + over} S0\n`;
    }).join('')}${END}`;
  const found = (deep: number) => told('too-deep', job(deep), {}, { stock: board(1) }).length;
  expect([found(5), found(6)]).toEqual([0, 1]);
});

test('a bare stretch is closed to seven tenths of the spot', () => {
  const job = (s: number, feed: number) =>
    line({ s, feed }).replace('G1 X20', `G1 X20 S0 F${feed}\nG4 P0\nG1 X20.001 S0`);
  const bare = (text: string, alongMm: number) =>
    told('faint-corner', text, { laser: { threshold_fraction: 0.1 }, spot: { width_mm: [alongMm, 0.2] } })[0]!
      .measure;
  const { feed_mm_min, power_percent } = bare(job(600, 3000), 0.12);
  // It is no gap to a spot of 0.12 mm, but to one of half that length it is.
  const left = bare(job(10 * (power_percent as number), feed_mm_min as number), 0.06);
  expect((left.longest_mm as number) / 0.12).toBeGreaterThan(0.63);
  expect((left.longest_mm as number) / 0.12).toBeLessThan(0.77);
});

const round = { spot: { width_mm: [0.16, 0.16] as [number, number] } };

test.each([
  [0.2, 1],
  [0.3, 1.3],
])(
  'what else burns at a corner is ground from a quarter of the line on: with %d it would get %d times the line',
  (part, times) => {
    // The line across is at full speed where it passes the corner.
    const across = `G0 X40 Y0\nG1 X60 Y20 S${400 * part} F3000\n`;
    const [finding] = told('dark-corner', hook.replace('G0 X5 Y10', `${across}G0 X5 Y10`), {
      ...round,
      cornering: { rule: 'speed-step', step_mm_s: 15 },
    });
    // √(8/π)·P/(v·w) for 2 W at 50 mm/s.
    const straight = (Math.sqrt(8 / Math.PI) * 2) / (50 * 0.16);
    expect((finding!.measure.straight_j_mm2 as number) / straight).toBeCloseTo(times, 1);
  },
);

test('a corner turns by a degree at least', () => {
  const bend = (degrees: number) => {
    const dx = Math.cos((degrees * Math.PI) / 180);
    const dy = Math.sin((degrees * Math.PI) / 180);
    const at = (t: number) => `X${(50 + t * dx).toFixed(4)} Y${(10 + t * dy).toFixed(4)}`;
    const job = `${HEAD}M3 S0\nG0 X5 Y10\nG1 X20 F3000\nX50 S400\n${at(30)}\n${at(45)} S0\n${END}`;
    return told('dark-corner', job, { cornering: { rule: 'speed-step', step_mm_s: 0.3 } }).length;
  };
  expect([bend(0.9), bend(1.1)]).toEqual([0, 1]);
});

test.each([
  [1, 0],
  [0.1, 1],
])(
  'rows that never come up to speed end dark only where they stand out from their own mean: with %d mm of overscan %d',
  (overMm, count) => {
    // Over 2 mm the head comes from √(2·a·o) to √(2·a·(o + 1)) of 50 mm/s: the ends get 1.6 of 1.3 times the dose, and 4 of 2.
    const job = rows(Array(4).fill(300), 3000, overMm, 'M3');
    expect(told('dark-row-end', job)).toHaveLength(count);
  },
);

test('the end of a piece shorter than the spot is judged in its middle', () => {
  const job = `${HEAD}M3 S0\n${Array.from({ length: 20 }, (_, k) => {
    const [from, to] = k % 2 ? [30, 20] : [20, 30];
    const way = Math.sign(to - from);
    const at = (mm: number) => `X${(from + way * mm).toFixed(2)}`;
    return `G1 ${at(0)} Y${(10 + k / 10).toFixed(1)} S0 F3000\n${at(0.05)} S300\n${at(3)} S0\n${at(7)} S300\n${at(9.95)} S0\n${at(10)} S300\n`;
  }).join('')}${END}`;
  const [finding] = told('dark-row-end', job);
  expect(finding!.atMm![0]).toBeCloseTo(20.025, 3);
});

test('where the beam cannot follow, a feed is advised at which a corner gets 1.3 times the dose', () => {
  const [finding] = told('dark-corner', hook, {
    ...round,
    laser: { m4_power: 'constant' },
    cornering: { rule: 'speed-step', step_mm_s: 15 },
  });
  const feed = Number(/speed (\d+)/.exec(finding!.advice!.change!)![1]);
  const times = finding!.measure.times_straight as number;
  expect((times * feed) / 3000).toBeGreaterThan(1.2);
  expect((times * feed) / 3000).toBeLessThan(1.4);
});

test.each([
  [31, false],
  [29, true],
])(
  'a corner passed at %d of 50 mm/s is told with its depth, a tenth of a millimetre on: %s',
  (step, deep) => {
    const [finding] = told('dark-corner', hook, {
      ...round,
      cornering: { rule: 'speed-step', step_mm_s: step },
    });
    expect(Math.abs((finding!.measure.depth_mm as number) - 0.1)).toBeLessThan(0.012);
    expect(finding!.message.includes(' deep')).toBe(deep);
  },
);

test.each([
  [44, 0.97, 0.98, ' places stay bare'],
  [75, 0.98, 0.99, 'Nothing of it will burn'],
])(
  '%d strokes that stay bare beside one that does not, %d to %d of the length: %s',
  (count, least, most, words) => {
    const strokes = Array.from({ length: count }, (_, k) => `G0 X10 Y${10 + k}\nG1 X10.3 S600 F3000\n`).join(
      '',
    );
    const [finding] = told('faint-corner', `${HEAD}M4 S0\n${strokes}G0 X20 Y10\nG1 X20.5\n${END}`, {
      laser: { threshold_fraction: 0.1 },
    });
    expect(finding!.measure.share).toBeGreaterThan(least);
    expect(finding!.measure.share).toBeLessThan(most);
    expect(finding!.message).toContain(words);
  },
);

test('a link that is busy for four fifths of the time may hold the head back, though it never waits', () => {
  const program = readProgram(pieces(60, 500, 900), { arcToleranceMm: 0.002, dwellUnit: 's' });
  const motion = planMotion(program, bench());
  expect(Array.from(motion.rests.starved)).not.toContain(1);
  // A tenth of a millimetre at 15 mm/s takes 1/150 s: 187.5 lines a second are four fifths.
  const holds = (lines_per_second: number) =>
    linkHolds(motion, bench({ link: { baud: 1_000_000, ack_bytes: 0, lines_per_second } }));
  expect([holds(195), holds(181)]).toEqual([false, true]);
});

test('a link that is busy with comments holds the head back as well', () => {
  const job = `${HEAD}M3 S0\nG0 X5 Y10\nG1 X35 S500 F1500\n${'(a word)\n'.repeat(200)}G1 X65\n${END}`;
  const [finding] = told('starved', job, { link: { baud: 1_000_000, ack_bytes: 0, lines_per_second: 100 } });
  // Two seconds of comments; look-ahead and the way of 30 mm at 25 mm/s leave less than that.
  expect(finding!.measure.waits).toBe(1);
});

describe('a cut with weak stretches', () => {
  /** A line that cuts, but for stretches of `mm` with so many millimetres between them. */
  const cut = (mm: number, ...apartMm: number[]) => {
    let x = 29.5;
    const stretches = [0, ...apartMm].map((gap) => {
      const from = x + gap;
      x = from + mm;
      return `X${from.toFixed(3)} S1000\nX${x.toFixed(3)} S50\n`;
    });
    return told(
      'not-through',
      `${HEAD}M4 S0\nG0 X10 Y10\nG1 F300\n${stretches.join('')}X50 S1000\n${END}`,
      { spot: { width_mm: [0.05, 0.05] } },
      { stock: board(2) },
    );
  };

  test('hangs together by bridges of half a millimetre', () => {
    expect([cut(0.4).length, cut(0.5).length]).toEqual([0, 1]);
  });

  test('is told by places five millimetres apart', () => {
    const places = (apartMm: number) => (cut(2, apartMm)[0]!.measure.places as readonly Place[]).length;
    expect([places(4.5), places(5)]).toEqual([1, 2]);
  });
});
