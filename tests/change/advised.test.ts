import { describe, expect, test } from 'vitest';
import {
  besideAsked,
  compareTolls,
  type Foretold,
  settle,
  tollOf,
  whyLeft,
} from '../../src/change/advised.ts';
import type { Change } from '../../src/change/change.ts';
import { changesWords, parseChanges } from '../../src/change/grammar.ts';
import { InputError } from '../../src/errors.ts';
import type { Finding, Severity } from '../../src/findings/finding.ts';

/** Advice weighed on findings made up for it, so that what each change brings is known. */

const finding = (operation: number | null, severity: Severity, change: string | null = null): Finding => ({
  kind: 'dark-corner',
  severity,
  line: 1,
  atMm: null,
  operation,
  message: '',
  remedy: '',
  measure: {},
  advice: change === null ? null : { operation: operation ?? 1, change },
});

/** Settles by a table of what is found under which changes; other changes are an error of the test. */
function settleBy(
  table: Readonly<Record<string, readonly Finding[] | InputError>>,
  cutsOf: (words: string) => Foretold['cuts'] = () => [],
) {
  const asked: string[] = [];
  const start = { findings: table['']! as readonly Finding[], cuts: cutsOf('') };
  const settled = settle(start, (changes: readonly Change[]) => {
    const words = changesWords(changes);
    asked.push(words);
    const found = table[words];
    if (found === undefined) throw new Error(`not in the table: ${words}`);
    if (found instanceof InputError) throw found;
    return { findings: found, cuts: cutsOf(words) };
  });
  return { ...settled, words: changesWords(settled.changes), asked };
}

describe('advice', () => {
  test('is taken all at once where it helps, for one forecast', () => {
    const { words, findings, asked } = settleBy({
      '': [finding(1, 'warning', '1: proportional'), finding(2, 'warning', '2: passes 2')],
      '1: proportional; 2: passes 2': [],
    });
    expect(words).toBe('1: proportional; 2: passes 2');
    expect(findings).toEqual([]);
    expect(asked).toHaveLength(1);
  });

  test('is followed by what the next forecast advises, even where one step alone mends nothing', () => {
    const { words } = settleBy({
      '': [finding(1, 'warning', '1: passes 2')],
      '1: passes 2': [finding(1, 'warning', '1: passes 3')],
      '1: passes 3': [],
    });
    expect(words).toBe('1: passes 3');
  });

  test('of speed and power is taken together, from one finding', () => {
    const { words } = settleBy({
      '': [
        finding(1, 'warning', '1: speed 1300, proportional'),
        finding(1, 'warning', '1: power 20%, passes 2'),
      ],
      '1: speed 1300 mm/min, proportional, passes 2': [],
    });
    expect(words).toBe('1: speed 1300 mm/min, proportional, passes 2');
  });

  test('ends after five rounds, and what has helped nobody by then is put back', () => {
    const passes = (n: number) => [finding(1, 'warning', `1: passes ${n + 1}`)];
    const table = Object.fromEntries(
      Array.from({ length: 12 }, (_, k) => [k === 0 ? '' : `1: passes ${k + 1}`, passes(k + 1)]),
    );
    const { words, asked, findings } = settleBy(table);
    expect(words).toBe('');
    expect(asked).toHaveLength(5);
    expect(findings).toHaveLength(1);
  });

  test('that makes something worse is left out, and the rest is taken', () => {
    const { words, findings } = settleBy({
      '': [finding(1, 'warning', '1: proportional'), finding(2, 'note', '2: speed 900 mm/min')],
      '1: proportional; 2: speed 900 mm/min': [finding(2, 'warning')],
      '1: proportional': [finding(2, 'note', '2: speed 900 mm/min')],
      '2: speed 900 mm/min': [finding(1, 'warning'), finding(2, 'warning')],
    });
    expect(words).toBe('1: proportional');
    expect(findings.map(({ severity }) => severity)).toEqual(['note']);
  });

  test('that makes something worse is judged with what is advised for that, step by step', () => {
    const { words, findings } = settleBy({
      '': [finding(1, 'warning', '1: passes 7'), finding(3, 'note', '3: passes 2')],
      '1: passes 7; 3: passes 2': [finding(2, 'stop', '1: last'), finding(3, 'warning')],
      '1: passes 7': [finding(2, 'stop', '1: last'), finding(3, 'note', '3: passes 2')],
      '1: passes 7, last': [finding(1, 'stop', '1: inside first'), finding(3, 'note', '3: passes 2')],
      '1: passes 7, last, inside first': [finding(3, 'note', '3: passes 2')],
      '1: passes 7, last, inside first; 3: passes 2': [finding(3, 'warning')],
    });
    expect(words).toBe('1: passes 7, last, inside first');
    expect(findings.map(({ severity }) => severity)).toEqual(['note']);
  });

  test('never lets a cut pass for no cut: by its depth it was one, and as one it is judged', () => {
    const table = {
      '': [finding(1, 'note', '1: speed 4800')],
      '1: speed 4800 mm/min': [],
      '1: speed 4800 mm/min, cut': [finding(1, 'warning')],
    };
    const isDeep = (words: string) => words === '' || words.endsWith('cut');
    const { words, asked } = settleBy(table, (words) => (isDeep(words) ? [{ operation: 1 }] : []));
    expect(words).toBe('');
    expect(asked).toEqual(['1: speed 4800 mm/min', '1: speed 4800 mm/min, cut']);
    // Where it is deep enough to be taken for one, no more is asked.
    expect(settleBy(table, () => [{ operation: 1 }]).asked).toEqual(['1: speed 4800 mm/min']);
  });

  test('of more passes waits until the job lies on the board, and says so', () => {
    const off: Finding = { ...finding(1, 'stop'), kind: 'off-stock' };
    const shallow: Finding = { ...finding(1, 'warning', '1: passes 8'), kind: 'not-through' };
    const { words, findings, asked } = settleBy({ '': [off, shallow] });
    expect([words, asked]).toEqual(['', []]);
    const left = whyLeft({ changes: [], findings }, () => ({ findings: [], cuts: [] }));
    expect(left).toEqual([{ why: 'no advice' }, { why: 'off the board', change: '1: passes 8' }]);
    expect(settleBy({ '': [shallow], '1: passes 8': [] }).words).toBe('1: passes 8');
  });

  test('that brings worse upon worse is left out after a few steps', () => {
    const brings = (n: number): Finding[] =>
      Array.from({ length: n }, () => finding(2, 'stop', `2: passes ${n + 1}`));
    const { words, asked } = settleBy({
      '': [finding(1, 'warning', '1: passes 7')],
      '1: passes 7': brings(1),
      ...Object.fromEntries(
        Array.from({ length: 8 }, (_, k) => [`1: passes 7; 2: passes ${k + 2}`, brings(k + 2)]),
      ),
    });
    expect(words).toBe('');
    expect(asked).toHaveLength(4);
  });

  test('of a worse finding stands where two set the same', () => {
    const { words } = settleBy({
      '': [finding(1, 'stop', '1: speed 500 mm/min'), finding(1, 'note', '1: speed 900 mm/min, passes 2')],
      '1: speed 500 mm/min, passes 2': [],
    });
    expect(words).toBe('1: speed 500 mm/min, passes 2');
  });

  test('that cannot be followed is told, and leaves the rest as it is', () => {
    const no = new InputError('found no way; expected one');
    const { words, refusal } = settleBy({
      '': [finding(1, 'warning', '1: passes 2'), finding(2, 'warning', '2: proportional')],
      '1: passes 2; 2: proportional': no,
      '1: passes 2': no,
      '2: proportional': [finding(1, 'warning')],
    });
    expect(words).toBe('2: proportional');
    expect(refusal).toBe(no);
  });

  test('leaves no change that helps nobody beside those that do', () => {
    const { words } = settleBy({
      '': [finding(1, 'warning', '1: passes 2'), finding(2, 'warning', '2: passes 2')],
      '1: passes 2; 2: passes 2': [finding(1, 'warning')],
      '2: passes 2': [finding(1, 'warning')],
    });
    expect(words).toBe('2: passes 2');
  });

  test('of a place that leaves no mark is taken, though one that marks shows another fault', () => {
    const faint: Finding = { ...finding(1, 'warning', '1: power 20 %'), kind: 'no-mark' };
    const striped: Finding = { ...finding(1, 'warning'), kind: 'stripes' };
    const { words, findings } = settleBy({ '': [faint], '1: power 20 %': [striped] });
    expect(words).toBe('1: power 20 %');
    expect(findings).toEqual([striped]);
  });

  test('that is left is told with why: what it would bring, that it helps nothing, or what speaks against it', () => {
    const no = new InputError('found no way; expected one');
    const findings = [
      finding(1, 'warning', '1: passes 2'),
      finding(2, 'warning', '2: passes 3'),
      finding(3, 'note', '3: proportional'),
      finding(4, 'note'),
    ];
    const brought = finding(1, 'stop');
    const left = whyLeft({ changes: parseChanges('5: passes 2'), findings }, (changes) => {
      const words = changesWords(changes);
      expect(words).toContain('5: passes 2');
      if (words.includes('2: passes 3')) throw no;
      const found = words.includes('1: passes 2') ? [brought, ...findings.slice(1)] : findings;
      return { findings: found, cuts: [] };
    });
    expect(left).toEqual([
      { why: 'no better', change: '1: passes 2', brings: [brought] },
      { why: 'refused', change: '2: passes 3', refusal: no },
      { why: 'no better', change: '3: proportional', brings: [] },
      { why: 'no advice' },
    ]);
  });

  test('brings only what is not there without it, whatever else was made of the job since', () => {
    const left = [finding(1, 'warning', '1: passes 2')];
    const mendedSince = finding(2, 'warning');
    const why = whyLeft({ changes: [], findings: left }, () => ({
      findings: [...left, mendedSince],
      cuts: [],
    }));
    expect(why).toEqual([{ why: 'no better', change: '1: passes 2', brings: [] }]);
  });

  test('that goes round in a circle ends', () => {
    const { words, asked } = settleBy({
      '': [finding(1, 'warning', '1: passes 2')],
      '1: passes 2': [finding(1, 'warning', '1: passes 1')],
      '1: passes 1': [finding(1, 'warning', '1: passes 2')],
    });
    expect(words).toBe('');
    expect(asked).toHaveLength(2);
  });
});

describe('the toll of findings', () => {
  test('counts by severity, those told of together too, and a stop is worse than any warnings', () => {
    const eighth: Finding = { ...finding(8, 'warning'), measure: { more_operations: 4 } };
    expect(tollOf([finding(1, 'stop'), eighth, finding(2, 'note')])).toEqual([1, 5, 0, 1]);
    expect(compareTolls([1, 0, 0, 0], [0, 99, 0, 99])).toBeGreaterThan(0);
    expect(compareTolls([0, 1, 0, 9], [0, 2, 0, 0])).toBeLessThan(0);
    expect(compareTolls([0, 1, 0, 2], [0, 1, 0, 2])).toBe(0);
  });
});

test('what was asked for stands above what is advised, setting by setting', () => {
  const beside = besideAsked(
    parseChanges('1: speed 900, power 40 %; 2: power 50 %; 3: proportional'),
    parseChanges('2: power 70 %; 1: power 60 %; all: passes 2'),
  );
  expect(changesWords(beside)).toBe(
    '1: speed 900 mm/min; 3: proportional; 2: power 70 %; 1: power 60 %; all: passes 2',
  );
});
