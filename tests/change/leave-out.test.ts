import { describe, expect, test } from 'vitest';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { openJob, textOf } from '../../src/change/open-job.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { doseAtPoints, type Points } from '../../src/dose/point-dose.ts';
import { InputError } from '../../src/errors.ts';
import { readOptions } from '../../src/forecast.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { burnsAtFeed } from '../../src/program/beam-on.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { machineWith } from '../support/machines.ts';
import { below, seeded } from '../support/random.ts';
import { randomJob } from './random-jobs.ts';
import { adjust, demoText, gcode, read } from './support.ts';

/** What is left out is left out, and what stays burns as before, to the last bit of its speed. */

/** Points on and beside what stays, at the ends of its moves and at random. */
function pointsOn({ moves }: Program, kept: ReadonlySet<number>, count: number): Points {
  const random = seeded(5);
  const lit = Array.from({ length: moves.count }, (_, k) => k).filter(
    (k) => burnsAtFeed(moves, k) && kept.has(moves.operation[k]!),
  );
  const xMm = new Float64Array(count);
  const yMm = new Float64Array(count);
  for (let p = 0; p < count; p++) {
    // Ends of moves as well, the first and the last above all: there speeds hang on what comes before and after.
    const k = p < 40 ? (lit.at([0, -1, 1, -2][p % 4]!) ?? lit[0]!) : lit[below(random, lit.length)]!;
    const part = random() < 0.5 ? Math.round(random()) : random();
    const [x0, y0] = k > 0 ? [moves.xMm[k - 1]!, moves.yMm[k - 1]!] : [0, 0];
    xMm[p] = x0 + part * (moves.xMm[k]! - x0) + 0.05 * (random() - 0.5);
    yMm[p] = y0 + part * (moves.yMm[k]! - y0) + 0.05 * (random() - 0.5);
  }
  return { count, xMm, yMm };
}

/** The dose of some operations of a job as the whole job burns them: the others' S is 0 and nothing else differs. */
function doseOfSome(program: Program, kept: ReadonlySet<number>, machine: Machine, points: Points) {
  const motion = planMotion(program, machine);
  const { moves } = program;
  const s = moves.s.map((each, k) => (kept.has(moves.operation[k]!) || !burnsAtFeed(moves, k) ? each : 0));
  return doseAtPoints(points, { ...motion, program: { ...program, moves: { ...moves, s } } }, machine);
}

/** The greatest difference as a part of the greatest dose. */
function apart(a: Float64Array, b: Float64Array): number {
  const most = b.reduce((top, each) => Math.max(top, each), 0);
  return a.reduce((worst, each, k) => Math.max(worst, Math.abs(each - b[k]!)), 0) / most;
}

function comparedWithWhole(text: string, words: string, kept: readonly number[], machine: Machine): number {
  const program = read(text);
  const points = pointsOn(program, new Set(kept), 600);
  const rest = read(adjustText(text, parseChanges(words), machine));
  const after = doseAtPoints(points, planMotion(rest, machine), machine);
  const before = doseOfSome(program, new Set(kept), machine, points);
  return apart(after.doseJPerMm2, before.doseJPerMm2);
}

describe('the dose of what stays', () => {
  test('is what it was, whatever way jobs at random go', () => {
    let compared = 0;
    let refused = 0;
    for (let seed = 1; seed <= 120; seed++) {
      const { text, dialect } = randomJob(seed);
      const count = read(text).operations.length;
      // Inches have no end of digits, and written ones are rounded.
      if (count < 2 || dialect.inches) continue;
      const n = 1 + (seed % count);
      const others = Array.from({ length: count }, (_, k) => k + 1).filter((k) => k !== n);
      const machine = machineWith({
        lookahead_moves: seed % 2 === 0 ? 4 : 16,
        spot: { width_mm: [0.3, 0.4] },
      });
      for (const [words, kept] of [
        [`${n}: skip`, others],
        [`${n}: only`, [n]],
      ] as const) {
        try {
          expect(comparedWithWhole(text, words, kept, machine), `seed ${seed}, ${words}`).toBeLessThan(1e-9);
          compared++;
        } catch (error) {
          if (!(error instanceof InputError)) throw error;
          expect(error.sentence, `seed ${seed}, ${words}`).not.toMatch(/could not be rewritten/);
          refused++;
        }
      }
    }
    expect(compared).toBeGreaterThan(100);
    expect(refused).toBeLessThan(compared / 20);
  });

  test('is what it was where few moves are known ahead and a long way follows', () => {
    // Pieces so short that four of them are all the way there is to brake; then straight on, faster than before.
    const pieces = (from: number, s: number, feed: number) =>
      Array.from(
        { length: 60 },
        (_, k) => `G1 X${(from + 0.2 * (k + 1)).toFixed(1)}${k === 0 ? ` S${s} F${feed}` : ''}`,
      );
    const text = gcode(
      'G21 G90',
      'M3 S0',
      ...pieces(0, 500, 6000),
      ...pieces(12, 300, 4000),
      'G0 X200',
      'M5',
    );
    expect(read(text).operations).toHaveLength(2);
    const machine = machineWith({ lookahead_moves: 4, spot: { width_mm: [0.3, 0.4] } });
    expect(comparedWithWhole(text, '1: only', [1], machine)).toBeLessThan(1e-9);
    expect(comparedWithWhole(text, '2: only', [2], machine)).toBeLessThan(1e-9);
  });

  test.each([
    ['marker', 'bench-gantry', '1: skip', [2, 3]],
    ['marker', 'bench-gantry', '3: only', [3]],
    ['marker-careful', 'bench-gantry', '2: skip', [1, 3]],
    ['sign', 'workshop-gantry', '1: skip', [2, 3]],
  ] as const)('is what it was in the demo: %s on the %s, %s', (job, gantry, words, kept) => {
    const text = demoText(job);
    // A starved link waits where it will; what it does to speeds is not the job's.
    const own = readMachine(demoMachines[gantry]);
    const machine = { ...own, link: null, laser: { ...own.laser, rise_time_ms: 0, beam_delay_ms: 0 } };
    expect(comparedWithWhole(text, words, kept, machine)).toBeLessThan(1e-9);
  });
});

describe('what is written', () => {
  const rows = [
    'G0 X5 Y5',
    'M4 S0',
    'G1 X25 S300 F3000',
    'G1 Y5.2 S0',
    'G1 X5 S300',
    'G1 Y5.4 S0',
    'G1 X25 S300',
  ];
  const square = ['M5', 'G0 X2 Y2', 'M3 S900', 'G1 X28 F600', 'G1 Y10', 'G1 X2', 'G1 Y2'];
  const head = ['G21', 'G90'];
  const foot = ['M5', 'G0 X0 Y0', 'M2'];

  test('the rows go with their way, and every other byte stays', () => {
    expect(adjust(gcode(...head, ...rows, ...square, ...foot), '1: skip')).toBe(
      gcode(...head, 'G0 X5 Y5', 'M4 S0', ...square, ...foot),
    );
  });

  test('the outline goes, and the beam is off at the end', () => {
    expect(adjust(gcode(...head, ...rows, ...square, ...foot), '1: only')).toBe(
      adjust(gcode(...head, ...rows, ...square, ...foot), '2: skip'),
    );
    const left = read(adjust(gcode(...head, ...rows, ...square, ...foot), '2: skip'));
    expect(left.operations.map(({ kind, n }) => [n, kind])).toEqual([[1, 'rows']]);
    expect(left.endsWithBeamOn).toBeNull();
  });

  test('units, distance mode, power mode, feed and S hold for what stays, though what said them is gone', () => {
    const incremental = gcode(
      'G20 G91',
      'M3',
      'G0 X0.1 Y0.1',
      'G1 X0.4 S700 F40',
      'G1 X-0.4',
      'G0 Y0.2',
      'G1 X0.5 F20 M4',
      'G1 Y0.1',
      'G1 X-0.5',
      'G1 Y-0.1',
      'M5',
    );
    const [, second] = read(incremental).operations;
    const [only, ...none] = read(adjust(incremental, '2: only')).operations;
    expect(none).toEqual([]);
    expect(only).toMatchObject({
      kind: 'outline',
      powerMode: 'proportional',
      sMax: 700,
      passes: 1,
    });
    expect(only!.feedMmPerS).toBeCloseTo(second!.feedMmPerS, 9);
  });

  test('a dwell that burned a hole of what is left out burns none', () => {
    const pierced = gcode(
      ...head,
      'M3 S0',
      'G0 X5 Y5',
      'G1 X15 S500 F600',
      'G4 P2',
      'G0 X5 Y8',
      'G1 X15 F300',
      'M5',
    );
    const left = read(adjust(pierced, '2: only'));
    const lit = Array.from({ length: left.stops.count }, (_, k) => k).filter(
      (k) => left.stops.dwellS[k]! > 0 && left.stops.s[k]! > 0,
    );
    expect(lit).toEqual([]);
    expect(left.operations).toHaveLength(1);
  });

  test('lines that are gone keep no slow link busy: it takes as long as its file', () => {
    const slow = machineWith({ link: { baud: 9600, ack_bytes: 4, lines_per_second: null } });
    const many = Array.from({ length: 400 }, (_, k) => `G1 X${(2 + k / 20).toFixed(2)} S200 F2000`);
    const text = gcode(...head, 'M3 S0', 'G0 X2 Y2', ...many, ...square, ...foot);
    const job = openJob(() => [text], slow);
    const changed = job.change(parseChanges('2: only'));
    const written = readProgram([textOf(job, changed)], readOptions(slow));
    const durationOf = (program: Program) => planMotion(program, slow).durationS;
    expect(durationOf(changed.program)).toBeCloseTo(durationOf(written), 6);
    expect(durationOf(changed.program)).toBeLessThan(durationOf(job.table.program) - 1);
  });

  test('several left out, in any order of words', () => {
    const three = gcode(...head, ...rows, ...square, 'G0 X40 Y2', 'G1 X60 F900', 'G1 X60 Y9', ...foot);
    expect(read(three).operations).toHaveLength(3);
    expect(adjust(three, '1: skip; 3: skip')).toBe(adjust(three, '2: only'));
    expect(read(adjust(three, '3: only; 1: only')).operations.map(({ kind }) => kind)).toEqual([
      'rows',
      'outline',
    ]);
  });

  test.each([
    ['all: skip', /found every operation left out; expected one that is burned/],
    ['1: skip, only', /found two settings of what is left out for 1; expected one/],
    ['7: only', /found a change of operation 7; expected one from 1 to 2/],
    ['1: leave out', /expected skip, for an operation to be left out, or only, for all others/],
  ])('%s is refused', (words, sentence) => {
    expect(() => adjust(gcode(...head, ...rows, ...square, ...foot), words)).toThrow(sentence);
  });
});
