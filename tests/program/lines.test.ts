import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/errors.ts';
import { createLineBytes, noteLine } from '../../src/program/line-bytes.ts';
import { eachLine, LONGEST_LINE, type TextSource } from '../../src/program/lines.ts';
import { jobText } from '../fuzz/gcode.ts';
import { expectSame } from '../support/same.ts';
import { ends, read, refusal } from './reading.ts';

const linesOf = (source: TextSource): string[] => {
  const lines: string[] = [];
  const count = eachLine(source, (text, start, end, line) => {
    lines.push(text.slice(start, end));
    expect(line).toBe(lines.length);
  });
  expect(count).toBe(lines.length);
  return lines;
};

describe('cutting text into lines', () => {
  test.each([
    ['', []],
    ['a', ['a']],
    ['a\n', ['a']],
    ['a\nb', ['a', 'b']],
    ['a\r\nb\r\n', ['a', 'b']],
    ['a\rb\r', ['a', 'b']],
    ['a\r\r\nb', ['a', '', 'b']],
    ['\n\na', ['', '', 'a']],
    ['a\n\rb', ['a', '', 'b']],
    ['\uFEFFG0 X1\n\uFEFF', ['G0 X1', '\uFEFF']],
    ['\u00EF\u00BB\u00BFG0 X1', ['G0 X1']],
  ])('%j', (text, lines) => {
    expect(linesOf(text)).toEqual(lines);
    expect(linesOf([text])).toEqual(lines);
    expect(linesOf(Array.from(text))).toEqual(lines);
  });

  test('property: however the text is cut, the lines are those of a regular expression', () => {
    const pieces = fc.array(fc.constantFrom('a', 'G1 X', '\n', '\r', '\r\n', ' ', ''), { maxLength: 40 });
    fc.assert(
      fc.property(pieces, fc.infiniteStream(fc.nat(5)), (parts, cuts) => {
        const text = parts.join('');
        const expected = text.split(/\r\n|\r|\n/);
        if (expected.at(-1) === '') expected.pop();
        expect(linesOf(cut(text, cuts))).toEqual(expected);
      }),
      { numRuns: 500 },
    );
  });

  test('property: a job reads the same whole and in pieces cut anywhere', () => {
    fc.assert(
      fc.property(jobText, fc.infiniteStream(fc.nat(30)), (text, cuts) => {
        expectSame(outcome(cut(text, cuts)), outcome(text));
      }),
      { numRuns: 200 },
    );
  });

  test('the length of every line is kept, its end counted as one byte', () => {
    const { lineBytes, lineCount } = read(['G0 X1\nG0', ' X22\r\n\nM5']);
    expect(Array.from(lineBytes.subarray(0, lineCount))).toEqual([6, 7, 1, 3]);
  });

  test('a number cut in two, and a CRLF cut in two', () => {
    expect(ends(read(['G0 X1', '2.', '5\r', '\nY', '3']))).toEqual([
      [12.5, 0, 0],
      [12.5, 3, 0],
    ]);
    expect(read(['G0 X1\r', '\nX2\r', '', '\nX3']).lineCount).toBe(3);
  });
});

describe('what is no text of lines', () => {
  test('a line of 10 MB is refused early, in one piece or in many', () => {
    const long = 'G0 X1\n(' + 'x'.repeat(10_000_000);
    expect(refusal(long)).toMatchObject({
      line: 2,
      message: expect.stringMatching(/(?:^|: )found a line of more than/),
    });
    let given = 0;
    const pieces = (function* () {
      yield 'G0 X1\n';
      for (; given < 10_000_000; given += 1000) yield ' '.repeat(1000);
    })();
    expect(refusal(pieces).line).toBe(2);
    expect(given).toBeLessThanOrEqual(LONGEST_LINE + 1000);
  });

  test('pieces are asked for one at a time: after the fifth kind of error none further is read', () => {
    const wrong = ['X\n', 'X0,5\n', 'F-1\n', 'G4\n', 'G2 X1\n'];
    let given = 0;
    const pieces = (function* () {
      for (; given < 100; given++) yield wrong[given - 3] ?? 'G0 X1\n';
    })();
    expect(refusal(pieces).line).toBe(4);
    expect(given).toBe(7);
  });

  test('a file without end comes to one behind its first error', () => {
    let given = 0;
    const pieces = (function* () {
      for (;;) {
        given++;
        yield 'X0,5\n'.repeat(1000);
      }
    })();
    expect(refusal(pieces).line).toBe(1);
    expect(given).toBeLessThan(200);
  });

  test('nor is prose without end read on', () => {
    let given = 0;
    const pieces = (function* () {
      for (;;) {
        given++;
        yield 'Dear reader, here is a letter.\n'.repeat(1000);
      }
    })();
    expect(refusal(pieces).sentence).toMatch(/(?:^|: )found 10000 lines of 10000 that are no G-code/);
    expect(given).toBeLessThan(20);
  });

  test.each([
    [
      'a picture',
      '\u0089PNG\r\n\u001a\n\u0000\u0000\u0000\rIHDR',
      /(?:^|: )found “\u0089” \(U\+0089\), so this is not a text file; expected G-code as plain text$/,
    ],
    [
      'a picture read as UTF-8',
      '\uFFFDPNG\r\n',
      /(?:^|: )found “\uFFFD” \(U\+FFFD\), so this is not a text file/,
    ],
    [
      'an archive',
      'PK\u0003\u0004\u0014\u0000',
      /(?:^|: )found a control character \(code 3\), so this is not a text file/,
    ],
    [
      'UTF-16 read as Latin-1',
      '\u00ff\u00feG\u00000\u0000',
      /(?:^|: )found text of two bytes a character \(UTF-16\); expected G-code as plain text: save it as UTF-8$/,
    ],
    ['UTF-16 the other way round', '\u0000G\u00000\u0000 \u0000X\u00001', /\(UTF-16\)/],
    ['UTF-16 without a mark', 'G\u00000\u0000 \u0000X\u00001\u0000\r\u0000\n\u0000', /\(UTF-16\)/],
    ['a hole in a line', 'G0 X1\u0000\u0000\u0000\nG0 X2', /(?:^|: )found a NUL character/],
    ['a broad letter', 'G0 \u00ef\u00bc\u00a715', /(?:^|: )found “\uff27” \(U\+FF27\); expected/],
    ['a blank from a page of the web', 'G0\u00c2\u00a0X1', /(?:^|: )found “\u00a0” \(U\+00A0\); expected/],
    ['a NUL in a comment', 'G0 X1 (\u0000)', /(?:^|: )found a NUL character/],
    ['an escape character', 'G0 X1\u001b[0m', /(?:^|: )found a control character \(code 27\)/],
    ['a delete character', 'G0 \u007fX1', /(?:^|: )found a control character \(code 127\)/],
    ['an empty file', '', /(?:^|: )found an empty file; expected G-code$/],
    [
      'blank lines only',
      '\n \n\t\n',
      /(?:^|: )found no moves; expected at least one line that moves the head/,
    ],
    ['a line of prose', 'Dear reader,', /(?:^|: )found no moves \(“Dear reader,” on line 1 is no G-code\)/],
    [
      'prose',
      'Dear reader,\nthis is a letter.\n',
      /(?:^|: )found 2 lines of 2 that are no G-code \(“Dear reader,” on line 1, “this is a letter.” on line 2\); expected at most one in 20$/,
    ],
    ['a page of the web', '<!DOCTYPE html>\n', /(?:^|: )found no moves/],
  ])('%s is refused', (_, text, message) => {
    expect(refusal(text).sentence).toMatch(message);
  });
});

/** Cuts a text into pieces whose lengths come from a stream. */
function cut(text: string, lengths: Iterable<number>): string[] {
  const pieces: string[] = [];
  let at = 0;
  for (const size of lengths) {
    if (at >= text.length) break;
    pieces.push(text.slice(at, at + size));
    at += size;
    if (pieces.length > 10_000) return [...pieces, text.slice(at)];
  }
  return pieces;
}

test('lines that do nothing are counted, and end somewhere', () => {
  const lines = createLineBytes();
  for (let line = 1; line <= 5000; line++) noteLine(lines, line, line);
  expect(Array.from(lines.bytes.subarray(0, 5000))).toEqual(Array.from({ length: 5000 }, (_, k) => k + 2));
  expect(() => noteLine(lines, 100_000_001, 5)).toThrow(
    /^line 100000001: found more than 100 million lines; expected a smaller job$/,
  );
});

function outcome(source: TextSource): unknown {
  try {
    return read(source);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.toString();
  }
}
