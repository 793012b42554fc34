import { describe, expect, test } from 'vitest';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import type { Place } from '../../src/findings/finding.ts';
import { forecast } from '../../src/forecast.ts';
import { bench, board, poplar, ROUGH, told } from './pairs.ts';

/** Parts that are cut free before their inside is burned: what is said, and that what is advised mends it. */

const machine = bench({ laser: { optical_power_w: 10 } });
const run = (text: string) => forecast(text, machine, poplar, { ...ROUGH, stock: board(3, 70, 50) });
/** What remains of the finding in the file that is written with what was advised. */
function mended(text: string): string[] {
  const words = run(text).findings.map(({ advice }) => advice?.change ?? '');
  return run(adjustText(text, parseChanges(words.join('; ')), machine)).findings.map(told);
}

const square = (x: number, y: number, side: number, feed: number, passes = 1) =>
  [
    `G0 X${x} Y${y}`,
    ...Array.from({ length: passes }, () => `G1 X${x + side} S1000 F${feed}\nY${y + side}\nX${x}\nY${y}`),
  ].join('\n');
const text = (...parts: string[]) => `G21 G90\nM4 S0\n${parts.join('\n')}\nM5\n`;
const line = (x: number, y: number) => `G0 X${x} Y${y}\nG1 X${x + 6} S300 F2000`;

describe('cut free too early', () => {
  test('every outline of one operation is named at once, and one advice mends all', () => {
    const tags = [0, 1, 2, 3, 4, 5].map((k) => {
      const [x, y] = [5 + 20 * (k % 3), 5 + 20 * Math.floor(k / 3)];
      return `${square(x, y, 15, 240, 2)}\n${square(x + 5, y + 5, 5, 240, 2)}`;
    });
    const { findings, program } = run(text(...tags));
    expect(program.operations).toHaveLength(1);
    expect(findings.map(({ kind }) => kind)).toEqual(['cut-before-engraved']);
    expect(findings[0]!.message).toMatch(
      /^All 6 outlines cut their parts free before their inside is burned \(first the outline of lines 4 to 11, its inside from line 13\)/,
    );
    expect(findings[0]!.measure.count).toBe(6);
    expect(findings[0]!.measure.places as readonly Place[]).toHaveLength(6);
    expect(findings[0]!.remedy).toMatch(/inside first/);
    expect(findings[0]!.advice).toEqual({ operation: 1, change: '1: inside first' });
    expect(mended(text(...tags))).toEqual([]);
  });

  test('an operation of its own goes last, in all its passes', () => {
    const job = text(square(5, 5, 40, 240, 2), line(10, 20), line(10, 25));
    const { findings } = run(job);
    expect(findings.map(({ operation }) => operation)).toEqual([2]);
    expect(findings[0]!.message).toMatch(/^The outline of lines 4 to 11 cuts its part free/);
    expect(findings[0]!.remedy).toBe('Burn operation 1 last.');
    expect(findings[0]!.advice).toEqual({ operation: 1, change: '1: last' });
    expect(mended(job)).toEqual([]);
  });

  test('by the first of passes that go over the whole job, where that is likely to come through', () => {
    const passes = (feed: number) => {
      const once = `${square(15, 15, 10, feed)}\n${square(5, 5, 40, feed)}`;
      return text(once, once);
    };
    const { findings, program } = run(passes(300));
    expect(program.operations.map((each) => each.passes)).toEqual([2]);
    const [found, ...others] = findings.filter(({ kind }) => kind === 'cut-before-engraved');
    expect(others).toEqual([]);
    expect(found!.message).toMatch(
      /^The outline of lines 9 to 12 cuts its part free more likely than not with pass 1 of 2 already, .* \(from line 14\)/,
    );
    expect(found!.advice).toEqual({ operation: 1, change: '1: inside first' });
    const after = run(adjustText(passes(300), parseChanges(found!.advice!.change), machine));
    expect(after.findings.map(({ kind }) => kind)).not.toContain('cut-before-engraved');
    // On so many boards the first pass alone comes through; both together do on nearly all at either feed.
    const alone = (feed: number) => run(text(square(5, 5, 40, feed))).cuts[0]!.chanceThrough;
    const [slow, fast] = [alone(300), alone(420)];
    expect(run(passes(420)).cuts[0]!.chanceThrough).toBeGreaterThan(0.99);
    expect(slow).toBeGreaterThan(0.5);
    expect(fast).toBeLessThan(0.5);
    expect(run(passes(420)).findings.map(({ kind }) => kind)).not.toContain('cut-before-engraved');
  });

  test('is foretold of an outline that does not come through yet, and one advice mends both', () => {
    const job = text(square(5, 5, 40, 900), square(15, 15, 10, 900), line(10, 35));
    const { findings } = run(job);
    expect(findings.map(({ kind }) => kind)).toEqual(['not-through']);
    expect(findings[0]!.remedy).toContain(
      'Once it comes through it must be burned last, inside first: else what lies inside it is burned on a loose part.',
    );
    expect(findings[0]!.advice!.change).toMatch(/^1: passes \d+, last, inside first$/);
    expect(mended(job)).toEqual([]);
    const [sound] = run(text(line(10, 35), square(15, 15, 10, 900), square(5, 5, 40, 900))).findings;
    expect(sound!.remedy).not.toContain('loose');
    expect(sound!.advice!.change).toMatch(/^2: passes \d+$/);
  });

  test('both at once', () => {
    const job = text(
      square(5, 5, 40, 240, 2),
      square(15, 15, 10, 240, 2),
      square(50, 5, 15, 200, 2),
      line(10, 35),
      line(55, 15),
    );
    expect(run(job).findings.map(({ advice }) => advice!.change)).toEqual([
      '1: inside first',
      '1: last; 2: last',
    ]);
    expect(mended(job)).toEqual([]);
  });

  test('where the order in which several would come last is wrong as well, nothing is advised', () => {
    // Text inside a ring that is cut second, inside an outline that is cut first.
    const job = text(square(5, 5, 40, 240, 2), square(15, 15, 20, 200, 2), line(20, 20));
    const late = run(job).findings.filter(({ kind }) => kind === 'cut-before-engraved');
    expect(late.map(({ operation }) => operation)).toEqual([2, 3]);
    for (const { advice, remedy } of late) {
      expect(advice).toBeNull();
      expect(remedy).toMatch(/change the order in the program that wrote the job\.$/);
    }
  });

  test('nor across a pause, nor where the beam does not go off in between', () => {
    const [outline, hole] = [square(5, 5, 40, 240, 2), square(15, 15, 10, 240, 2)];
    expect(run(text(outline, 'M0', line(10, 20))).findings[0]!.advice).toBeNull();
    expect(run(text(outline, 'M0', hole)).findings[0]!.advice).toBeNull();
    const joined = text(outline, 'G1 X15 Y15', hole.replace(/^G0.*\n/, ''));
    const late = run(joined).findings.filter(({ kind }) => kind === 'cut-before-engraved');
    expect(late).toHaveLength(1);
    expect(late[0]!.advice).toBeNull();
  });
});
