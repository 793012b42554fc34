import { describe, expect, test } from 'vitest';
import type { Severity } from '../../src/findings/finding.ts';
import { countWords, nameWithLine } from '../../viewer/bench/count-words.ts';

describe('findings counted', () => {
  test.each<[string, Severity[]]>([
    ['nothing stands out', []],
    ['one serious thing stands out', ['stop']],
    ['one thing stands out, nothing serious', ['note']],
    ['2 things stand out, both serious', ['stop', 'warning']],
    ['3 things stand out, all serious', ['stop', 'warning', 'warning']],
    ['3 things stand out, none serious', ['note', 'note', 'note']],
    ['4 things stand out, 2 serious', ['stop', 'warning', 'note', 'note']],
    ['2 things stand out, 1 serious', ['warning', 'note']],
  ])('%s', (words, severities) => {
    expect(countWords(severities.map((severity) => ({ severity })))).toBe(words);
  });

  test('nothing found is told of what was judged only', () => {
    expect(countWords([], 'Cuts were not judged.')).toBe('nothing stands out in what was judged');
  });

  test('and named, each by its own name', () => {
    expect(nameWithLine({ kind: 'dark-corner', operation: 2, line: 45 })).toBe(
      'dark corners in operation 2, line 45',
    );
    expect(nameWithLine({ kind: 'off-bed', operation: null, line: 0 })).toBe('moves beyond the bed');
  });
});
