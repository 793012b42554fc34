import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { withFeed } from '../../src/change/write-feed.ts';
import { InputError } from '../../src/errors.ts';
import { readOptions } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { machineWith } from '../support/machines.ts';

/** Jobs that stricter controllers stop at are changed as their proper twins are. */

const machine = machineWith();
const folder = new URL('../dialects/files/', import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), 'latin1');
const names = readdirSync(folder).filter((name) => name.endsWith('.nc') && !name.endsWith('-proper.nc'));

const movesOf = (text: string) => {
  const { moves } = readProgram(text, readOptions(machine));
  return Array.from({ length: moves.count }, (_, k) =>
    [moves.xMm, moves.yMm, moves.zMm, moves.feedMmPerS, moves.s, moves.powerMode, moves.rapid].map(
      (values) => values[k]!,
    ),
  );
};

/** What the adjusted job does, or why there is none. */
function outcome(adjusted: () => string): unknown {
  try {
    return movesOf(adjusted());
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.sentence;
  }
}

describe.each(names)('%s', (name) => {
  const text = read(name);
  const feed = /--feed (\d+)/.exec(text)?.[1];
  const feedMmPerS = feed === undefined ? null : mmPerMinToMmPerS(Number(feed));

  test.each(['1: power 55%', '1: speed 700, constant', '1: passes 2'])('%s', (change) => {
    const changes = parseChanges(change);
    const proper = outcome(() => adjustText(read(name.replace('.nc', '-proper.nc')), changes, machine));
    // The odd one carries its feed now, and needs none beside it.
    expect(outcome(() => adjustText(text, changes, machine, null, feedMmPerS))).toEqual(proper);
  });
});

test('the end mark of old disks stays at the end, behind what is added', () => {
  const text = 'M3 S100 F600\r\nG1 X9\r\nM5\r\n\x1a\0\0';
  const adjusted = adjustText(text, parseChanges('1: speed 300, passes 2'), machine);
  expect(adjusted.match(/X9/g)).toHaveLength(2);
  expect(adjusted.endsWith('M5\r\n\x1a\0\0')).toBe(true);
});

describe('a feed is written where it is missing, and nowhere else', () => {
  const feedMmPerS = mmPerMinToMmPerS(900);
  const written = (text: string): string =>
    Array.from(withFeed([text], { ...readOptions(machine), feedMmPerS })).join('');

  test.each([
    ['G0 X1\r\nG1 X2 ; a\r\nX3\r\n', 'G0 X1\r\nG1 X2 F900 ; a\r\nX3\r\n'],
    ['G1 X2 F0\nX3', 'G1 X2 F900\nX3'],
    ['F0\nG1 X2\nF600\nX3\nF0 X4', 'F0\nG1 X2 F900\nF600\nX3\nF900 X4'],
    ['G20\nG1 X2', 'G20\nG1 X2 F35.43307087'],
    ['G20 G1 X2', 'G20 G1 X2 F900'],
    ['N1 G1 X2*99', 'N1 G1 X2 F900*60'],
    ['G1 X2 M117 X9', 'G1 X2 F900 M117 X9'],
    ['G1 X2 F600', 'G1 X2 F600'],
  ])('%j', (text, expected) => {
    expect(written(text)).toBe(expected);
    readProgram(expected, readOptions(machine));
  });
});

test('a dwell whose time is X moves with its operation', () => {
  const job =
    'G21 G90\nM3 S0\nG0 X5 Y5\nG1 X20 F600 S300\nS0\nG4 X0.1\nG0 X5 Y10\nG1 X20 F900 S400\nM5\nM2\n';
  const made = adjustText(job, parseChanges('1: last'), machine);
  const program = readProgram(made, readOptions(machine));
  expect(program.operations.map(({ feedMmPerS }) => feedMmPerS)).toEqual([15, 10]);
  expect(made).toMatch(/^G4 X0\.1$/m);
});

test.each([
  ['M5\0\0\0', 'M5'],
  ['M5\r\n\0\0\0\0', 'M5\r\n'],
  ['M5\r\n\0\0\n\0\0', 'M5\r\n'],
  ['\0\0', ''],
])('NULs that pad a job are left out: %j', (padded, plain) => {
  const text = 'M3 S100 F600\r\nG1 X9\r\n';
  for (const change of ['1: speed 300', '1: passes 2', '1: power 5 %, passes 3']) {
    const adjusted = (end: string) => adjustText(text + end, parseChanges(change), machine);
    expect(adjusted(padded).trimEnd()).toBe(adjusted(plain).trimEnd());
  }
});
