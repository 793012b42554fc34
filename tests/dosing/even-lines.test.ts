import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Changed } from '../../src/change/changed.ts';
import { type LineTable, readLines } from '../../src/change/line-table.ts';
import { changeLines, writeChanged } from '../../src/change/write-changed.ts';
import { evenJob } from '../../src/dosing/even-job.ts';
import { evenLines } from '../../src/dosing/even-lines.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { burnsAtFeed } from '../../src/program/beam-on.ts';
import type { Moves } from '../../src/program/program.ts';
import { randomJob } from '../change/random-jobs.ts';
import { gcode } from '../change/support.ts';
import { machineWith } from '../support/machines.ts';

/**
 * Power that follows the head's speed, against what follows from P/v: textbook relations v² = 2·a·s. That a tenth of
 * the dose is even is a judgement of ours.
 */

const wood = shippedMaterials['poplar plywood']!;
const plain = machineWith({ lookahead_moves: 64 });
/** A diode with a threshold whose power comes in steps. */
const stepped = machineWith({
  lookahead_moves: 64,
  laser: { threshold_fraction: 0.05, power_levels: 1000 },
});

interface Evening {
  readonly table: LineTable;
  readonly job: ReturnType<typeof evenJob>;
  /** The job's text, evened; as it was where nothing can be done. */
  readonly text: string;
}

function even(text: string, machine: Machine): Evening {
  const table = readLines([text], readOptions(machine));
  const write = (changed: Changed, sink: (piece: string) => void) =>
    writeChanged([text], table, changed, machine, sink);
  const job = evenJob(changeLines(table, [], machine), machine, (changed) => write(changed, () => {}));
  const written: string[] = [];
  if (job) write(job.evened.changed, (piece) => written.push(piece));
  return { table, job, text: job ? written.join('') : text };
}

const burnedMm = (moves: Moves): number => {
  let sum = 0;
  for (let k = 1; k < moves.count; k++)
    if (burnsAtFeed(moves, k))
      sum += Math.hypot(moves.xMm[k]! - moves.xMm[k - 1]!, moves.yMm[k]! - moves.yMm[k - 1]!);
  return sum;
};

const LINE = gcode('G21 G90', 'G0 X10 Y10', 'M3 S800', 'G1 X40 F3000', 'M5');

describe('one line from rest to rest', () => {
  test('gets the S of the mean speed of each of its pieces', () => {
    const { changed } = evenLines(changeLines(readLines([LINE], readOptions(plain)), [], plain), plain, 0.09);
    const { moves } = changed.program;
    // 50 mm/s at 500 mm/s²: v(s) = √(2·500·s), so a piece from a to b takes (v(b) − v(a))/500 s.
    const speedAt = (mm: number) => Math.min(50, Math.sqrt(1000 * mm));
    for (let k = 1; moves.xMm[k]! < 12; k++) {
      const [a, b] = [moves.xMm[k - 1]! - 10, moves.xMm[k]! - 10];
      const mean = (500 * (b - a)) / (speedAt(b) - speedAt(a));
      expect(moves.s[k]! / ((800 * mean) / 50)).toBeCloseTo(1, 1.4);
    }
    expect(Math.max(...moves.s.subarray(1))).toBe(800);
  });

  test('is even over its whole length, in the same time', () => {
    const { job, text } = even(LINE, plain);
    expect(job!.before.evenShare).toBeLessThan(0.9);
    expect(job!.before.most).toBeGreaterThan(8);
    expect(job!.after.evenShare).toBeGreaterThan(0.99);
    expect(job!.after.most).toBeLessThan(1.15);
    const [was, is] = [LINE, text].map((each) => forecast(each, plain, wood));
    expect(is!.motion.durationS).toBeCloseTo(was!.motion.durationS, 6);
  });

  test('keeps every byte but the words that must change, and says what it is', () => {
    const lines = even(LINE, plain).text.split('\n');
    const job = LINE.split('\n');
    expect(lines.slice(0, 2)).toEqual(['G21 G90', '; s follows the speed of the head']);
    expect(lines).toContain(job[1]);
    expect(lines).toContain(job[2]);
    expect(lines.at(-2)).toBe('M5');
    expect(lines.find((line) => line.startsWith('G1 X40'))).toMatch(
      /^G1 X40 F3000 S\d|^G1 X40 S[\d.]+ F3000/,
    );
  });
});

describe('jobs of all dialects', () => {
  const RUNS = Number(process.env.FUZZ_RUNS ?? 0) > 0 ? 2000 : 40;

  test('are even within a tenth on 99 % of the length, with no mark where there was none', () => {
    let wholeMm = 0;
    let evenMm = 0;
    for (let seed = 0; seed < RUNS; seed++) {
      const { text } = randomJob(seed);
      const { table, job } = even(text, stepped);
      if (job === null) continue;
      const { moves, operations } = job.evened.changed.program;
      // Parts of a chord lie on its arc, which is longer than the chord by a hundred-thousandth.
      const [burned, meantMm] = [burnedMm(moves), burnedMm(table.program.moves)];
      expect(burned, `job ${seed}`).toBeGreaterThan(meantMm - 5e-4);
      expect(burned, `job ${seed}`).toBeLessThan(meantMm * (1 + 1e-5) + 5e-4);
      // S cannot make up for it where proportional power would need more than the whole.
      const isFull = operations.some(
        ({ powerMode, sMax }) => powerMode === 'proportional' && sMax >= stepped.laser.s_max,
      );
      const { evenShare, lengthMm } = job.after;
      // Near the threshold of proportional power a piece is uneven in itself.
      expect(evenShare, `job ${seed}`).toBeGreaterThanOrEqual(isFull ? job.before.evenShare : 0.95);
      if (!isFull) {
        wholeMm += lengthMm;
        evenMm += lengthMm * evenShare;
      }
      expect(planMotion(job.evened.changed.program, stepped).durationS, `job ${seed}`).toBeCloseTo(
        planMotion(table.program, stepped).durationS,
        2,
      );
    }
    expect(evenMm / wholeMm).toBeGreaterThan(0.99);
  });
});

test('round letters in short segments, on which the head never comes up to speed', () => {
  const segments = Array.from({ length: 64 }, (_, k) => {
    const angle = (2 * Math.PI * (k + 1)) / 64;
    return `X${(20 + Math.cos(angle)).toFixed(3)} Y${(20 + Math.sin(angle)).toFixed(3)}`;
  });
  const text = gcode('G21 G90', 'G0 X21 Y20', 'M3 S400', 'G1 F6000', ...segments, 'M5');
  const { job } = even(text, stepped);
  expect(job!.before.evenShare).toBeLessThan(0.1);
  expect(job!.before.least).toBeGreaterThan(1.5);
  expect(job!.after.evenShare).toBeGreaterThan(0.98);
});

test('proportional power that follows by itself is left alone', () => {
  expect(even(LINE.replace('M3', 'M4'), plain).job).toBeNull();
});

test('an arc stays an arc where one S suits it', () => {
  const text = gcode('G21 G90', 'G0 X10 Y10', 'M3 S800', 'G1 X20 F600', 'G3 X30 Y20 I0 J10', 'G1 Y40', 'M5');
  const evened = even(text, plain).text;
  expect(evened).toContain('G3 X30 Y20 I0 J10');
});

describe('an arc on which the speed changes', () => {
  /** Arcs about (20, 20), the second one over three quarters of a turn; the head comes to rest before and after each. */
  const about20 = ['G0 X30 Y20', 'M3 S800', 'G3 X20 Y30 I-10 J0 F3000', 'M5', 'G0 X12 Y20', 'M3 S800'];

  test.each([
    ['in the plain way', ['G21 G90', ...about20, 'G2 X20 Y12 I8 J0', 'M5']],
    ['by its radius', ['G21 G90', ...about20, 'G2 X20 Y12 R-8', 'M5']],
    ['in steps', ['G21 G90', ...about20, 'G91', 'G2 X8 Y-8 I8 J0', 'G90', 'M5']],
    ['about a centre in the frame of the job', ['G21 G90', ...about20, 'G90.1', 'G2 X20 Y12 I20 J20', 'M5']],
    ['around and around', ['G21 G90', ...about20, 'G2 I8 J0', 'M5']],
    ['rising', ['G21 G90', ...about20, 'G2 X20 Y12 Z3 I8 J0', 'M5']],
  ])('stays arcs about the same centre, %s', (_, lines) => {
    const { table, job, text } = even(gcode(...lines), plain);
    expect(job!.after.evenShare).toBeGreaterThan(0.99);
    expect(job!.before.evenShare).toBeLessThan(0.95);
    // Arcs alone, and not a straight line.
    expect(text).toMatch(/^G3 X/m);
    expect(text).not.toMatch(/\bG1\b/);
    const { program } = readLines([text], readOptions(plain));
    const was = table.program.moves;
    const is = program.moves;
    let whole = 0;
    for (let k = 0; k < is.count; k++) {
      if (is.rapid[k] === 1) continue;
      const radius = Math.hypot(is.xMm[k]! - 20, is.yMm[k]! - 20);
      expect(Math.min(Math.abs(radius - 10), Math.abs(radius - 8))).toBeLessThan(1e-6);
      for (let j = 0; j < was.count; j++)
        if (Math.hypot(is.xMm[k]! - was.xMm[j]!, is.yMm[k]! - was.yMm[j]!, is.zMm[k]! - was.zMm[j]!) < 2e-6) {
          whole++;
          break;
        }
    }
    // Every place that the head passed it passes still, those in between being new.
    expect(whole).toBeGreaterThanOrEqual(was.count - 2);
    expect(new Set(Array.from(is.line)).size).toBeLessThan(is.count / 1.5);
  });

  test('is written as straight lines where the file’s plane is another', () => {
    const text = gcode('G21 G90', 'G0 X10 Y10', 'M3 S800', 'G18', 'G2 X30 Z0 I10 K0 F3000', 'M5');
    const made = even(text, plain);
    expect(made.text).not.toMatch(/^G[23] .*S\d/m);
  });
});

test('a link that cannot carry as many lines gets fewer, and no rest with the beam on', () => {
  const slow = machineWith({
    lookahead_moves: 4,
    link: { baud: 9600, ack_bytes: 4, lines_per_second: 12 },
  });
  const text = gcode('G21 G90', 'G0 X10 Y10', 'M3 S800', 'G1 X40 F3000', 'Y40', 'X10', 'Y10', 'M5');
  const { job } = even(text, slow);
  const free = even(text, machineWith({ lookahead_moves: 4 }));
  expect(job?.evened.addedMoves ?? 0).toBeLessThan(free.job!.evened.addedMoves);
  if (job) expect(job.after.evenShare).toBeGreaterThan(job.before.evenShare);
});

describe('findings', () => {
  const corners = gcode(...['G21 G90', 'G0 X10 Y10', 'M3 S400', 'G1 X40 F3000', 'Y40', 'X10', 'Y10', 'M5']);
  const kinds = (text: string, machine: Machine) =>
    forecast(text, machine, wood).findings.map(({ kind }) => kind);

  test('of dark corners and dots go, and none of another kind comes', () => {
    const before = kinds(corners, plain);
    const after = kinds(even(corners, plain).text, plain);
    expect(before).toEqual(expect.arrayContaining(['dark-corner', 'dark-start-stop']));
    expect(after.filter((kind) => kind.startsWith('dark-'))).toEqual([]);
    expect(after.filter((kind) => !before.includes(kind))).toEqual([]);
  });

  test('come back on a machine that slows where the first does not', () => {
    const soft = machineWith({ lookahead_moves: 64, acceleration_mm_s2: [40, 40, 40] });
    expect(kinds(even(corners, plain).text, soft)).toContain('dark-corner');
  });
});

test('rows too short for their feed are no darker than meant when they are even, and told so', () => {
  const rows = Array.from({ length: 12 }, (_, k) => {
    const [from, to] = k % 2 === 0 ? [10, 14] : [14, 10];
    return [`G0 X${from} Y${(10 + k / 10).toFixed(1)} S0`, `G1 X${to} S400 F6000`];
  });
  const text = gcode('G21 G90', 'M3 S0', ...rows.flat(), 'M5');
  const slowOf = (job: string) =>
    forecast(job, plain, wood, { cellMm: 0.1 }).findings.find(({ kind }) => kind === 'below-speed')!;
  // Half of a way of 4 mm that is nowhere at its feed is slower than at a quarter of it: v² = a·L/2.
  const [, speed] = /^1: speed (\d+), proportional$/.exec(slowOf(text).advice!.change)!;
  const middle = 60 * Math.sqrt((plain.acceleration_mm_s2[0] * 4) / 2);
  expect(Math.abs(Number(speed) / middle - 1)).toBeLessThan(0.02);
  const evened = slowOf(even(text, plain).text);
  expect([evened.severity, evened.advice ?? null]).toEqual(['note', null]);
  expect(evened.measure.times_straight).toBeCloseTo(1, 1);
});
