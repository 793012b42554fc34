import { expect, test } from 'vitest';
import { createWanted } from '../../src/change/cursor.ts';
import { fitLine } from '../../src/change/fit-line.ts';
import { fitPlainLine } from '../../src/change/fit-plain-line.ts';
import { createBlock } from '../../src/program/block.ts';
import { startReading } from '../../src/program/read.ts';
import { below, seeded } from '../support/random.ts';

/** The fast way of fitting a line is held to the careful one. */

const LINES = [
  'G1 X10 S500 F900',
  'g1x10s500f900',
  'X10',
  'X10 S500',
  'X10 S0',
  'G0 X10 F1200',
  'F900 X10 S0500.0',
  'G01 X10\tS 500  F+900 ',
  'S500',
  'F900',
  'G0 X10 (S500)',
  'M4 S500',
  'G4 P0.5',
  'N10 X10 S500',
  'S500X10',
  '',
];

test('plain lines are fitted as the careful way fits them', () => {
  const random = seeded(11);
  const block = createBlock();
  let changed = 0;
  let kept = 0;
  let left = 0;
  for (let k = 0; k < 6_000; k++) {
    const text = LINES[below(random, LINES.length)]!;
    const pick = <T>(...of: T[]): T => of[below(random, of.length)]!;
    const reading = startReading({ arcToleranceMm: 0.002, dwellUnit: 's' });
    const before = ['G21 G90', 'M4 S500', 'G1 X5 F900', pick('S0', 'S500', 'S650'), pick('F900', 'F1200')];
    for (const [n, line] of before.entries()) reading.line(line, 0, line.length, n + 1);
    const { state } = reading;
    const wanted = createWanted();
    wanted.s = pick(0, 500, 650, 612.5);
    wanted.jobS = pick(0, 500, Number.NaN);
    wanted.sMatters = pick(true, false);
    wanted.feedMmPerS = pick(15, 20, 25);
    wanted.jobFeedMmPerS = pick(15, 20, Number.NaN);
    wanted.feedMatters = pick(true, false);
    const goes = text.includes('10') && /x/i.test(text);
    wanted.moves = goes;
    wanted.mode = 2;
    wanted.end.set([goes ? 10 : 5, 0, 0]);
    const fast = fitPlainLine(text, 0, text.length, wanted, state, block);
    if (fast === undefined) {
      left++;
      continue;
    }
    const { before: lines, content } = fitLine(
      {
        text,
        line: 6,
        frame: { mmPerUnit: 1, absolute: true, arcAbsolute: false, plane: 170, shift: [0, 0, 0] },
        motion: 10,
        makesMoves: goes,
        makesStops: false,
        stopsMoved: false,
        start: [5, 0, 0],
        end: [10, 0, 0],
        placement: null,
      },
      wanted,
      state,
      false,
      ' ',
    );
    expect(lines, text).toEqual([]);
    expect(fast ?? text, text).toBe(content);
    if (fast === null) kept++;
    else changed++;
  }
  expect(changed).toBeGreaterThan(300);
  expect(kept).toBeGreaterThan(300);
  expect(left).toBeGreaterThan(300);
});
