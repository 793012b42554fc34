import { describe, expect, test } from 'vitest';
import { POWER_CONSTANT, POWER_OFF } from '../../src/program/program.ts';
import {
  ends,
  lastEnd,
  leftOut,
  length,
  movesOfLine,
  read,
  readLines,
  refusal,
  understoodText,
} from './reading.ts';

/**
 * The language as NISTIR 6556 fixes it: Kramer, Proctor, Messina, "The NIST RS274NGC Interpreter – Version 3",
 * 17 August 2000. Section, table and program numbers are that report's.
 */

describe('§3.3, format of a line', () => {
  test('B4: blanks count for nothing, even inside numbers, and letters may be small', () => {
    const program = read('g0x +0. 12 34y 7');
    expect(ends(program)).toEqual(ends(read('g0 x+0.1234 y7')));
    expect(ends(program)).toEqual([[0.1234, 7, 0]]);
    expect(understoodText(program)).toMatch(/1: X\+0\. 12 34 was read as X\+0\.1234/);
  });

  test('numbers: optional sign, digits, at most one point (§3.3.2.1)', () => {
    expect(ends(readLines('X+1', 'X-.5', 'X2.', 'X007', 'X0.1250'))).toEqual([
      [1, 0, 0],
      [-0.5, 0, 0],
      [2, 0, 0],
      [7, 0, 0],
      [0.125, 0, 0],
    ]);
  });

  test('a whole number may be off by 0.0001 (§3.3.2.1)', () => {
    expect(ends(readLines('G0.00005 X1', 'G1.00005 X2 F100'))).toEqual([
      [1, 0, 0],
      [2, 0, 0],
    ]);
    expect(refusal('G1.5555 X1').sentence).toMatch(/(?:^|: )found G1\.5555; expected a code such as G1$/);
  });

  test('line numbers are passed over, need no order and may repeat (§3.3.1)', () => {
    expect(ends(readLines('N30 G0 X1', 'N10 X2', 'N10 X3', 'n00020x4'))).toEqual([
      [1, 0, 0],
      [2, 0, 0],
      [3, 0, 0],
      [4, 0, 0],
    ]);
  });

  test('comments stand anywhere between words and may hold anything (§3.3.4)', () => {
    expect(ends(read('(MSG, go; G1 [#1]) G0 (x) X1 (y: 2,5) Y2 ; Z9 (unclosed'))).toEqual([[1, 2, 0]]);
  });

  test('block delete is off (§2.2.2): a line behind “/” is run, and that is told', () => {
    const program = readLines('/G0 X1', '/ N5 X2', '/');
    expect(ends(program)).toEqual([
      [1, 0, 0],
      [2, 0, 0],
    ]);
    expect(understoodText(program)).toMatch(/1: Lines that begin with “\/” are run/);
  });

  test('words may be permuted freely (§3.3.6): five words in all 120 orders', () => {
    const words = ['G1', 'X3', 'Y4', 'F600', 'S500'];
    const all = permutations(words).map((order) => read(`M3\n${order.join('')}`));
    expect(all).toHaveLength(120);
    for (const { moves } of all) {
      expect([moves.xMm[0], moves.yMm[0], moves.feedMmPerS[0], moves.s[0], moves.powerMode[0]]).toEqual([
        3,
        4,
        10,
        500,
        POWER_CONSTANT,
      ]);
    }
  });
});

describe('§3.1, the frame of a program', () => {
  test('what follows the second % is not read', () => {
    const program = readLines('%', 'G0 X1', '%', 'G0 X99');
    expect(lastEnd(program)).toEqual([1, 0, 0]);
    expect(leftOut(program, 'after %')).toMatchObject({ count: 1, lines: [4], severity: 'warning' });
  });

  test('what follows M2 or M30 is not read; words without motion are a note only', () => {
    for (const end of ['M2', 'M30']) {
      const program = readLines('G0 X1', end, '', '; a farewell', '%', 'M5 (again)');
      expect(lastEnd(program)).toEqual([1, 0, 0]);
      expect(leftOut(program, `after ${end}`)).toMatchObject({ count: 1, lines: [6], severity: 'note' });
    }
  });

  test('a file that begins with % and has no other end may be cut short', () => {
    expect(understoodText(readLines('%', 'G0 X1'))).toMatch(/it may be cut short/);
    expect(readLines('%', 'G0 X1', '%').understood).toEqual([]);
    expect(readLines('%', 'G0 X1', 'M30').understood).toEqual([]);
  });
});

describe('§3.8 Table 8, order of execution', () => {
  test('F, S and the beam switch come before the motion', () => {
    const { moves, stops } = read('G1 X10 F600 S500 M3');
    expect([moves.feedMmPerS[0], moves.s[0], moves.powerMode[0]]).toEqual([10, 500, POWER_CONSTANT]);
    expect(stops.beforeMove[0]).toBe(0);
  });

  test('M5 beside a move switches off before it', () => {
    const { moves } = readLines('M3 S500 F600 G1 X1', 'M5 G1 X10');
    expect(Array.from(moves.powerMode)).toEqual([POWER_CONSTANT, POWER_OFF]);
  });

  test('G91 counts on its own line; M30 beside a move ends after it', () => {
    expect(ends(readLines('G0 X5', 'G91 G0 X1', 'M30 G0 X5', 'G0 X50'))).toEqual([
      [5, 0, 0],
      [6, 0, 0],
      [11, 0, 0],
    ]);
  });

  test('G4 comes after the beam switch and before the motion', () => {
    const { stops, moves } = read('G1 X1 F60 G4 P0.25 M3 S100');
    expect(moves.count).toBe(1);
    expect(Array.from(stops.dwellS)).toEqual([0, 0.25]);
    expect(Array.from(stops.beforeMove)).toEqual([0, 0]);
    expect(Array.from(stops.powerMode)).toEqual([POWER_CONSTANT, POWER_CONSTANT]);
  });

  test('B6: F (step 3) comes before G20 (step 12), and that is told', () => {
    const program = readLines('G21', 'F100 G20', 'G1 X1');
    expect(program.moves.feedMmPerS[0]).toBeCloseTo(100 / 60, 12);
    expect(program.moves.xMm[0]).toBe(25.4);
    expect(understoodText(program)).toMatch(/2: F100 .* was read in millimetres a minute/);
  });

  test('G20 or G21 that changes nothing raises no doubt about F', () => {
    expect(read('G21 G1 X1 F100').understood).toEqual([]);
  });
});

describe('§3.5, G codes', () => {
  test('§3.5.7: G20 counts in inches, F in inches a minute; a feed given before stays what it was', () => {
    const { moves } = readLines('F600', 'G20', 'G1 X1', 'F60', 'X2');
    expect(Array.from(moves.xMm)).toEqual([25.4, 50.8]);
    expect(moves.feedMmPerS[0]).toBe(10);
    expect(moves.feedMmPerS[1]).toBeCloseTo(25.4, 12);
  });

  test('§3.5.18: G92 gives the place new coordinates, twice over', () => {
    // The report's example: at X = 4, G92 X7 makes the offset −3; G92 X9 then makes it −5.
    const program = readLines('G0 X4 Y1', 'G92 X7', 'G0 X8', 'G0 X7', 'G92 X9', 'G0 X10 Y3');
    expect(ends(program)).toEqual([
      [4, 1, 0],
      [5, 1, 0],
      [4, 1, 0],
      [5, 3, 0],
    ]);
  });

  test('§3.5.18: G92 is unaffected by G91, moves nothing, and leaves omitted axes alone', () => {
    const program = readLines('G0 X4 Y4', 'G91', 'G92 X0', 'G90', 'G0 X1 Y1');
    expect(ends(program)).toEqual([
      [4, 4, 0],
      [5, 1, 0],
    ]);
  });

  test('§3.5.18: G92.1 resets for good, G92.2 suspends, G92.3 restores', () => {
    const shifted = ['G0 X10', 'G92 X0'];
    expect(lastEnd(readLines(...shifted, 'G0 X1'))).toEqual([11, 0, 0]);
    expect(lastEnd(readLines(...shifted, 'G92.1', 'G0 X1'))).toEqual([1, 0, 0]);
    expect(lastEnd(readLines(...shifted, 'G92.2', 'G0 X1'))).toEqual([1, 0, 0]);
    expect(lastEnd(readLines(...shifted, 'G92.2', 'G92.3', 'G0 X1'))).toEqual([11, 0, 0]);
    expect(lastEnd(readLines(...shifted, 'G92.1', 'G92.3', 'G0 X1'))).toEqual([1, 0, 0]);
  });

  test('§3.5.12: G53 is in machine coordinates, for its line only', () => {
    expect(ends(readLines('G0 X10 Y5', 'G92 X0 Y0', 'G53 G0 X1', 'G0 X1'))).toEqual([
      [10, 5, 0],
      [1, 5, 0],
      [11, 5, 0],
    ]);
  });

  test('§3.5.8: G28 goes home by way of the point on its line; without one, straight', () => {
    const program = readLines('M4 S9', 'G0 X10 Y10 Z1', 'G28 X20', 'G0 X5', 'G28');
    expect(ends(program)).toEqual([
      [10, 10, 1],
      [20, 10, 1],
      [0, 0, 0],
      [5, 0, 0],
      [0, 0, 0],
    ]);
    expect(Array.from(program.moves.rapid)).toEqual([1, 1, 1, 1, 1]);
    expect(Array.from(program.stops.beforeMove)).toEqual([0, 1, 4]);
    expect(understoodText(program)).toMatch(/3: G28 was read as rapids/);
  });

  test('§3.5.8: the point of G28 follows G91, and the motion mode stays what it was', () => {
    expect(ends(readLines('G1 X5 F60', 'G91 G28 X1 Y1', 'G90 X2'))).toEqual([
      [5, 0, 0],
      [6, 1, 0],
      [0, 0, 0],
      [2, 0, 0],
    ]);
  });

  test('G28 with bare letters brings home those axes only (common practice, no source)', () => {
    expect(ends(readLines('G0 X5 Y6 Z7', 'G28 X Z', 'g28y'))).toEqual([
      [5, 6, 7],
      [0, 6, 0],
      [0, 0, 0],
    ]);
  });

  test('G28.1 and G30.1 store the place to go to', () => {
    expect(ends(readLines('G0 X3 Y4', 'G28.1', 'G0 X9', 'G30.1', 'G28', 'G30'))).toEqual([
      [3, 4, 0],
      [9, 4, 0],
      [3, 4, 0],
      [9, 4, 0],
    ]);
  });

  test('§3.5.13: another coordinate system than G54 lies where G54 does, and that is told', () => {
    const program = readLines('G54', 'G55 G0 X1', 'G59.3 X2');
    expect(lastEnd(program)).toEqual([2, 0, 0]);
    expect(understoodText(program)).toMatch(/^2: G55: all coordinate systems/);
    expect(readLines('G54 G0 X1').understood).toEqual([]);
  });

  test('§3.5.17: G91 is relative for axes, never for I and J', () => {
    const absolute = readLines('F60', 'G0 X10 Y10', 'G3 X20 Y10 I5 J0');
    const incremental = readLines('F60', 'G91 G0 X10 Y10', 'G3 X10 Y0 I5 J0');
    expect(ends(incremental)).toEqual(ends(absolute));
  });

  test('B8, §3.5.19: G93 is refused (its F2.0 would be half a minute, whatever the length)', () => {
    expect(refusal('G93 G1 X1 F2.0')).toMatchObject({ line: 1 });
    expect(refusal('G93 G1 X1 F2.0').sentence).toMatch(
      /(?:^|: )found G93; expected feeds in length per minute/,
    );
    expect(readLines('G94', 'G1 X1 F60').moves.feedMmPerS[0]).toBe(1);
  });

  test('§3.5.15: axis words after G80 are refused unless G92 or G28 takes them', () => {
    expect(refusal('G80\nX1').sentence).toMatch(/(?:^|: )found axis words after G80/);
    expect(lastEnd(readLines('G0 X1', 'G80', 'G92 X0', 'G0 X1'))).toEqual([2, 0, 0]);
  });
});

describe('Table 10, transcript of a session', () => {
  test('B1: its arc with the value put in', () => {
    // `g2 x[6-[4*3/2]] r 7.01 z0.5` with the expression worked out: ARC_FEED(0, 1, 1.5000, 7.8476, −1, 0.5).
    const program = readLines('g1 x3 y1 f20.0', 'g2 x0 r 7.01 z0.5');
    expect(program.moves.feedMmPerS[0]).toBeCloseTo(20 / 60, 12);
    const [first, last] = movesOfLine(program, 2);
    expect(ends(program)[0]).toEqual([3, 1, 0]);
    expect(lastEnd(program)).toEqual([0, 1, 0.5]);
    for (let k = first; k <= last; k++) {
      const radius = Math.hypot(program.moves.xMm[k]! - 1.5, program.moves.yMm[k]! - 7.847635);
      expect(radius).toBeCloseTo(7.01, 6);
    }
    // Sweep −24.7114°: helix length √(3.02338² + 0.5²) = 3.06444, less what the chords cut off.
    expect(length(program, first, last)).toBeCloseTo(3.06444, 3);
  });

  test('B1 and B5: expressions and parameters are reported with their lines, not simulated', () => {
    const program = readLines(
      'g1 x3 y1 f20.0',
      'g2 x[6-[4*3/2]] r 7.01 z0.5',
      '#3=6 G1 x#3',
      '#3=15',
      'S[1+2]',
    );
    expect(ends(program)).toEqual([[3, 1, 0]]);
    expect(leftOut(program, '[…]')).toMatchObject({ count: 2, lines: [2, 5], severity: 'stop' });
    expect(leftOut(program, '#')).toMatchObject({ count: 2, lines: [3, 4], severity: 'stop' });
    expect(leftOut(readLines('G0 X1', 'S[1+2]'), '[…]')).toMatchObject({ severity: 'warning' });
  });

  test('its tool words are reported', () => {
    const program = readLines('t2', 'm6 g43 h2', 'g1 x1 f20', 'm2');
    expect(leftOut(program, 'T')).toMatchObject({ lines: [1], severity: 'note' });
    expect(leftOut(program, 'M6')).toMatchObject({ lines: [2], severity: 'warning' });
    expect(leftOut(program, 'G43')).toMatchObject({ lines: [2], severity: 'warning' });
    expect(leftOut(program, 'H')).toBeUndefined();
  });

  test('its drilling cycle is reported, and the lines that repeat it', () => {
    const program = readLines('g0 x1', 'g91 g81 x3 y2 z-0.8 r1.5 l2', 'x2', 'g0 x1');
    expect(ends(program)).toEqual([
      [1, 0, 0],
      [2, 0, 0],
    ]);
    expect(leftOut(program, 'G81')).toMatchObject({ count: 2, lines: [2, 3], severity: 'stop' });
  });
});

/** All orders of a list. */
function permutations<T>(list: readonly T[]): T[][] {
  if (list.length <= 1) return [[...list]];
  return list.flatMap((item, k) =>
    permutations([...list.slice(0, k), ...list.slice(k + 1)]).map((rest) => [item, ...rest]),
  );
}
