import { mkdirSync, rmSync } from 'node:fs';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseChanges } from '../../src/change/grammar.ts';
import { readSize } from '../../src/cli/checks.ts';
import { readChoice, readPair, readQuantity } from '../../src/cli/quantity.ts';
import { readStock } from '../../src/cli/stock.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { readWant } from '../../src/suggest/want.ts';
import { NUMBERED } from '../machine/listings.ts';
import { workplace } from '../support/workplace.ts';
import { fuzz, fuzzAsync, soundOrRefused, timeoutMs } from './fuzzing.ts';
import { goodNumber, mutated } from './gcode.ts';

/** Any character there is; half of a pair is none. */
const anyCharacter = fc
  .integer({ min: 0, max: 0x10_ffff - 0x800 })
  .map((k) => String.fromCodePoint(k < 0xd800 ? k : k + 0x800));

/** Strings of any characters, and words of our own grammars in odd company. */
const anyText = fc.oneof(
  fc.string({ maxLength: 40 }),
  fc.array(anyCharacter, { maxLength: 20 }).map((characters) => characters.join('')),
  mutated(
    fc.constantFrom(
      ...[
        '120x80x4@0,0',
        '80x60',
        '10W',
        '0.08x0.10',
        '450 nm',
        'mm/min',
        'step',
        'cut',
        'brown',
        '40%',
        '0.4',
      ],
      ...['2: speed 1500, power 70 %, constant', 'all: passes 3; rows: one direction, overscan 4.2 mm'],
      ...[
        '3: 1.6mm; 1: much darker',
        '3: through but for 12 mm',
        '1: tone 60 %',
        '2: 40 %',
        '1: skip; 3: only',
      ],
    ),
  ),
  fc
    .array(
      fc.oneof(goodNumber, fc.constantFrom(...'xX@,;:%', ' ', 'mm', 'W', 'speed', 'power', 'all', 'rows')),
      { maxLength: 9 },
    )
    .map((parts) => parts.join('')),
  fc.constantFrom(
    '',
    ' ',
    '-',
    '__proto__',
    'constructor',
    '1e308',
    'NaN',
    'Infinity',
    '0x10',
    '9'.repeat(5000),
    'a'.repeat(100_000),
  ),
);

describe('our own little grammars', () => {
  test(
    'stock, sizes, quantities, wants: a sound value, or one plain sentence',
    () => {
      fuzz(anyText, (text) => {
        const stock = soundOrRefused(() => readStock(text));
        if (stock) {
          expect(
            stock.widthMm > 0 && stock.widthMm <= 1e5 && stock.heightMm > 0 && stock.heightMm <= 1e5,
          ).toBe(true);
          expect(Number.isFinite(stock.xMm) && Number.isFinite(stock.yMm)).toBe(true);
          expect(stock.thicknessMm === null || (stock.thicknessMm > 0 && stock.thicknessMm < Infinity)).toBe(
            true,
          );
        }
        soundOrRefused(() => readSize(text));
        const power = soundOrRefused(() => readQuantity('--power', text, 'W', 'watts, as in 10W'));
        if (power !== undefined) expect(power > 0 && power < Infinity).toBe(true);
        const pair = soundOrRefused(() => readPair('--spot', text, 'widths, as in 0.1x0.1'));
        if (pair) expect(pair.every((width) => width > 0 && width < Infinity)).toBe(true);
        soundOrRefused(() => readChoice('--m203', text, ['mm/s', 'mm/min']));
        soundOrRefused(() => readWant(text));
      });
    },
    timeoutMs(5),
  );

  test(
    'what is told of a burn: sound numbers, or one plain sentence',
    () => {
      fuzz(anyText, (text) => {
        for (const { operation, said } of soundOrRefused(() => readSaid(text)) ?? []) {
          expect(operation === null || Number.isInteger(operation)).toBe(true);
          for (const value of Object.values(said))
            if (typeof value === 'number') expect(value >= 0 && value <= 1e6).toBe(true);
        }
      });
    },
    timeoutMs(5),
  );

  test(
    'changes: a sound list, or one plain sentence',
    () => {
      fuzz(anyText, (text) => {
        const changes = soundOrRefused(() => parseChanges(text));
        for (const change of changes ?? []) {
          for (const value of Object.values(change))
            if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
        }
      });
    },
    timeoutMs(5),
  );
});

describe('the command line', () => {
  const place = workplace();
  const files = {
    job: place.write('job.nc', 'G21\nM4 S0\nG0 X2 Y2\nG1 X8 S500 F1200\nY4\nM5\n'),
    bad: place.write('bad.nc', 'G1 X0,5\n'),
    worse: place.write('worse.nc', 'G1 X0,5\nF-1\nG4\nX\n'),
    feedless: place.write('feedless.nc', 'M4 S0\nG0 X2 Y2\nG1 X8 S500\nY4\nM5\n'),
    odd: place.write('odd.nc', 'Herb marker\nM4 (a (b) c)\nG1 X8 X9 S500 F1.2e3\nM117 X2\nM5)\n'),
    empty: place.write('empty.nc', ''),
    machine: place.write('machine.json', '{"laser":{"optical_power_w":5}}'),
    broken: place.write('broken.json', '{"laser":'),
    listing: place.write('listing.txt', NUMBERED),
    picture: place.write(
      'picture.png',
      new Uint8Array([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13]),
    ),
    utf16: place.write('utf16.json', Buffer.from('\uFEFF{"laser":{"optical_power_w":5}}', 'utf16le')),
    none: place.path('none.nc'),
    folder: place.path('folder'),
  };
  const here = process.cwd();
  beforeAll(() => {
    mkdirSync(files.folder);
    mkdirSync(place.path('work'));
    // Commands write beside them when nothing else is said.
    process.chdir(place.path('work'));
  });
  afterAll(() => process.chdir(here));

  const file = fc.constantFrom(...Object.values(files));
  const command = fc.constantFrom(
    'forecast',
    'forecast',
    'machine',
    'chart',
    'suggest',
    'compare',
    'adjust',
    'help',
    '--help',
    'forcast',
    '',
  );
  const option = fc.constantFrom(
    ...[
      '--machine',
      '--material',
      '--stock',
      '--cell',
      '--feed',
      '--out',
      '--json',
      '--expect',
      '--deepest',
      '--from',
      '--check',
      '-o',
    ],
    ...[
      '--base',
      '--power',
      '--spot',
      '--bed',
      '--m203',
      '--name',
      '--rows',
      '--passes',
      '--want',
      '--thickness',
      '--change',
    ],
    ...['--frob', '-x', '--', '-', '--machine=', '--stock=40x30', '--no-json', '--help', '--version'],
  );
  const value = fc.oneof(
    { weight: 3, arbitrary: file },
    {
      weight: 3,
      arbitrary: fc.constantFrom(
        '40x30x4@0,0',
        '40x30',
        '0.5',
        '10W',
        '0.1x0.1',
        'basswood',
        'mm/s',
        'out',
        'marker',
        'constructor',
        '__proto__',
        'toString',
        'brown',
        '2: speed 900',
      ),
    },
    { weight: 1, arbitrary: anyText },
  );
  const words = fc
    .tuple(command, fc.array(fc.oneof(file, option, value), { maxLength: 6 }))
    .map(([first, rest]) => [first, ...rest]);
  // Options with values of their own kind, good ones and such as look good: what a tired person types.
  const odd = ['constructor', '__proto__', 'toString', '', 'NaN', '-1', '0', '1e9', 'x'.repeat(500)];
  const fitting = fc.oneof(
    ...Object.entries({
      '--machine': Object.values(files),
      '--material': ['basswood', 'Birch-Plywood', 'oak', files.machine, files.broken, files.folder],
      '--stock': ['40x30x4@0,0', '40x30', '40x30x4', '9000x9000', '40x30x0', '4,3'],
      '--cell': ['0.5', '0.1mm', '5'],
      '--feed': ['1200', '0.001', '600 mm/min', '1e7'],
      '--expect': ['6x2', '60', '6x2mm'],
      '--deepest': ['25', '25%', '200%'],
      '--base': Object.values(files),
      '--power': ['10W', '10', '5 kW'],
      '--want': ['brown', 'cut', '40%', '0.4', 'bare'],
      '--thickness': ['4', '4mm'],
      '--rows': ['0.1', 'many'],
    }).map(([name, values]) =>
      fc.tuple(fc.constant(name), fc.oneof(fc.constantFrom(...values), fc.constantFrom(...odd))),
    ),
  );
  const likely = fc
    .tuple(
      fc.constantFrom(
        ...[
          ['forecast', files.job],
          ['forecast', files.feedless],
          ['forecast', files.odd],
          ['suggest'],
          ['chart'],
          ['chart', files.job],
        ],
        ...[
          ['machine', '--from', files.listing],
          ['machine', '--check', files.machine],
        ],
      ),
      fc.array(fitting, { maxLength: 3 }),
    )
    .map(([start, options]) => [...start, ...options.flat()]);

  async function expectAnswerOrSentence(typed: readonly string[]): Promise<void> {
    const { status, out, err } = await place.charcast(...typed);
    expect([0, 1, 2]).toContain(status);
    if (status === 2 && err !== '') {
      // Asked for no command, or for help on none: it shows all there are.
      // A file's further problems have a line each.
      expect(err).toMatch(/^charcast: [^\n\r]{10,700}\n( {10}[^\n\r]{10,700}\n){0,4}$|^Usage: charcast/);
      expect(out).toBe('');
    } else if (status !== 2) {
      expect(out.length).toBeGreaterThan(20);
      expect(err).toBe('');
    }
    rmSync(place.path('work'), { recursive: true, force: true });
    mkdirSync(place.path('work'));
    process.chdir(place.path('work'));
  }

  const SOME = 0.05;
  const FEW = 0.02;
  test(
    'any words: an answer, or one plain sentence and status 2',
    async () => {
      await fuzzAsync(words, expectAnswerOrSentence, SOME);
    },
    timeoutMs(1000, SOME),
  );

  test(
    'likely words, which often do work',
    async () => {
      await fuzzAsync(likely, expectAnswerOrSentence, FEW);
    },
    timeoutMs(2000, FEW),
  );
});
