import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readProgram } from '../../src/program/read.ts';
import { HEAD_LENGTH, headOf, recognise, refuseOther, type Wanted } from '../../src/recognise/recognise.ts';
import { FILES } from '../recognise/files.ts';
import { fuzz, soundOrRefused, timeoutMs } from './fuzzing.ts';
import { jobText, mutated, oddText, randomBytes, trueJob } from './gcode.ts';

/**
 * Whatever a file begins with, it is told what it is, or nothing is said; and nothing that reads as a job is taken for
 * something else.
 */
const TIMEOUT_MS = timeoutMs(5);

const anyBeginning = fc
  .tuple(fc.constantFrom(...FILES.map(([, file]) => headOf(file))), fc.nat())
  .map(([head, to]) => head.slice(0, 1 + (to % Math.max(1, head.length))));

const SOURCES = {
  'beginnings of files of every kind': anyBeginning,
  'such beginnings with characters changed': mutated(anyBeginning),
  'such beginnings before a job': fc.tuple(anyBeginning, jobText).map((parts) => parts.join('\n')),
  jobs: jobText,
  'true jobs with characters changed': mutated(trueJob),
  'jobs with characters changed': mutated(jobText),
  'structured nonsense': oddText,
  'random bytes': randomBytes,
};

const WANTED: readonly Wanted[] = ['job', 'listing', 'machine', 'wood', 'swatch', 'notebook', 'photo'];

/** A file that begins as another kind is that kind, whatever follows. */
const MAY_HOLD_A_JOB = 'such beginnings before a job';

describe.each(Object.entries(SOURCES))('%s', (name, texts) => {
  test(
    'it is told what it is, and no job is taken for anything else',
    () => {
      fuzz(fc.tuple(texts, fc.constantFrom(...WANTED)), ([text, wanted]) => {
        const found = recognise(text);
        expect(recognise(text)).toEqual(found);
        expectNamed(found);
        soundOrRefused(() => refuseOther(text, wanted, 'it.x'));
        const isRefused = soundOrRefused(() => refuseOther(text, 'job') ?? true) === undefined;
        if (isRefused && name !== MAY_HOLD_A_JOB) expectNoJob(text, found!.kind);
      });
    },
    TIMEOUT_MS,
  );
});

/** What is told is a thing's name; it may be that nothing is told. */
function expectNamed(found: ReturnType<typeof recognise>): void {
  const name = found?.what ?? 'a file';
  if (!/^(?:an? |the |JSON|G-code)[^\n]{0,80}$/.test(name))
    throw new Error(`not the name of a thing: ${JSON.stringify(name)}`);
}

/** What is refused as something else would not have been forecast, or feeds filament. */
function expectNoJob(text: string, kind: string): void {
  const program = soundOrRefused(() => readProgram(text, { arcToleranceMm: 0.01, dwellUnit: 's' }));
  if (program === undefined) return;
  const isFilament = kind === 'printer job' && program.notSimulated.some(({ word }) => word === 'E');
  if (!isFilament) throw new Error(`a job was taken for another kind (${kind}): ${JSON.stringify(text)}`);
}

test(
  'the longest beginnings, of one piece over and over, are looked through in one go',
  () => {
    const pieces = [
      '(',
      ';',
      '\x1b.',
      '\x1b.(',
      'PU;',
      'PU',
      'IN;',
      'G',
      'G1',
      'G1 X1',
      '$',
      '$1',
      '"',
      '{"a',
      '<',
      '< ',
    ]
      .concat([
        '<?xml',
        '0\n',
        '999\n',
        ' ',
        '\n',
        '\r',
        '\0',
        'N1',
        'E',
        '1',
        '.',
        '-',
        'M',
        'M92 X',
        'solid',
        'solid a\n',
      ])
      .concat(['\n   facet', '\ufeff', '\u00ef\u00bb\u00bf', '[', 'X1E', 'X1.E+']);
    for (const first of ['', 'IN;', '{"', '<', 'solid ', '$1=', 'BM'])
      for (const piece of pieces) {
        const text = first + piece.repeat(Math.ceil(HEAD_LENGTH / piece.length));
        expectNamed(recognise(text));
      }
  },
  TIMEOUT_MS,
);
