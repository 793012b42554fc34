import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { PNG } from 'pngjs';
import { beforeAll, describe, expect, test } from 'vitest';
import { readMachine } from '../../src/machine/profile.ts';
import { photoOfMarker } from '../piece/pieces.ts';
import { workplace } from '../support/workplace.ts';

/** The demo's marker, burned and told of: a wood that knows better next time, and a notebook of it. */

const demo = (name: string) => fileURLToPath(new URL(`../../src/demo/${name}`, import.meta.url));
const place = workplace();
const bench = ['--machine', demo('machines/bench-gantry.json'), '--stock', '130x32x4@0,0', '--cell', '0.3'];
const job = place.write('marker.nc', readFileSync(demo('jobs/marker.nc')));
const json = (path: string) => JSON.parse(readFileSync(path, 'utf8'));
const [wood, machine, book] = ['my-wood.json', 'my-machine.json', 'notebook.json'].map(place.path);
const sayOn = (date: string, ...words: string[]) =>
  place.charcast('learn', job, ...bench, '--date', date, ...words);
const say = (...words: string[]) => sayOn('2026-05-01', ...words);

describe('charcast learn', () => {
  test('writes wood, machine and notebook, and says what was learned with before and after', async () => {
    const { status, out, err } = await say(
      ...['--say', '3: 1.6mm; 1: darker', '-o', wood!, '--machine-out', machine!, '--notebook', book!],
    );
    expect([status, err]).toEqual([0, '']);
    expect(out.replace(/\s+/g, ' ')).toMatch(/^Learned: .*before .* now /);
    expect(out).toMatch(/Operation 3.* of 4 mm at the shallowest/s);
    expect(json(wood!)).toMatchObject({
      name: 'my-wood',
      history: [{ said: '3: 1.6mm; 1: darker', job: 'marker.nc' }],
    });
    expect(json(wood!).history[0].job_hash).toMatch(/^[0-9a-f]{16}$/);
    expect(json(machine!).plus_minus.optical_power_percent).toBeLessThan(10);
    expect(json(book!).entries).toMatchObject([
      {
        date: '2026-05-01',
        wood: 'poplar plywood',
        learned_as: 'my-wood',
        operations: [
          { n: 3, depth_mm: 1.6, through: false, feed_mm_min: 900 },
          { n: 1, kind: 'rows', said: 'darker' },
        ],
      },
    ]);
  });

  test('what was learned goes on from there, and is forecast with', async () => {
    const second = place.path('second.json');
    const told = ['--say', '3: 1.5 mm', '-o', second, '--notebook', book!];
    const { err } = await place.charcast(
      ...[
        'learn',
        job,
        '--machine',
        machine!,
        '--stock',
        '130x32x4@0,0',
        '--cell',
        '0.3',
        '--material',
        wood!,
      ],
      ...told,
    );
    expect(err).toBe('');
    expect(json(second).history).toHaveLength(2);
    expect(json(book!).entries).toHaveLength(2);
    const before = JSON.parse((await place.charcast('forecast', job, ...bench, '--json')).out);
    const after = JSON.parse(
      (await place.charcast('forecast', job, ...bench, '--material', second, '--json')).out,
    );
    expect(after.cuts[0].shallowest_mm).toBeLessThan(before.cuts[0].shallowest_mm);
  });

  test('the notebook is listed, and goes ahead of suggestions', async () => {
    const listed = await place.charcast('notebook', book!, '--wood', 'poplar plywood');
    expect(listed.out).toMatch(
      /^2026-05-01: marker\.nc on poplar plywood, 4 mm, bench gantry\n {3}3\. A line at 900/,
    );
    const tone = json(book!).entries[0].operations[1].tone;
    const suggested = await place.charcast(
      ...['suggest', '--want', String(tone), '--material', wood!, '--machine', machine!, '--notebook', book!],
    );
    expect(suggested.err).toBe('');
    expect(suggested.out).toMatch(/^What worked on my-wood before:\n- Rows at 3000 mm\/min with 60 % power/);
    const none = await place.charcast('suggest', '--want', 'cut', '--thickness', '4', '--notebook', book!);
    expect(none.out).toMatch(/^The notebook has no burn on poplar plywood that came to cut through\./);
  });

  test('what is not believed teaches nothing, no profile is written, and the notebook says so', async () => {
    const files = ['unbelieved.json', 'gantry.json', 'unbelieved-notebook.json'].map((name) =>
      place.path(name),
    );
    const [out, gantry, noted] = files as [string, string, string];
    place.write('gantry.json', 'as it was\n');
    const told = await say('--say', '3: 0.1 mm', '-o', out, '--machine-out', gantry, '--notebook', noted);
    expect(told.err).toBe('');
    expect(told.status).toBe(1);
    const words = told.out.replace(/\s+/g, ' ');
    expect(words).toMatch(
      /^Nothing was learned: .* \S*unbelieved\.json and .*gantry\.json were not written:/,
    );
    expect(words).not.toMatch(/only notes|use the two together|Replaced/);
    expect(words).toMatch(/Written: \S*unbelieved-notebook\.json $/);
    expect(existsSync(out)).toBe(false);
    expect(readFileSync(gantry, 'utf8')).toBe('as it was\n');
    expect(json(noted).entries[0].learned_as).toBe(null);
  });

  test('what cannot be is refused, nothing is written, and no input is taken', async () => {
    const never = place.path('never.json');
    for (const [words, sentence] of [
      [['--say', '3: burnt', '-o', never], /--say: found “burnt”; expected through/],
      [['--say', '1: 2 mm', '-o', never], /marker\.nc: found “2 mm” told of operation 1, which is rows/],
      [['--say', '3: 2 mm', '-o', never, '--notebook', never], /found one file for two outputs/],
      [
        ['--say', '3: 2 mm', '-o', never, '--notebook', wood!],
        /my-wood\.json: found a wood profile; expected a notebook/,
      ],
    ] as const) {
      const { status, err } = await say(...words);
      expect(status).toBe(2);
      expect(err).toMatch(sentence);
    }
    const noDay = await sayOn('2026-02-30', '--say', '3: 2 mm', '-o', never);
    expect([noDay.status, noDay.err]).toEqual([
      2,
      expect.stringMatching(/found --date 2026-02-30, which is no day/),
    ]);
    expect(existsSync(never)).toBe(false);
    const over = await place.charcast(
      'learn',
      job,
      ...bench,
      '--material',
      wood!,
      '--say',
      '3: 2 mm',
      '-o',
      wood!,
    );
    expect(over.status).toBe(2);
    expect(over.err).toMatch(/my-wood\.json/);
    expect((await place.charcast('notebook', wood!)).err).toMatch(
      /found a wood profile; expected a notebook of burns/,
    );
  });
});

describe('a photo of the piece', () => {
  const photo = place.path('piece.jpg');
  beforeAll(() => {
    const own = readMachine(json(demo('machines/bench-gantry.json')));
    place.write('piece.jpg', photoOfMarker(readFileSync(job, 'latin1'), own));
  }, 300_000);

  test('teaches the wood its tones, and is shown beside the forecast', async () => {
    const out = place.path('seen.json');
    const { status, out: said, err, waits } = await say('--photo', photo, '-o', out, '--notebook', book!);
    expect([status, err]).toEqual([0, '']);
    expect(waits).toBe(`Looking for the piece on ${photo}; that takes up to half a minute.\n`);
    const words = said.replace(/\s+/g, ' ');
    expect(words).toMatch(/On the photo Operation 1 came out (darker|lighter) than forecast: tone \d+ %/);
    expect(words).toMatch(
      /The marks of operation 1 are \d+(\.\d)? L\* (darker|lighter) on the photo than forecast/,
    );
    expect(words).toContain(
      'A photo from above does not tell whether cuts came through; say it with --say, as in "3: through".',
    );
    expect(json(out).history[0].said).toMatch(/^1: tone \d+ % on the photo/);
    const picture = PNG.sync.read(readFileSync(place.path('seen-photo.png')));
    expect(picture.width).toBeGreaterThan(1500);
    expect(json(book!).entries.at(-1)).toMatchObject({
      picture: photo,
      operations: [{ n: 1, kind: 'rows' }, ...json(book!).entries.at(-1).operations.slice(1)],
    });
  }, 300_000);

  test.each([
    [['-o', 'x.json'], /found neither --say nor --photo; expected how the burn turned out/],
    [
      ['--say', '1: darker', '--photo-points', '1,1 2,1 2,2 1,2', '-o', 'x.json'],
      /found --photo-points without --photo/,
    ],
    [
      ['--photo', 'PHOTO', '--photo-points', '1,1 2,1', '-o', 'x.json'],
      /found --photo-points 1,1 2,1; expected 4 places in pixels/,
    ],
    [['--photo', 'JOB', '-o', 'x.json'], /found G-code.*; expected a photo/],
  ])('%j is refused in a sentence', async (words, sentence) => {
    const { status, err } = await say(
      ...words.map((word) =>
        word === 'PHOTO' ? photo : word === 'JOB' ? job : word === 'x.json' ? place.path(word) : word,
      ),
    );
    expect(status).toBe(2);
    expect(err.replace(/\s+/g, ' ')).toMatch(sentence);
    expect(existsSync(place.path('x.json'))).toBe(false);
  });
});
