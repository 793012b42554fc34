import { describe, expect, test } from 'vitest';
import { readSaid } from '../../src/outcome/say.ts';

describe('the words of an outcome', () => {
  test.each([
    ['3: 1.6mm', 3, { kind: 'depth', depthMm: 1.6 }],
    ['1.6 mm deep', null, { kind: 'depth', depthMm: 1.6 }],
    ['operation 3: reached 2 mm', 3, { kind: 'depth', depthMm: 2 }],
    ['3: 90 %', 3, { kind: 'part', part: 0.9 }],
    ['3: through but for 12 mm', 3, { kind: 'all but', uncutMm: 12 }],
    ['3: Through', 3, { kind: 'through' }],
    ['3: not through', 3, { kind: 'not through' }],
    ['1: as forecast', 1, { kind: 'as forecast' }],
    ['1: much  darker', 1, { kind: 'shade', shade: 'much darker' }],
    ['1: lighter', 1, { kind: 'shade', shade: 'lighter' }],
    ['1: tone 60 %', 1, { kind: 'tone', tone: 0.6 }],
    ['1: tone 0.6', 1, { kind: 'tone', tone: 0.6 }],
    ['1: corners dark', 1, { kind: 'corners dark' }],
  ])('%s', (text, operation, said) => {
    expect(readSaid(text)).toMatchObject([{ operation, said }]);
  });

  test('several, parted by semicolons', () => {
    expect(readSaid('3: 1.6mm; 1: darker;').map(({ operation, words }) => [operation, words])).toEqual([
      [3, '1.6mm'],
      [1, 'darker'],
    ]);
  });

  test.each([
    ['', /found nothing told; expected how it turned out, as in “1: darker” or “1: 1\.6 mm”$/],
    ['rows: darker', /found “rows” before the colon; expected an operation's number/],
    ['3: burnt', /found “burnt”; expected through, not through, a depth such as 1\.6 mm/],
    ['3: 1.6', /found “1\.6”; expected through/],
    ['3: 130 %', /found “130 %”; expected a part of the board's thickness up to 100 %/],
    ['1: tone 60', /found “tone 60”; expected a tone from 0/],
    ['3: through but for 0 mm', /expected a length that is uncut, or through/],
    ['3: 5000 mm', /expected a depth in mm/],
    [`3: through but for ${'9'.repeat(400)} mm`, /expected a length that is uncut, or through/],
  ])('%j is refused', (text, sentence) => {
    expect(() => readSaid(text)).toThrow(sentence);
  });
});
