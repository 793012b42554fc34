import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/errors.ts';
import { readWant, wantWords } from '../../src/suggest/want.ts';

describe('what is wanted', () => {
  test('is cut, a region, or a tone as a number or in percent', () => {
    expect(readWant('cut')).toEqual({ kind: 'cut' });
    expect(readWant(' Brown ')).toEqual({ kind: 'region', region: 'brown' });
    expect(readWant('0.4')).toEqual({ kind: 'tone', tone: 0.4 });
    expect(readWant('.4')).toEqual({ kind: 'tone', tone: 0.4 });
    expect(readWant('40%')).toEqual({ kind: 'tone', tone: 0.4 });
    expect(readWant('40 %')).toEqual({ kind: 'tone', tone: 0.4 });
    expect(readWant('1')).toEqual({ kind: 'tone', tone: 1 });
    expect(wantWords(readWant('0.425'))).toBe('a tone of 42.5 %');
    expect(wantWords(readWant('cut'))).toBe('cut through');
    expect(wantWords(readWant('tan'))).toBe('tan');
  });

  test('is nothing else, and says what was found and expected', () => {
    for (const text of ['', 'black', '40', '0', '0%', '101%', '-0.2', 'NaN', '1e-1', 'no mark', '0.4.5']) {
      expect(() => readWant(text), text).toThrow(InputError);
      expect(() => readWant(text), text).toThrow(
        /(?:^|: )found --want .*; expected cut, tan, brown, char, or a tone above 0 \(bare\) and up to 1 \(char\)/,
      );
    }
  });
});
