import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';

/** Operations that are left out by number: forecast and written alike. */

const place = workplace();
const text =
  'G21 G90\nM4 S0\nG0 X5 Y5\nG1 X25 S300 F3000\nM5\nG0 X2 Y2\nM3 S900\nG1 X28 F600\nY10\nX2\nY2\nM5\n';
const job = place.write('two.nc', text);

describe('--only and --skip', () => {
  test('what stays is forecast, by its new number, and the notes say so', async () => {
    const { out } = await place.charcast('forecast', job, '--only', '2', '--json');
    const { operations, notes } = JSON.parse(out);
    expect(operations).toMatchObject([{ n: 1, feed_mm_min: 600, s_max: 900 }]);
    expect(notes).toContain('Changed settings: 2: only.');
    expect(notes.join(' ')).toMatch(/those that stay are numbered anew, from 1/);
  });

  test('what stays is written, the job itself untouched', async () => {
    const file = place.path('cut.nc');
    const { err } = await place.charcast('adjust', job, '--skip', '1', '-o', file);
    expect(err).toBe('');
    expect(readFileSync(file, 'latin1')).not.toMatch(/S300/);
    expect(readFileSync(file, 'latin1')).toMatch(/^M3 S900\nG1 X28 F600\nY10\nX2\nY2\nM5\n$/m);
    expect(readFileSync(job, 'latin1')).toBe(text);
    expect((await place.charcast('adjust', job, '--skip', '1', '-o', job)).err).toMatch(/two\.nc/);
  });

  test('what stays is held against itself, by the number it had', async () => {
    // The S of the third is too little to mark.
    const three = place.write('three.nc', `${text}M4 S1\nG0 X5 Y8\nG1 X25 F3000\nM5\n`);
    for (const words of [
      ['adjust', three, '--skip', '1', '-o', place.path('later.nc')],
      ['compare', three, '--b', '1: skip', '--out', place.path('later')],
    ]) {
      const { out } = await place.charcast(...words);
      const said = out.replace(/\s+/g, ' ');
      expect(said).not.toMatch(/in operation 3/);
      expect(said).not.toMatch(/Findings that only B has/);
    }
    const { out } = await place.charcast('adjust', three, '--only', '2', '-o', place.path('middle.nc'));
    expect(out.replace(/\s+/g, ' ')).toMatch(/Findings that B no longer has: [^.]*in operation 3/);
    expect(out).toMatch(/called here by the numbers they have in three\.nc/);
  });

  test.each([
    [
      ['--only', 'rows'],
      /found --only rows; expected the number of each operation, without ranges, as in 3 or “2, 3”/,
    ],
    [['--skip', '0'], /found --skip 0; expected the number of each operation/],
    [['--skip', '1,2'], /found every operation left out; expected one that is burned/],
    [['--only', '9'], /found a change of operation 9; expected one from 1 to 2/],
    [['--skip', '1', '--change', '1: passes 2'], /found skip beside passes for operation 1; expected/],
    [['--change', '2: power 20; 2: power 30'], /--change: found two settings of power for operation 2/],
    [['--skip', '1', '--advised'], /found --advised beside operations that are left out/],
  ])('%j is refused', async (words, sentence) => {
    const { status, err } = await place.charcast('adjust', job, ...words, '-o', place.path('no.nc'));
    expect(status).toBe(2);
    expect(err).toMatch(sentence);
  });
});
