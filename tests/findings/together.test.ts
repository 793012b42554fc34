import { expect, test } from 'vitest';
import { middleTone } from '../../src/burn/tone.ts';
import { settle } from '../../src/change/advised.ts';
import { changesWords, parseChanges } from '../../src/change/grammar.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { bench, board, poplar, ROUGH, withChanges } from './pairs.ts';

/** Advice on one setting that is taken together with advice on another: what the first did is not undone. */

/** 24 rows of 60 mm; the bench runs at most 6000 mm/min. */
function rows({ s, feed, mode }: { s: number; feed: number; mode: string }): string {
  const lines = ['G21 G90', `${mode} S${s}`, 'G0 X10 Y10', `F${feed}`];
  for (let k = 0; k < 24; k++) {
    const y = (10 + 0.1 * k).toFixed(1);
    lines.push(`G0 X${k % 2 ? 70 : 10} Y${y}`, `G1 X${k % 2 ? 10 : 70}`);
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

const made = (text: string): Forecast => forecast(text, bench(), poplar, { ...ROUGH, stock: board(3) });

const noMark = ({ findings }: Forecast) => findings.find(({ kind }) => kind === 'no-mark');

for (const mode of ['M3', 'M4']) {
  test(`${mode}: faint rows whose feed is beyond the machine come out tan, whatever else is advised`, () => {
    const faint = made(rows({ s: 30, feed: 15000, mode }));
    const advice = noMark(faint)!.advice!;
    // What gives a tan holds for the speed at which the head runs.
    expect(advice.change).toMatch(/^1: speed 6000, power [0-9.]+%$/);
    const once = withChanges(faint, parseChanges(advice.change));
    const toneOf = ({ engravings }: Forecast) => engravings[0]!.tone;
    // Warmth, which is more at more power, is not in it.
    expect(toneOf(once)).toBeGreaterThan(0.9 * middleTone('tan'));
    expect(toneOf(once)).toBeLessThan(1.5 * middleTone('tan'));
    expect(once.findings.map(({ kind }) => kind)).not.toContain('speed-capped');
    const settled = settle(faint, (changes) => withChanges(faint, changes));
    const then = withChanges(faint, settled.changes);
    expect(noMark(then), changesWords(settled.changes)).toBeUndefined();
    expect(toneOf(then)).toBeGreaterThan(0.8 * toneOf(once));
  });
}

test('rows that show only where the head is slow are told as too faint', () => {
  // The middle gets 0.8 of what a mark takes at full speed, the ends, where the head turns with the beam on, far more.
  const faint = made(rows({ s: 30, feed: 6000, mode: 'M3' }));
  const { dose_j_mm2: dose, mark_j_mm2: mark } = noMark(faint)!.measure as Record<string, number>;
  const s = (times: number) => Math.round((30 * times * mark!) / dose!);
  const told = noMark(made(rows({ s: s(0.8), feed: 6000, mode: 'M3' })))!;
  expect(told.message).toMatch(
    /^It will show only where the head is slow, on \d+ % of its length: at 6000 mm\/min/,
  );
  // Slow enough is v < 0.8 · 100 mm/s, for v²/2a at either end of 60 mm, a 500 mm/s².
  expect(told.measure.marked_share as number).toBeCloseTo((2 * 80 ** 2) / (2 * 500) / 60, 1);
  expect(noMark(made(rows({ s: s(1.1), feed: 6000, mode: 'M3' })))).toBeUndefined();
});
