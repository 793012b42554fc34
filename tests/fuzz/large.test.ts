import { chmodSync, closeSync, ftruncateSync, mkdirSync, openSync, statSync, writeSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { readChunks } from '../../src/cli/files.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { readProgram } from '../../src/program/read.ts';
import { workplace } from '../support/workplace.ts';
import { RUNS } from './fuzzing.ts';

/** Files that are too large, too long or of another kind: one plain sentence, and never more memory than the moves need. */

const place = workplace();
const machine = readMachine({ laser: { optical_power_w: 5 } });
const options = readOptions(machine);
const WOOD = shippedMaterials.basswood!;

const MB = 1 << 20;
/** A long run reads the whole 500 MB, in `npm test` a tenth of it is enough to see memory grow. */
const LARGE_MB = RUNS > 1000 ? 500 : 50;
/** The engine's longest string holds 512 MB. */
const ADJUSTED_MB = RUNS > 1000 ? 600 : 10;
/** What the engine may hold before it collects: far less than the text. */
const SPARE_MB = 120;

const heldMb = (): number => {
  const { rss } = process.memoryUsage();
  return rss / MB;
};

/** Lets `source` flow and notes the most memory held on the way. */
function* watched(source: Iterable<string>, seen: { mostMb: number; textMb: number }): Generator<string> {
  for (const chunk of source) {
    seen.mostMb = Math.max(seen.mostMb, heldMb());
    seen.textMb += chunk.length / MB;
    yield chunk;
  }
}

/** Text of `mb` megabytes, made as it is asked for: a few rows with moves among many lines of comment. */
function* manyLines(mb: number): Generator<string> {
  const comment = `; ${'a row of the picture that was left out '.repeat(2)}\n`;
  for (let made = 0, k = 0; made < mb * MB; k++) {
    const x = k % 2 === 0 ? 100 : 0;
    const chunk = `G1 X${x} Y${(k * 0.01).toFixed(2)} S${k % 1000} F3000\n${comment.repeat(3000)}`;
    made += chunk.length;
    yield chunk;
  }
}

describe('a file of hundreds of megabytes', () => {
  test(`${LARGE_MB} MB that are made as they are read: the text is let go`, () => {
    const seen = { mostMb: 0, textMb: 0 };
    readProgram(manyLines(1), options);
    const before = heldMb();
    const program = readProgram(watched(manyLines(LARGE_MB), seen), options);
    expect(seen.textMb).toBeGreaterThanOrEqual(LARGE_MB);
    expect(program.lineCount).toBeGreaterThan(10_000 * LARGE_MB);
    expect(program.moves.count).toBeGreaterThan(2 * LARGE_MB);
    expect(seen.mostMb - before).toBeLessThan(SPARE_MB);
  }, 120_000);

  test(`${LARGE_MB} MB on the disk, through the command line's own reading`, () => {
    const path = place.path('large.nc');
    const file = openSync(path, 'w');
    for (const chunk of manyLines(LARGE_MB)) writeSync(file, chunk);
    closeSync(file);
    const seen = { mostMb: 0, textMb: 0 };
    const before = heldMb();
    const program = readProgram(watched(readChunks(path), seen), options);
    expect(seen.textMb).toBeGreaterThanOrEqual(LARGE_MB);
    expect(program.moves.count).toBeGreaterThan(2 * LARGE_MB);
    expect(seen.mostMb - before).toBeLessThan(SPARE_MB);
  }, 120_000);

  test(`a job of ${ADJUSTED_MB} MB is adjusted piece by piece`, async () => {
    const path = place.path('adjusted-from.nc');
    const file = openSync(path, 'w');
    writeSync(file, 'M4\n');
    for (const chunk of manyLines(ADJUSTED_MB)) writeSync(file, chunk);
    closeSync(file);
    const output = place.path('adjusted.nc');
    const before = heldMb();
    const { status, err } = await place.charcast(
      'adjust',
      path,
      '--change',
      'all: speed 2345.5',
      '-o',
      output,
    );
    expect([status === 2, err]).toEqual([false, '']);
    // The text once, and what its lines do.
    expect(heldMb() - before).toBeLessThan(2 * ADJUSTED_MB + 500);
    expect(statSync(output).size).toBeGreaterThan(statSync(path).size);
    const [was, is] = [path, output].map((each) => readProgram(readChunks(each), options));
    expect(is!.moves.xMm).toEqual(was!.moves.xMm);
    expect(is!.moves.s).toEqual(was!.moves.s);
    expect(is!.lineCount).toBe(was!.lineCount);
    expect(is!.operations.every(({ feedMmPerS }) => Math.abs(feedMmPerS - 2345.5 / 60) < 1e-9)).toBe(true);
  }, 300_000);

  test('500 MB of nothing (a sparse file) are refused at once', async () => {
    const path = place.path('sparse.nc');
    const file = openSync(path, 'w');
    ftruncateSync(file, 500 * MB);
    closeSync(file);
    const before = heldMb();
    const seen = { mostMb: 0, textMb: 0 };
    expect(() => readProgram(watched(readChunks(path), seen), options)).toThrow(
      /(?:^|: )found a line of more than/,
    );
    expect(seen.textMb).toBeLessThan(4);
    const { status, err } = await place.charcast('forecast', path);
    expect(err).toMatch(
      /sparse\.nc, line 1: found a line of more than 1000000 characters; expected lines of G-code\n$/,
    );
    expect(status).toBe(2);
    expect(heldMb() - before).toBeLessThan(SPARE_MB);
    for (const words of [
      ['machine', '--check', path],
      ['machine', '--from', path, '--power', '5'],
      ['forecast', path, '--machine', path],
    ]) {
      const small = await place.charcast(...words);
      expect(small.err).toMatch(/sparse\.nc: found more than 4 MB; expected [^\n]+\n$/);
    }
    expect(heldMb() - before).toBeLessThan(SPARE_MB);
  });

  // The whole way to the bound takes a minute and 4 GB.
  test.skipIf(RUNS <= 1000)(
    'more moves than any job has are refused, not held',
    () => {
      function* endless(): Generator<string> {
        for (;;) yield 'G1X1F60\nG1X0\n'.repeat(10_000);
      }
      expect(() => readProgram(endless(), options)).toThrow(
        /(?:^|: )found more than 50 million moves or stops; expected a smaller job$/,
      );
    },
    300_000,
  );
});

describe('numbers out of all proportion', () => {
  const refusal = async (text: string): Promise<string> => {
    const { status, out, err } = await place.charcast('forecast', place.write('odd.nc', text), '--json');
    expect([status, out]).toEqual([2, '']);
    expect(err.trimEnd()).not.toMatch(/\n/);
    return err;
  };

  test.each([
    [
      'a coordinate of 1e308',
      'G1 X1e308 F600',
      /line 1: found X1e308; expected a number of a size that fits a machine/,
    ],
    [
      'the same in digits',
      `G1 X1${'0'.repeat(308)} F600`,
      /line 1: found X10{23}…; expected a number of a size that fits a machine/,
    ],
    [
      'an arc of radius 1e9',
      'G0 X1\nG2 X2 R1000000000 F600',
      /line 2: found an arc of radius 1000000000 mm; expected at most 1000 m/,
    ],
    [
      'an arc round a centre 1e9 away',
      'G0 X1\nG3 X2 I1000000000 F600',
      /line 2: found an arc of radius 1000000000 mm; expected at most 1000 m/,
    ],
    [
      'a million turns',
      'G0 X1\nG2 I5 X1 P1000000 F600',
      /line 2: found an arc that would need \d+ chords .*; expected at most 5000000/,
    ],
    [
      'a job of kilometres',
      'G20 G1 X99999 F600',
      /line 1: found the coordinate X = 2539970 mm; expected no more than 100 m from the origin/,
    ],
    [
      'a dwell of years',
      'G1 X1 F6\nG4 P99999999',
      /line 2: found G4 P99999999; expected a time from 0 to a day/,
    ],
  ])('%s', async (_, text, sentence) => {
    expect(await refusal(text)).toMatch(sentence);
  });

  test('a job of 10 m by a slip of unit is forecast on a grid that fits, and the slip is told', () => {
    const text = 'G20 G90\nM4 S0\nG0 X10 Y10\nG1 X390 S700 F2400\nG1 Y290\nG1 X10\nG1 Y10\nM5\n';
    const before = heldMb();
    const made = forecast(text, machine, WOOD);
    const { nx, ny } = made.dose.grid;
    expect(nx * ny).toBeLessThanOrEqual(64e6);
    expect(made.notes.join('\n')).toMatch(
      /a grid of more than 64 million cells; it was coarsened to 1\.\d+ mm/,
    );
    const told = made.findings.filter(({ severity }) => severity === 'stop').map(({ message }) => message);
    expect(told).toHaveLength(1);
    expect(told[0]).toMatch(/sent off the bed of 400 × 400 mm, by .*9506 mm/);
    // Dose, dwell, tone and depth of 64 million cells, 4 bytes each, and no copy of them.
    expect(heldMb() - before).toBeLessThan(1300);
  }, 60_000);

  test('a line of 10 MB', async () => {
    const before = heldMb();
    expect(await refusal(`G21\nG1 X1 F600 (${'x'.repeat(10 * MB)})\n`)).toMatch(
      /line 2: found a line of more than 1000000 characters; expected lines of G-code/,
    );
    expect(heldMb() - before).toBeLessThan(SPARE_MB);
  });
});

describe('files of another kind, in every place where a file is named', () => {
  const kinds: Record<string, string> = {
    'a folder': place.path('folder'),
    'no file': place.path('none'),
    'a file inside a file': place.path('plain.txt/inside'),
    'an empty file': place.write('empty', ''),
    'a picture': place.write('picture', Buffer.from('89504e470d0a1a0a0000000d49484452', 'hex')),
    'a program': place.write('program', Buffer.from('7f454c460201010000000000', 'hex')),
    'an archive': place.write('archive', Buffer.from('504b0304140000000800', 'hex')),
    'UTF-16': place.write('utf16', Buffer.from('\uFEFFG1 X5 F600\n', 'utf16le')),
    'a page': place.write('page', '<!DOCTYPE html><p>Not here</p>\n'),
  };
  mkdirSync(kinds['a folder']!);
  place.write('plain.txt', 'G1 X5 F600\n');
  const job = place.write('job.nc', 'G21\nM3 S500\nG1 X5 F600\nM5\n');

  test.each(Object.entries(kinds))('%s', async (_, path) => {
    for (const words of [
      ['forecast', path, '--json'],
      ['forecast', job, '--machine', path, '--json'],
      ['forecast', job, '--material', path, '--json'],
      ['machine', '--check', path],
      ['machine', '--from', path, '--power', '5'],
      ['machine', '--from', job, '--base', path, '--power', '5'],
    ]) {
      const { status, out, err } = await place.charcast(...words);
      expect([status, out], words.join(' ')).toEqual([2, '']);
      expect(err).toMatch(/^charcast: [^\n]*found [^\n]+\n$/);
    }
  });

  test.skipIf(process.getuid?.() === 0)('a file that may not be read', async () => {
    const path = place.write('secret.nc', 'G1 X5 F600\n');
    chmodSync(path, 0);
    const { status, err } = await place.charcast('forecast', path, '--json');
    expect(status).toBe(2);
    expect(err).toMatch(/secret\.nc: found a file that may not be read or written; expected permission\n$/);
  });

  test('a folder that may not be written into is refused with its name', async () => {
    // A file where a folder is needed: so it is for everyone, the administrator too.
    const { status, err } = await place.charcast('forecast', job, '--out', place.path('plain.txt/out'));
    expect(status).toBe(2);
    expect(err).toMatch(/plain\.txt\/out: found a file where a folder is needed/);
  });
});
