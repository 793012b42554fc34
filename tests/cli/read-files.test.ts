import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { closeSync, existsSync, ftruncateSync, mkdirSync, openSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { readBytes, readChunks, readJson } from '../../src/cli/files.ts';
import { InputError } from '../../src/errors.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { workplace } from '../support/workplace.ts';

/** What is read: never more than a bound, whatever stands behind a name; a pipe reads like a file. */

const place = workplace();
const SQUARE = 'G21 G90\nM4 S0\nG0 X10 Y10\nG1 X22 S700 F2400\nG1 Y18\nG1 X10\nG1 Y10\nM5\n';
const job = place.write('square.nc', SQUARE);
const MB = 1 << 20;
/** What the engine may hold before it collects. */
const SPARE_MB = 150;
const heldMb = (): number => process.memoryUsage().rss / MB;

async function refused(...words: string[]): Promise<string> {
  const { status, out, err } = await place.charcast(...words);
  expect([status, out], words.join(' ')).toEqual([2, '']);
  expect(err).toMatch(/^charcast: [^\n]*found [^\n]+; expected [^\n]+\n$/);
  return err;
}

function sparse(name: string, mb: number): string {
  const path = place.path(name);
  const file = openSync(path, 'w');
  ftruncateSync(file, mb * MB);
  closeSync(file);
  return path;
}

describe('what never ends is refused in one sentence, in every place where a file is named', () => {
  const key = place.path('key.json');
  test.runIf(existsSync('/dev/zero')).each([
    [['forecast', '/dev/zero', '--json'], /\/dev\/zero, line 1: found a line of more than/],
    [
      ['adjust', '/dev/zero', '--change', '1: speed 500', '-o', place.path('a.nc')],
      /\/dev\/zero, line 1: found a line/,
    ],
    [['view', '/dev/zero', '--save', place.path('v.html')], /\/dev\/zero.*: found (a line of )?more than/],
    [['compare', job, '/dev/zero', '--out', place.path('c')], /\/dev\/zero, line 1: found a line/],
    [['chart', '/dev/zero', '-o', place.path('c.png')], /\/dev\/zero, line 1: found a line/],
    [['forecast', job, '--machine', '/dev/zero', '--json'], /\/dev\/zero: found more than 4 MB; expected/],
    [['forecast', job, '--material', '/dev/zero', '--json'], /\/dev\/zero: found more than 4 MB; expected/],
    [['suggest', '--want', 'cut', '--machine', '/dev/zero'], /\/dev\/zero: found more than 4 MB; expected/],
    [['machine', '--check', '/dev/zero'], /\/dev\/zero: found more than 4 MB; expected/],
    [['machine', '--from', '/dev/zero', '--power', '5W'], /\/dev\/zero: found more than 4 MB; expected/],
    [['fit', '--swatch', '/dev/zero', '--photo', job], /\/dev\/zero: found more than 4 MB; expected/],
    [
      ['fit', '--swatch', key, '--photo', '/dev/zero', '-o', place.path('w.json')],
      /zero: found more than 200 MB; expected a/,
    ],
  ])('%j', async (words, sentence) => {
    if (words.includes(key) && !existsSync(key))
      await place.charcast('swatch', '--stock', '60x50x3', '-o', place.path('key.nc'));
    const before = heldMb();
    expect(await refused(...words)).toMatch(sentence);
    expect(heldMb() - before).toBeLessThan(words.includes(key) ? 450 : SPARE_MB);
  });

  test('lines without end are counted, from a device as from a file', () => {
    const letGo = (chunks: Iterable<string>) => {
      for (const _ of chunks);
    };
    expect(() => letGo(readChunks('/dev/zero', 5e6))).toThrow(/found more than 5 MB; expected a smaller job/);
    expect(() => letGo(readChunks(sparse('six.nc', 6), 5e6))).toThrow(
      /found more than 5 MB; expected a smaller job/,
    );
    expect(() => readBytes('/dev/zero', 'photo', 3e6)).toThrow(/found more than 3 MB; expected a photo/);
  });

  test('a job too large for a page is refused before it is read', async () => {
    const before = heldMb();
    const large = sparse('large.nc', 600);
    expect(await refused('view', large, '--save', place.path('large.html'))).toMatch(
      /large\.nc: found more than 200 MB; expected a smaller job/,
    );
    expect(heldMb() - before).toBeLessThan(SPARE_MB);
  });
});

describe('sentences that are true', () => {
  test('an empty name', async () => {
    expect(await refused('forecast', '', '--json')).toMatch(/found an empty file name; expected/);
    expect(await refused('forecast', job, '--machine', '', '--json')).toMatch(/found an empty file name/);
  });

  test('a folder, a file inside a file, a name no file can have', async () => {
    mkdirSync(place.path('folder'));
    expect(await refused('machine', '--check', place.path('folder'))).toMatch(
      /folder: found a folder; expected a file/,
    );
    expect(await refused('forecast', `${job}/inside`, '--json')).toMatch(
      /found a file where a folder is needed/,
    );
    expect(await refused('forecast', place.path('x'.repeat(300)), '--json')).toMatch(
      /found a name that is too long/,
    );
  });

  test('JSON a hundred thousand lists deep, and brackets in words', () => {
    const deep = (open: string, inner: string, shut: string, n: number) =>
      place.write('deep.json', `${open.repeat(n)}${inner}${shut.repeat(n)}`);
    for (const path of [
      deep('[', '', ']', 100_000),
      deep('{"a":', '1', '}', 100_000),
      deep('[', '', '', 100_000),
    ]) {
      expect(() => readJson(path, 'machine')).toThrow(
        /found JSON with lists or objects more than 100 deep in one another/,
      );
    }
    expect(readJson(deep('[', '1', ']', 100), 'machine')).toBeInstanceOf(Array);
    const words = { name: `a "quoted" \\ name ${'[{'.repeat(500)}` };
    expect(readJson(place.write('words.json', JSON.stringify(words)), 'machine')).toEqual(words);
  });
});

describe('nothing that reaches a terminal is obeyed by it', () => {
  /** Control characters but the line end; ESC, BEL and what 8-bit terminals take for ESC [. */
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
  const OBEYED = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;
  const EVIL = 'gantry \u001b]0;owned\u0007\u001b[31m \u009b2J\u202e end\r';
  const machine = place.write('evil.json', JSON.stringify({ name: EVIL, laser: { optical_power_w: 5 } }));

  test.each([
    ['forecast', job, '--machine', machine, '--out', place.path('evil-out')],
    ['chart', '--machine', machine, '-o', place.path('evil.png')],
    ['suggest', '--want', 'brown', '--machine', machine],
    ['swatch', '--machine', machine, '--stock', '60x50x3', '-o', place.path('evil-swatch.nc')],
    ['machine', '--check', machine],
    ['forecast', job, '--machine', machine, '--json'],
    ['suggest', '--want', 'brown', '--machine', machine, '--json'],
  ])('a machine’s name: %s %s %s', async (...words) => {
    const { status, out, err } = await place.charcast(...words);
    expect(status).not.toBe(2);
    expect(out + err).not.toMatch(OBEYED);
    if (words.includes('--json')) expect(() => JSON.parse(out)).not.toThrow();
    else expect(out).toMatch(/gantry .*owned/);
  });

  test('a file’s name, read, written and refused', async () => {
    const name = place.write('job\u001b[31m\u0007.nc', SQUARE);
    const read = await place.charcast('forecast', name, '--out', place.path('out\u001b[2J'));
    expect(read.out).toMatch(/^job\ufffd\[31m\ufffd\.nc, forecast for/);
    const none = await place.charcast('forecast', place.path('none\u001b[2J\u009b.nc'));
    const odd = await place.charcast('forecast', job, '--\u001b[2J');
    for (const { out, err } of [read, none, odd]) expect(out + err).not.toMatch(OBEYED);
  });
});

describe('a job larger than one chunk', () => {
  /** Rows of a picture of dots among remarks that are quick to read, more than three chunks of both. */
  const rows = (end: string): string => {
    const lines = ['G21 G90', 'M4 S0', 'G0 X5 Y5 F3000'];
    for (let k = 0; k < 12_000; k++) {
      const s = k % 10 === 0 ? k % 997 : 0;
      lines.push(`G1 X${(5.125 + (k % 300) / 10).toFixed(3)} Y${(k / 400).toFixed(3)} S${s}`);
      if (k % 10 === 0) lines.push(`; ${'dot by dot '.repeat(200 + (k % 97))}`);
    }
    return [...lines, 'M5', 'M2'].join(end);
  };

  test.each([
    ['LF', '\n'],
    ['CR LF', '\r\n'],
    ['CR alone', '\r'],
  ])('comes in whole lines that are all of it: %s', (_, end) => {
    const text = rows(end);
    const chunks = Array.from(readChunks(place.write('rows.nc', text)));
    expect(chunks.length).toBeGreaterThan(3);
    expect(chunks.join('')).toBe(text);
    for (const [k, chunk] of chunks.slice(0, -1).entries()) {
      expect(chunk.endsWith(end), `chunk ${k}`).toBe(true);
      expect(chunks[k + 1]!.startsWith('\n')).toBe(false);
    }
  });

  test('is adjusted as it is in one piece, from a file and from a pipe', async () => {
    const text = rows('\r\n');
    const path = place.write('rows.nc', text);
    const machine = place.write('rows.json', JSON.stringify({ laser: { optical_power_w: 8 } }));
    const asked = ['--change', '1: speed 1500', '--machine', machine, '--cell', '0.5'];
    const whole = adjustText(
      text,
      parseChanges('1: speed 1500'),
      readMachine({ laser: { optical_power_w: 8 } }),
    );
    expect(whole).not.toBe(text);
    const fromFile = await place.charcast('adjust', path, ...asked, '-o', place.path('from-file.nc'));
    expect(fromFile.err).toBe('');
    expect(readFileSync(place.path('from-file.nc'), 'latin1')).toBe(whole);
    if (process.platform !== 'linux') return;
    const pipe = place.path('rows.pipe');
    execFileSync('mkfifo', [pipe]);
    spawn('sh', ['-c', 'cat "$1" > "$2"', 'sh', path, pipe]);
    expect((await place.charcast('adjust', pipe, ...asked, '-o', place.path('from-pipe.nc'))).err).toBe('');
    expect(readFileSync(place.path('from-pipe.nc'), 'latin1')).toBe(whole);
  }, 60_000);
});

describe.runIf(process.platform === 'linux')('a pipe reads like a file', () => {
  /** A named pipe that another process writes the job into once it is opened. */
  function piped(name: string): [path: string, writer: ChildProcess] {
    const path = place.path(name);
    execFileSync('mkfifo', [path]);
    return [path, spawn('sh', ['-c', 'cat "$1" > "$2"', 'sh', job, path])];
  }

  test('to forecast, and to adjust', async () => {
    const [forecastPipe] = piped('forecast.pipe');
    const { status, out } = await place.charcast('forecast', forecastPipe, '--json');
    expect([status, JSON.parse(out).job.moves]).toEqual([0, 5]);
    const [adjustPipe] = piped('adjust.pipe');
    const output = place.path('adjusted.nc');
    const adjusted = await place.charcast('adjust', adjustPipe, '--change', '1: speed 1200', '-o', output);
    expect(adjusted.err).toBe('');
    expect(readFileSync(output, 'utf8')).toBe(SQUARE.replace('F2400', 'F1200'));
  });

  test('a profile too', () => {
    const path = place.path('json.pipe');
    execFileSync('mkfifo', [path]);
    spawn('sh', ['-c', 'echo "{\\"a\\": 1}" > "$1"', 'sh', path]);
    expect(readJson(path, 'machine')).toEqual({ a: 1 });
    expect(() => readJson(place.path('none.json'), 'machine')).toThrow(InputError);
  });
});
