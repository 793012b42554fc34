import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { rasterJob, SMALL } from '../dosing/pictures.ts';
import { workplace } from '../support/workplace.ts';

/** Jobs whose S is written so that it follows the speed of the head. */

const place = workplace();
const square = place.write('square.nc', 'G21 G90\nG0 X5 Y5\nM3 S300\nG1 X25 F3000\nY25\nX5\nY5\nM5\n');

describe('adjust --even', () => {
  test('writes it, says how even it is, and the forecast of it has no dark corners', async () => {
    const file = place.path('even.nc');
    const { out, err } = await place.charcast('adjust', square, '--even', '-o', file);
    expect(err).toBe('');
    expect(out.replaceAll('\n', ' ')).toMatch(/Lines: (100|99\.\d) % of what is burned now gets within 10 %/);
    expect(readFileSync(file, 'latin1')).toContain('; s follows the speed of the head\n');
    const report = JSON.parse((await place.charcast('forecast', file, '--json')).out);
    const kinds = report.findings.map(({ kind }: { kind: string }) => kind);
    expect(kinds.filter((kind: string) => kind.startsWith('dark-'))).toEqual([]);
  });

  test('goes with a change of settings', async () => {
    const file = place.path('slow.nc');
    const { out } = await place.charcast('adjust', square, '--even', '--change', '1: speed 1500', '-o', file);
    expect(out).toMatch(/^Changed: 1: speed 1500 mm\/min\.\nLines: /);
    expect(readFileSync(file, 'latin1')).toContain('F1500');
  });

  test('a job that is even is not written again', async () => {
    const even = place.write('even-already.nc', 'G21 G90\nG0 X5 Y5\nM4 S300\nG1 X25 F3000\nM5\n');
    const { out } = await place.charcast('adjust', even, '--even', '-o', place.path('none.nc'));
    expect(out).toMatch(/as even as S can make them on this machine\.\nNothing was written\./);
  });
});

describe('adjust --true-tones', () => {
  const raster = place.write(
    'ramp.nc',
    rasterJob((x) => x, { ...SMALL, widthMm: 10, heightMm: 2, pixelMm: 0.25 }),
  );

  test('writes it, says how far it is off and was, and goes with --even', async () => {
    const file = place.path('true.nc');
    const { out, err } = await place.charcast('adjust', raster, '--true-tones', '--even', '-o', file);
    expect(err).toBe('');
    expect(out.replaceAll('\n', ' ')).toMatch(
      /Tones: operation 1 is off what is meant by 0\.\d+ steps of lightness .*, before by \d/,
    );
    expect(readFileSync(file, 'latin1')).toContain(
      '; s follows the speed of the head, and the tones that were meant\n',
    );
  });

  test('a forecast with it tells in its report how far off what was meant it is, before and after', async () => {
    const { out, status } = await place.charcast('forecast', raster, '--true-tones', '--json');
    const { wish, notes } = JSON.parse(out);
    expect(status).toBeLessThan(2);
    expect(wish.operations).toEqual([1]);
    expect(wish.before.mean_delta_l).toBeGreaterThan(3);
    expect(wish.before.delta_l_95).toBeGreaterThan(wish.before.mean_delta_l);
    expect(wish.after.mean_delta_l).toBeLessThan(1);
    expect(wish.after.delta_l_95).toBeLessThan(3);
    expect(notes.some((note: string) => note.startsWith('Tones: operation 1'))).toBe(true);
    expect(JSON.parse((await place.charcast('forecast', raster, '--json')).out).wish).toBeNull();
  });

  test('compare shows what is meant beside the two', async () => {
    const folder = place.path('compared');
    const { out, err } = await place.charcast('compare', raster, '--true-tones', '--out', folder);
    expect(err).toBe('');
    expect(out).toMatch(/^ +A: as it is +B: tones true\n/);
    expect(out).toMatch(/\noff what is meant, L\* +\d\S* on the mean, \S+ at 95 % +0\.\d+ on the mean/);
    const { a, b } = JSON.parse(readFileSync(`${folder}/compare.json`, 'utf8'));
    expect(a.report.wish).toBeNull();
    expect(b.report.wish.after.mean_delta_l).toBeLessThan(b.report.wish.before.mean_delta_l / 5);
    const page = readFileSync(`${folder}/report.html`, 'utf8');
    expect(page).toContain('what the rows of B are meant to look like');
    expect(page).toContain('off what is meant, L*');
  });

  test.each([
    [['--picture', 'p.png'], /found --picture without --true-tones; expected both, or neither/],
    [['--picture', 'p.png', '--even'], /found --picture without --true-tones/],
    [['--true-tones', '--darkest', '150%'], /found --darkest 150%; expected a share/],
    [['--true-tones', '--darkest', '2%'], /expected the lightest below the darkest/],
    [
      ['--true-tones', '--picture', square],
      /found G-code; expected the picture that the rows are to show as a JPEG or PNG/,
    ],
  ])('%j is refused', async (words, sentence) => {
    const { status, err } = await place.charcast('adjust', raster, ...words, '-o', place.path('no.nc'));
    expect(status).toBe(2);
    expect(err).toMatch(sentence);
  });
});
