import { describe, expect, test } from 'vitest';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { lapsFor } from '../../src/change/repeat-passes.ts';
import { machineWith } from '../support/machines.ts';
import { gcode, read } from './support.ts';

const square = (x: number, side = 10, z?: number) => [
  `G0 X${x} Y0${z === undefined ? '' : ` Z${z}`}`,
  `G1 X${x + side} S800 F300`,
  `Y${side}`,
  `X${x}`,
  'Y0',
];
const job = (...lines: string[]) => gcode('G21 G90', 'M4 S0', ...lines, 'M5');

/** The burning moves of each stretch, by the height or the place of their first. */
function stretches(text: string, passes: number, by: 'xMm' | 'zMm'): number[][] {
  const { moves, operations } = read(text);
  return lapsFor(moves, operations[0]!, passes).map(({ first, last }) => {
    const seen: number[] = [];
    for (let k = first; k <= last; k++)
      if (moves.rapid[k] === 0 && seen.at(-1) !== moves[by][k - (by === 'xMm' ? 1 : 0)])
        if (by === 'zMm' || moves.yMm[k] === 0) seen.push(moves[by][k - (by === 'xMm' ? 1 : 0)]!);
    return seen;
  });
}

describe('laps that follow the work down', () => {
  const stepped = job(...square(0, 10, 0), ...square(0, 10, -1), ...square(0, 10, -2));

  test('are left out from the last, and a further one is burned at the last height', () => {
    expect(read(stepped).operations[0]!.passes).toBe(3);
    expect(stretches(stepped, 2, 'zMm')).toEqual([[0, -1]]);
    expect(stretches(stepped, 3, 'zMm')).toEqual([[0, -1, -2]]);
    expect(stretches(stepped, 5, 'zMm')).toEqual([[0, -1, -2], [-2], [-2]]);
  });
});

describe('laps at one height', () => {
  const lapOf = (text: string, passes: number) => {
    const { moves, operations } = read(text);
    return lapsFor(moves, operations[0]!, passes).map(({ first, last }) => [first, last]);
  };

  test('a path burned once is repeated whole', () => {
    // Move 0 is the rapid; the outline's sides are 1 to 4.
    expect(lapOf(job(...square(5)), 3)).toEqual([
      [1, 4],
      [1, 4],
      [1, 4],
    ]);
  });

  test('further ones follow the first, the second and so on', () => {
    const two = job(...square(5), 'G1 X15 S800', 'Y10', 'X5', 'Y0');
    expect(read(two).operations[0]!.passes).toBe(2);
    const three = job(...square(1, 4), ...square(20), ...square(1, 4), ...square(20));
    expect(read(three).operations[0]!.passes).toBe(2);
    expect(lapOf(three, 3)).toEqual([
      [1, 19],
      [1, 9],
    ]);
    expect(lapOf(three, 4)).toEqual([
      [1, 19],
      [1, 9],
      [11, 19],
    ]);
    expect(lapOf(three, 1)).toEqual([[1, 9]]);
  });

  test('each outline gets its own where it has them at once', () => {
    const each = job(...square(1, 4), ...square(1, 4), ...square(20), ...square(20));
    expect(lapOf(each, 1)).toEqual([
      [1, 4],
      [10, 13],
    ]);
  });

  test('a mixed order is refused', () => {
    const mixed = job(...square(1, 4), ...square(20), ...square(20), ...square(1, 4));
    expect(() => lapOf(mixed, 3)).toThrow(/found the 2 passes of operation 1 burned in mixed order/);
  });
});

describe('a pause among what changes places', () => {
  const line = (y: number, feed: number) => [`G0 X0 Y${y}`, `G1 X10 S500 F${feed}`];
  const machine = machineWith();
  const change = (text: string, words: string) => changeProgram(read(text), parseChanges(words), machine);
  const PAUSE = /found a pause between what would be burned in another order/;

  test('is refused where what comes before it, or right behind it, is no longer the same', () => {
    const pausedAt = (n: number) => {
      const lines = [line(0, 600), line(1, 700), line(2, 800), line(3, 900)];
      return job(...lines.flatMap((each, k) => (k === n ? ['M0', ...each] : each)));
    };
    // 1 2 | 3 4 with the first last: 2 3 4 1.
    expect(() => change(pausedAt(2), '1: last')).toThrow(PAUSE);
    // 1 | 2 3 4 with the second last: another follows the pause.
    expect(() => change(pausedAt(1), '2: last')).toThrow(PAUSE);
    // 1 2 | 3 4 with the fourth last, or the third: only the first changes nothing.
    expect(change(pausedAt(2), '4: last').operations.map(({ n }) => n)).toEqual([1, 2, 3, 4]);
    expect(() => change(pausedAt(2), '3: last')).toThrow(PAUSE);
    // 1 | 2 3 4 with the third last: the pause still stands between the first and the second.
    expect(change(pausedAt(1), '3: last').stops.count).toBeGreaterThan(0);
    // Before everything it does not matter what follows.
    expect(change(pausedAt(0), '1: last').operations.map(({ firstMove }) => firstMove)[0]).toBeGreaterThan(3);
  });

  test('is refused within what is moved', () => {
    const within = job('G0 X0 Y0', 'G1 X10 S500 F600', 'M0', 'G1 X20', ...line(1, 700));
    expect(read(within).operations.length).toBe(2);
    expect(() => change(within, '1: last')).toThrow(PAUSE);
  });

  test('is refused between a part and what lies in it', () => {
    const at = (x: number, side: number) => [
      `G0 X${x} Y${x}`,
      `G1 X${x + side} S800 F300`,
      `Y${x + side}`,
      `X${x}`,
      `Y${x}`,
    ];
    const nested = job(...at(0, 20), 'M0', ...at(4, 12), ...at(8, 4));
    expect(read(nested).operations.length).toBe(1);
    expect(() => change(nested, '1: inside first')).toThrow(PAUSE);
  });
});
