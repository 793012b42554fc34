import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readAnyLine } from '../../src/program/any-line.ts';
import { type Block, createBlock, lettersOf } from '../../src/program/block.ts';
import { createNotes } from '../../src/program/notes.ts';
import { readPlainLine } from '../../src/program/plain-line.ts';
import { goodBlock, goodNumber, wordSoup } from '../fuzz/gcode.ts';

/** The words of a block, sorted by letter. */
function words(block: Block): Record<string, number | number[]> {
  const found: Record<string, number | number[]> = {
    G: Array.from(block.g.subarray(0, block.gCount)),
    M: Array.from(block.m.subarray(0, block.mCount)),
  };
  for (const letter of lettersOf(block.has)) found[letter] = block.value[letter.charCodeAt(0) - 65]!;
  return found;
}

/** What the plain reader makes of a line; undefined where it gives up. */
function plain(text: string): Record<string, number | number[]> | undefined {
  const block = createBlock();
  // In place: what stands around the line must not matter.
  return readPlainLine(`X9${text}7`, 2, 2 + text.length, block) ? words(block) : undefined;
}

/** What the reader behind gcode-parser makes of a line. */
function any(text: string): Record<string, number | number[]> {
  const block = createBlock();
  readAnyLine(text, block, createNotes());
  return words(block);
}

describe('the reader of plain lines', () => {
  test('reads words in the usual spellings', () => {
    expect(plain('G1 X12.3 S400')).toEqual({ G: [1], M: [], X: 12.3, S: 400 });
    expect(plain('g01x-.5y+2.')).toEqual({ G: [1], M: [], X: -0.5, Y: 2 });
    expect(plain(' N10\tG90 G0  X 1 M3 M8 ')).toEqual({ G: [90, 0], M: [3, 8], N: 10, X: 1 });
    expect(plain('')).toEqual({ G: [], M: [] });
    expect(plain('X-0')).toEqual({ G: [], M: [], X: 0 });
  });

  test.each([
    ...[
      'X',
      'X+',
      'X.',
      'X1.2.3',
      'X1-2',
      'X0,5',
      'X1e3',
      'X1E3',
      'M117',
      'M118 X5',
      'G1 X5 M117 Y5',
      'X1 2',
      'X1 .5',
      'X+ 1',
      'X1X2',
      '5',
      'X1*5',
      'N-1',
    ],
    ...[
      '(a)',
      'X1;',
      '%',
      '$H',
      '/X1',
      'O5',
      'X#1',
      'X[1]',
      'X1\u00a0',
      'X\u0661',
      '@1',
      '`1',
      'X12345678901234567',
    ],
    ...['G1'.repeat(17), 'M3'.repeat(17), `X0.${'0'.repeat(23)}`],
  ])('gives up at %j', (text) => {
    expect(plain(text)).toBeUndefined();
  });

  test('property: numbers are the nearest double, as Number() has it', () => {
    fc.assert(
      fc.property(goodNumber, (number) => {
        expect(plain(`X${number}`)).toEqual({ G: [], M: [], X: Number(number) + 0 });
      }),
      { numRuns: 1000 },
    );
    // The hardest sizes: up to 15 digits, up to 22 of them behind the point.
    const digits = fc.tuple(fc.nat({ max: 999_999_999 }), fc.nat({ max: 999_999 }), fc.nat({ max: 21 }));
    fc.assert(
      fc.property(digits, ([high, low, point]) => {
        const all = `${high}${String(low).padStart(6, '0')}`.padStart(22, '0');
        const text = `${all.slice(0, 22 - point)}.${all.slice(22 - point)}`;
        expect(plain(`X${text}`)).toEqual({ G: [], M: [], X: Number(text) });
      }),
      { numRuns: 1000 },
    );
  });

  test('property: where it accepts a line, gcode-parser reads the same words', () => {
    let accepted = 0;
    fc.assert(
      fc.property(
        fc.oneof(
          goodBlock,
          wordSoup.map((soup) => soup.replaceAll('\n', ' ')),
        ),
        (text) => {
          const quick = plain(text);
          if (quick === undefined) return;
          accepted++;
          expect(quick).toEqual(any(text));
        },
      ),
      { numRuns: 3000 },
    );
    expect(accepted).toBeGreaterThan(1000);
  });
});
