import { expect, test } from 'vitest';
import { readOptions } from '../../src/forecast.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { headAt } from '../../src/motion/timeline.ts';
import { readProgram } from '../../src/program/read.ts';
import { lineAt, lineStarts, lineText, nextLineS, timeOfLine } from '../../viewer/lines/line-index.ts';
import { machineWith } from '../support/machines.ts';

const TEXT = 'G21 G90\r\nM4 S0\nG1 X10 S300 F600\n; nothing\nX20\nX30\nM5\n';
const machine = machineWith();
const motion = planMotion(readProgram([TEXT], readOptions(machine)), machine);
const lineNow = (t: number) => {
  const { move, rest } = headAt(motion, t);
  return lineAt(motion, move, rest);
};

test('lines are found and read without their ends', () => {
  const starts = lineStarts(TEXT);
  expect(starts.length - 1).toBe(7);
  expect([1, 3, 7].map((n) => lineText(TEXT, starts, n))).toEqual(['G21 G90', 'G1 X10 S300 F600', 'M5']);
  expect(lineStarts('').length - 1).toBe(1);
  expect(lineText('a\nb', lineStarts('a\nb'), 2)).toBe('b');
});

test('the time of a line is when it is done; of one that does nothing, when the next is', () => {
  const end = timeOfLine(motion, 3, 0)!;
  expect(headAt(motion, end).xMm).toBeCloseTo(10, 2);
  expect(lineNow(end)).toBe(3);
  expect(headAt(motion, timeOfLine(motion, 4, 0)!).xMm).toBeCloseTo(20, 2);
  expect(timeOfLine(motion, 7, 0)).toBeNull();
  expect(lineNow(end / 2)).toBe(3);
});

test('steps go from line to line, there and back, and end at both ends', () => {
  const seen: number[] = [];
  const lines: number[] = [];
  let t = 0;
  for (let k = 0; k < 3; k++) {
    t = nextLineS(motion, t, 1);
    seen.push(headAt(motion, t).xMm);
    lines.push(lineNow(t));
  }
  expect(seen.map(Math.round)).toEqual([10, 20, 30]);
  expect(lines).toEqual([3, 5, 6]);
  expect(nextLineS(motion, t, 1)).toBeCloseTo(motion.durationS, 9);
  t = nextLineS(motion, t, -1);
  expect(Math.round(headAt(motion, t).xMm)).toBe(20);
  t = nextLineS(motion, nextLineS(motion, t, -1), -1);
  expect(t).toBe(0);
});
