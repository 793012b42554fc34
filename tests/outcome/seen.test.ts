import { describe, expect, test } from 'vitest';
import { type Shares, seenSentence } from '../../src/outcome/seen.ts';
import type { ToneSeen } from '../../src/piece/tones.ts';
import { seeded } from '../support/random.ts';

/** What is said of a tone that a photo shows, in whole points that a person can add up. */

const seen = (seenTone: number, forecastTone: number): ToneSeen => ({
  operation: 1,
  forecastTone,
  seenTone,
  localTone: seenTone,
  lnTimes: 0,
  isAtLeast: false,
  marks: [],
  lnTimesPerLnWidth: 0,
  plusMinus: 0.05,
  byDoubt: [0, 0, 0, 0, 0],
});
const allWood: Shares = { wood: 1, machine: 0, photo: 0, colours: 0, rest: 0 };

const SENTENCE = /: tone (\d+) %, forecast (\d+) %\. Of these (\d+) points explain: (.*)\.$/;

describe('the points that a photo differs by', () => {
  test.each([
    // Rounded by themselves these differences were 4, 3 and 8.
    [0.1361, 0.1719, 3],
    [0.4551, 0.4226, 4],
    [0.4951, 0.4149, 9],
    [0.4149, 0.3451, 6],
  ])('of tone %d, forecast %d, are those between the two as they are told', (tone, forecast, points) => {
    const [, a, b, told, parts] = SENTENCE.exec(seenSentence(seen(tone, forecast), allWood))!;
    expect(Number(told)).toBe(points);
    expect(Math.abs(Number(a) - Number(b))).toBe(points);
    expect(parts).toBe(`the wood ${points}`);
  });

  test('are told of all parts together, each within a point of its own', () => {
    const random = seeded(5);
    for (let k = 0; k < 300; k++) {
      const [wood, machine, photo, colours] = Array.from({ length: 4 }, () => 0.8 * random() - 0.2) as [
        number,
        number,
        number,
        number,
      ];
      const shares = { wood, machine, photo, colours, rest: 1 - wood - machine - photo - colours };
      const sentence = seenSentence(seen(0.05 + 0.9 * random(), 0.05 + 0.9 * random()), shares);
      if (/as forecast/.test(sentence)) continue;
      const [, a, b, told, parts] = SENTENCE.exec(sentence)!;
      expect(Math.abs(Number(a) - Number(b)), sentence).toBe(Number(told));
      const sum = [...parts!.matchAll(/(-?\d+)(?=,| and|$)/g)].reduce(
        (all, [, part]) => all + Number(part),
        0,
      );
      expect(sum, sentence).toBe(Number(told));
      const ofWood = Number(/the wood (-?\d+)/.exec(parts!)?.[1] ?? 0);
      expect(Math.abs(ofWood - wood * Number(told)), sentence).toBeLessThan(1);
    }
  });
});
