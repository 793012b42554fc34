import { describe, expect, test } from 'vitest';
import { lineTimeS, openLink } from '../../src/motion/link.ts';
import { checkMotion, type Motion } from '../../src/motion/motion.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL } from '../../src/program/program.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';

const link = (
  overrides: Partial<{ baud: number; ack_bytes: number; lines_per_second: number | null }> = {},
) => ({
  baud: 115200,
  ack_bytes: 0,
  lines_per_second: null,
  ...overrides,
});

const collinear = (moves: number, lengthMm: number, feed: number, bytes: number) =>
  programOf(
    Array.from({ length: moves }, (_, k): Step => ({ x: (k + 1) * lengthMm, feed, rapid: false })),
    bytes,
  );

/** Mean speed over the second half, where the start is forgotten. */
function sustained(motion: Motion): number {
  const count = motion.program.moves.count;
  const from = count >> 1;
  const { xMm } = motion.program.moves;
  return (xMm[count - 1]! - xMm[from - 1]!) / (motion.startS[count]! - motion.startS[from]!);
}

describe('bytes on the wire', () => {
  // 8N1: 115200 baud carry 11520 bytes/s (UART notes); the rest is arithmetic.
  test.each([
    [115200, 20, 576],
    [115200, 26, 443.1],
    [115200, 12, 960],
    [9600, 20, 48],
  ])('%d baud, %d bytes a line: %d lines/s', (baud, bytes, lines) => {
    expect(1 / lineTimeS(bytes, link({ baud }))).toBeCloseTo(lines, 1);
  });

  test('the acknowledgement counts, and the parser’s rate caps the link', () => {
    expect(1 / lineTimeS(20, link({ ack_bytes: 4 }))).toBeCloseTo(480, 6);
    expect(1 / lineTimeS(20, link({ lines_per_second: 200 }))).toBeCloseTo(200, 9);
    expect(lineTimeS(1, link())).toBe(0);
  });
});

describe('sustained speed of equal collinear moves tends to the smallest of three closed forms', () => {
  // Feed; √(2a(N−1)L) … √(2a(N−½)L); L × lines per second.
  test.each([
    { name: 'link', lengthMm: 0.1, accel: 5000, feed: 200, bytes: 20, range: [57.6, 57.6] },
    { name: 'link at 9600 baud', lengthMm: 0.1, accel: 500, feed: 200, bytes: 20, range: [4.8, 4.8] },
    { name: 'link, finer steps', lengthMm: 0.05, accel: 5000, feed: 200, bytes: 20, range: [28.8, 28.8] },
    { name: 'buffer', lengthMm: 0.1, accel: 500, feed: 200, bytes: 12, range: [38.7298, 39.37] },
    { name: 'feed', lengthMm: 0.5, accel: 5000, feed: 30, bytes: 20, range: [30, 30] },
  ])('$name: $lengthMm mm, $accel mm/s², 16 moves known, $feed mm/s, $bytes bytes', (row) => {
    const machine = machineWith({
      lookahead_moves: 16,
      acceleration_mm_s2: [row.accel, row.accel, row.accel],
      link: link(row.name.includes('9600') ? { baud: 9600 } : {}),
    });
    const motion = planMotion(collinear(6000, row.lengthMm, row.feed, row.bytes), machine);
    expect(checkMotion(motion)).toEqual([]);
    expect(sustained(motion)).toBeGreaterThan(row.range[0]! * 0.99);
    expect(sustained(motion)).toBeLessThan(row.range[1]! * 1.01);
  });

  test('a parser of 200 lines/s holds 0.3 mm steps to 60 mm/s', () => {
    const machine = machineWith({
      acceleration_mm_s2: [5000, 5000, 5000],
      lookahead_moves: 16,
      link: link({ lines_per_second: 200 }),
    });
    expect(sustained(planMotion(collinear(4000, 0.3, 83.3, 24), machine))).toBeCloseTo(60, 0);
  });
});

describe('waiting for the link', () => {
  const machine = machineWith({
    acceleration_mm_s2: [5000, 5000, 5000],
    lookahead_moves: 16,
    link: link({ baud: 1200 }),
  });

  test('is done at rest, with the beam as it was, and adds up with the moves to the whole time', () => {
    const steps = Array.from(
      { length: 50 },
      (_, k): Step => ({ x: (k + 1) * 0.1, feed: 100, s: 300, power: 'constant', rapid: false }),
    );
    const motion = planMotion(programOf(steps), machine);
    const { rests } = motion;
    expect(rests.count).toBeGreaterThan(40);
    let waitedS = 0;
    for (let k = 0; k < rests.count; k++) {
      expect(rests.starved[k]).toBe(1);
      expect(motion.entryMmPerS[rests.beforeMove[k]!]).toBe(0);
      if (rests.beforeMove[k]! > 0)
        expect([rests.s[k], rests.powerMode[k], rests.rapid[k]]).toEqual([300, 1, 0]);
      waitedS += rests.durationS[k]!;
    }
    expect(waitedS).toBeLessThan(motion.durationS);
    expect(motion.durationS).toBeCloseTo((50 * 20 * 10) / 1200, 1);
  });

  test('never makes a job faster than without a link, and a fast link changes nothing but the first wait', () => {
    const steps = Array.from(
      { length: 400 },
      (_, k): Step => ({ x: ((k + 1) * 7.3) % 20, y: (k * 3.1) % 20, feed: 60, rapid: false }),
    );
    const free = planMotion(programOf(steps), machineWith({ lookahead_moves: 8 }));
    const slow = planMotion(programOf(steps), machineWith({ lookahead_moves: 8, link: link({ baud: 300 }) }));
    const fast = planMotion(programOf(steps), machineWith({ lookahead_moves: 8, link: link({ baud: 1e9 }) }));
    expect(slow.durationS).toBeGreaterThan(free.durationS);
    expect(fast.durationS).toBeGreaterThanOrEqual(free.durationS);
    expect(fast.durationS / free.durationS).toBeLessThan(1.05);
  });
});

describe('what the controller has in hand while it waits', () => {
  // A second a line: 20 bytes of 10 bits at 200 baud; every move takes far less.
  const machine = machineWith({ acceleration_mm_s2: [5000, 5000, 5000], link: link({ baud: 200 }) });
  const burn = { feed: 100, power: 'constant', rapid: false } as const;
  const { rests } = planMotion(
    programOf([
      { dwellS: 0, s: 700, power: 'constant' },
      { ...burn, x: 1, s: 300 },
      { ...burn, x: 2, s: 400 },
      { dwellS: 0, s: 120, power: 'proportional' },
      { ...burn, x: 3, s: 500 },
    ]),
    machine,
  );
  const states = Array.from(rests.beforeMove, (move, k) => [
    move,
    rests.s[k],
    rests.powerMode[k],
    rests.rapid[k],
    rests.starved[k],
  ]);

  test('is the last stop before the move, or the move before it where there is none', () => {
    expect(states).toEqual([
      [0, 700, POWER_CONSTANT, 1, 1],
      [1, 300, POWER_CONSTANT, 0, 1],
      [2, 120, POWER_PROPORTIONAL, 0, 1],
    ]);
  });

  test('is a dark beam before the first word', () => {
    const motion = planMotion(programOf([{ ...burn, x: 1, s: 300 }]), machine);
    const first = motion.rests;
    expect([first.count, first.s[0], first.powerMode[0], first.rapid[0]]).toEqual([1, 0, POWER_OFF, 1]);
  });
});

test('a move is taken in when the move a buffer’s length before it has ended, and its line is there', () => {
  const machine = machineWith({ lookahead_moves: 3, link: link({ baud: 200 }) });
  const endS = Float64Array.of(10, 10.5, 20, 0, 0, 0);
  const open = openLink(collinear(6, 1, 100, 20), machine, endS);
  const arrivals = Array.from({ length: 6 }, () => {
    const at = open.arrivalS();
    open.take();
    return at;
  });
  // A second a line; the fourth waits for the first to end, the fifth for its line, the sixth for the third.
  expect(arrivals).toEqual([1, 2, 3, 10, 11, 20]);
});

test('a move that arrives just after another has begun is not known to it', () => {
  // 5 ms a line: 20 bytes of 10 bits at 40000 baud. 10 mm at 100 mm/s take 0.1 s.
  const machine = machineWith({ link: link({ baud: 40_000 }) });
  const motion = planMotion(collinear(2, 10, 100, 20), machine);
  expect(motion.startS[0]).toBeCloseTo(0.005, 12);
  expect(motion.entryMmPerS[1]).toBe(0);
  expect(motion.rests.count).toBe(1);
});
