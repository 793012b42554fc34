import { describe, expect, test } from 'vitest';
import { depthOfWords } from '../src/findings/phrases.ts';
import type { Operation } from '../src/program/program.ts';
import {
  feedWords,
  lengthWords,
  multipleWords,
  numberWords,
  operationSentence,
  percentWords,
  timesWords,
  timeWords,
} from '../src/words.ts';
import { machineWith } from './support/machines.ts';

describe('quantities as people say them', () => {
  test.each([
    [0.85, '85 % of it'],
    [3.4, '340 % of it'],
    [4.99, '499 % of it'],
    [5, '5 times it'],
    [24.3, '24 times it'],
    [2433.93, '2434 times it'],
  ])('%d: %s', (factor, words) => expect(multipleWords(factor, 'it')).toBe(words));

  test.each([
    [0.04, '0 s'],
    [4.21, '4.2 s'],
    [9.96, '10 s'],
    [59.4, '59 s'],
    [59.96, '1 min 00 s'],
    [125.4, '2 min 05 s'],
    [3599.6, '1 h 00 min'],
    [7384, '2 h 03 min'],
    [7199, '2 h 00 min'],
  ])('%d s: %s', (seconds, words) => expect(timeWords(seconds)).toBe(words));

  test.each([
    [0, '0'],
    [1240.4, '1240'],
    [31.52, '31.5'],
    [0.0421, '0.0421'],
    [-2.5, '-2.5'],
    [100, '100'],
    [0.9999, '1'],
  ])('%d: %s', (value, words) => expect(numberWords(value)).toBe(words));

  test('lengths, shares, counts, feeds', () => {
    expect([lengthWords(840), lengthWords(12_400)]).toEqual(['840 mm', '12.4 m']);
    expect([percentWords(0.85), percentWords(0.168)]).toEqual(['85 %', '16.8 %']);
    expect([timesWords(1), timesWords(2), timesWords(5)]).toEqual(['once', 'twice', '5 times']);
    expect(feedWords(2400 / 60)).toBe('2400 mm/min');
  });
});

describe('an operation as a sentence', () => {
  const operation: Operation = {
    n: 1,
    kind: 'outline',
    powerMode: 'proportional',
    feedMmPerS: 15,
    sMin: 850,
    sMax: 850,
    firstMove: 0,
    lastMove: 9,
    lines: [1, 9],
    passes: 3,
  };
  const machine = machineWith();

  test('outlines with passes; rows with a range of power', () => {
    expect(operationSentence(operation, machine)).toBe(
      'Outline, burned 3 times at 900 mm/min with 85 % power, proportional.',
    );
    expect(
      operationSentence(
        { ...operation, kind: 'rows', sMin: 0, sMax: 600, passes: 1, powerMode: 'constant' },
        machine,
      ),
    ).toBe('Rows, burned at 900 mm/min with 0 to 60 % power, constant.');
  });

  test('S beyond the scale is told as the full power that it gives', () => {
    const beyond = (sMin: number, sMax: number) => operationSentence({ ...operation, sMin, sMax }, machine);
    const ends = 'beyond the scale, which ends at S1000), proportional.';
    expect(beyond(1000, 1000)).toMatch(/ with 100 % power, proportional\.$/);
    expect(beyond(5000, 5000)).toContain(` with 100 % power (S5000, ${ends}`);
    expect(beyond(200, 5000)).toContain(` with 20 to 100 % power (up to S5000, ${ends}`);
    expect(beyond(2000, 5000)).toContain(` with 100 % power (up to S5000, ${ends}`);
  });
});

test('a depth is told with what there is, and what falls short by less than is told says so', () => {
  expect(depthOfWords(1.62, 4)).toBe('1.6 of 4 mm');
  expect(depthOfWords(3.9998, 4)).toBe('a hair less than 4 mm');
});
