import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import {
  begun,
  bent,
  type History,
  redone,
  stepped,
  undone,
  withoutNothing,
} from '../../viewer/state/history.ts';
import { type BenchState, isSameBench, stepWords } from '../../viewer/state/step-words.ts';
import { machineWith } from '../support/machines.ts';

const isSame = (a: number, b: number) => a === b;

describe('a history', () => {
  test('goes back and forth, and forgets what was gone back from with a new step', () => {
    const three = stepped(stepped(begun(1), 2), 3);
    expect(undone(undone(three))).toEqual({ past: [], now: 1, future: [2, 3] });
    expect(redone(undone(three))).toEqual(three);
    expect(stepped(undone(three), 7)).toEqual({ past: [1, 2], now: 7, future: [] });
  });

  test('has ends', () => {
    const one = begun(1);
    expect(undone(one)).toBe(one);
    expect(redone(one)).toBe(one);
  });

  test('a drag is one step, and none when it ends where it began', () => {
    const dragged = bent(bent(stepped(begun(1), 2), 3), 4);
    expect(undone(withoutNothing(dragged, isSame)).now).toBe(1);
    const back = withoutNothing(bent(dragged, 1), isSame);
    expect(back).toEqual(begun(1));
  });

  test('undoing all of any walk leads to its beginning, redoing all of it to its end', () => {
    fc.assert(
      fc.property(fc.array(fc.integer(), { maxLength: 50 }), (states) => {
        const end = states.reduce((walk: History<number>, state) => stepped(walk, state), begun(0));
        let at = end;
        for (let k = 0; k <= states.length; k++) at = undone(at);
        expect(at.now).toBe(0);
        for (let k = 0; k <= states.length; k++) at = redone(at);
        expect(at).toEqual(end);
      }),
    );
  });

  test('keeps the newest steps only', () => {
    const long = Array.from({ length: 1000 }, (_, k) => k).reduce(
      (walk: History<number>, state) => stepped(walk, state),
      begun(-1),
    );
    expect(long.past.length).toBe(200);
    expect(long.past.at(-1)).toBe(998);
  });
});

describe('a step in words', () => {
  const bench: BenchState = {
    machine: machineWith({}),
    material: shippedMaterials.beech!,
    stock: { widthMm: 30, heightMm: 20, thicknessMm: 4, xMm: 0, yMm: 0 },
    changes: new Map(),
    second: null,
    secondChanges: new Map(),
  };
  const { stock } = bench;
  const job = { name: 'b.nc', text: '' };
  const second = {
    setup: { ...bench, job, changes: [], cellMm: null },
    title: 'b.nc',
    follows: true,
    followsBoard: true,
  };

  test.each<[string, Partial<BenchState>]>([
    ['speed of operation 2', { changes: new Map([[2, { speedMmPerS: 10 }]]) }],
    [
      'power mode and overscan of operation 1',
      { changes: new Map([[1, { powerMode: 'proportional', overscanMm: 3 }]]) },
    ],
    [
      'settings of several operations',
      {
        changes: new Map([
          [1, { passes: 2 }],
          [3, { passes: 2 }],
        ]),
      },
    ],
    ['the machine', { machine: machineWith({ laser: { optical_power_w: 9 } }) }],
    ['the wood', { material: shippedMaterials.spruce! }],
    ['the board', { stock: { ...stock!, thicknessMm: 3 } }],
    ['the board', { stock: null }],
    ['where the board lies', { stock: { ...stock!, xMm: 3 } }],
    ['the second job', { second, secondChanges: new Map([[1, { passes: 2 }]]) }],
    ['passes of operation 1 of B', { secondChanges: new Map([[1, { passes: 2 }]]) }],
    [
      'speed of operation 2, passes of operation 1 of B',
      { changes: new Map([[2, { speedMmPerS: 10 }]]), secondChanges: new Map([[1, { passes: 2 }]]) },
    ],
  ])('%s', (words, changed) => {
    const after = { ...bench, ...changed };
    expect(stepWords(bench, after)).toBe(words);
    expect(stepWords(after, bench)).toBe(words);
    expect(isSameBench(bench, after)).toBe(false);
  });

  test('benches are the same by what they are', () => {
    const again = { ...bench, machine: machineWith({}), stock: { ...stock! }, changes: new Map() };
    expect(isSameBench(bench, again)).toBe(true);
    expect(stepWords(bench, again)).toBe('');
  });
});
