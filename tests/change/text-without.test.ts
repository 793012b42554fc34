import { describe, expect, test } from 'vitest';
import { textWithout } from '../../src/change/text-without.ts';
import { machineWith } from '../support/machines.ts';
import { read } from './support.ts';

/** A job's text without some of its operations, as the page lays it on the bench. */

const machine = machineWith({});
const line = (y: number, feed: number): string[] => ['M3 S0', `G0 X5 Y${y}`, `G1 X25 S500 F${feed}`, 'M5'];
const job = (...feeds: readonly number[]): string =>
  `${['G21 G90', ...feeds.flatMap((feed, k) => line(5 + 5 * k, feed)), 'M2'].join('\n')}\n`;

describe('a job without some of its operations', () => {
  test('has the others, in their order', () => {
    const { text, operations } = textWithout(job(600, 900, 1200), [2], machine);
    expect(operations).toBe(2);
    const feeds = read(text).operations.map(({ feedMmPerS }) => Math.round(feedMmPerS * 60));
    expect(feeds).toEqual([600, 1200]);
  });

  test('tells where those that stay are one: alike, and kept apart by what was left out', () => {
    const text = job(600, 900, 600);
    expect(read(text).operations).toHaveLength(3);
    expect(textWithout(text, [2], machine).operations).toBe(1);
  });

  test('is refused where nothing would be left', () => {
    expect(() => textWithout(job(600), [1], machine)).toThrow(
      /^found every operation left out; expected one that is burned/,
    );
  });
});
