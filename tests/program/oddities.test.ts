import { describe, expect, test } from 'vitest';
import { blankComments, commentsIn } from '../../src/program/comments.ts';
import { isProse } from '../../src/program/prose.ts';
import { plainDigits } from '../../src/program/tokens.ts';
import { ends, lastEnd, leftOut, oddityText, read, readLines, refusal } from './reading.ts';

/**
 * What common hobby controllers read and stricter ones stop at is read, and told: once per cause, by its first line.
 * (Which controllers read what is common practice; there is no source.)
 */

describe('comments', () => {
  test.each([
    ['G1 (a) X1 ; b', 'G1     X1    '],
    ['X1 (a (b) Y2', 'X1        Y2'],
    ['X1 (a (b) c) Y2', 'X1           Y2'],
    ['X1 (a (b) Y2) Z3', 'X1        Y2  Z3'],
    ['X1) Y2', 'X1  Y2'],
    ['X1 (far Y2', 'X1        '],
    ['X1 (a;b) Y2 ;(c', 'X1       Y2    '],
    ['X1 M117 Y2 (c) ;', 'X1              '],
    ['(x) M0118Y2', '           '],
    ['M1170 HAM117 M117.5', 'M1170 HAM117 M117.5'],
  ])('%j', (line, code) => {
    expect(blankComments(line)).toBe(code);
  });

  test('the comments of a line', () => {
    expect(commentsIn('G1 (a (b) X5 M117 hello (')).toBe('(a (b) M117 hello (');
  });

  // Each took half a minute and more by a pattern that looks at every “(” again.
  test.each([
    ['after the end', `G0 X1\nM2\n${'('.repeat(200_000)}`],
    ['in the middle', `G0 X1\n${'('.repeat(200_000)}\nG0 X2`],
    ['closed', `G0 X1\n${'('.repeat(200_000)})\nG0 X2`],
    ['and the other way round', `G0 X1\n${')'.repeat(200_000)}\nG0 X2`],
    ['in turn', `G0 X1\n${'()'.repeat(100_000)}\nG0 X2`],
    ['nested in turn', `G0 X1\n${'(()'.repeat(100_000)}\nG0 X2`],
  ])('200,000 of them %s', (_, text) => {
    expect(read(text).moves.count).toBeGreaterThan(0);
  });
});

describe('a message takes its line', () => {
  test.each(['M117 G1 X200 Y200', 'm118 X9', 'N5 M117 Y8', '(a) M117 X7', '/M117 X6', 'M117'])(
    '%s',
    (line) => {
      const program = readLines('G0 X1', line, 'G0 X2');
      expect(ends(program)).toEqual([
        [1, 0, 0],
        [2, 0, 0],
      ]);
      expect(leftOut(program, 'M117')?.lines).toEqual([2]);
    },
  );

  test('what stands in front of it is run', () => {
    expect(ends(readLines('G0 X1', 'X2 M117 X9'))[1]).toEqual([2, 0, 0]);
  });
});

describe('lines that are no G-code', () => {
  test.each([
    'Herb markers',
    'leaf 2 of 6',
    '-----',
    '*** oregano ***',
    '12345',
    'Size: 40x30 mm',
    'T1 for cutting',
  ])('%j is', (line) => {
    const program = readLines('G0 X1', line, 'G0 X2');
    expect(program.moves.count).toBe(2);
    expect(oddityText(program)).toBe(
      `2: “${line}”, which is no G-code: the line was left out; write it as a comment, with “;” in front, or leave it out`,
    );
  });

  test('a title in UTF-8 is quoted as it was typed', () => {
    const program = readLines('G0 X1', 'K\u00c3\u00b6nigskerze');
    expect(oddityText(program)).toMatch(/^2: “K\u00f6nigskerze”/);
  });

  test.each([
    'X0,5',
    'X\u22121',
    'X1.2.3',
    'GO',
    'G1 fast',
    'move X 40',
    'F 600 please',
    'M3 on',
    'X',
    '40x30',
    'N5 X',
  ])('%j may be damaged G-code, and is refused', (line) => {
    expect(isProse(line)).toBe(false);
    expect(refusal(`G0 X1\n${line}`).line).toBe(2);
  });

  const lines = (count: number, prose: number): string =>
    Array.from({ length: count }, (_, k) =>
      k > 0 && k <= prose ? `note ${'abc'[k % 3]}${k}` : `G0 X${k + 1}`,
    ).join('\n');

  test('one line in twenty may be none', () => {
    expect(oddityText(read(lines(40, 2)))).toMatch(/^2 ×2: “note b1”/);
    expect(oddityText(read(lines(3, 1)))).toMatch(/^2: “note b1”/);
  });

  test('with more, the file is refused, and the first five are quoted', () => {
    expect(String(refusal(lines(39, 2)))).toBe(
      'line 2: found 2 lines of 39 that are no G-code (“note b1” on line 2, “note c2” on line 3); expected at most one in 20',
    );
    expect(String(refusal(lines(39, 7)))).toMatch(/found 7 lines of 39 .*“note c5” on line 6 …\)/);
  });
});

describe('lines behind a “#”', () => {
  test.each(['# herb marker', '#made by hand', '#### basil ####', '#'])('%j is a comment', (line) => {
    const program = readLines('G0 X1', line, line, 'G0 X2');
    expect(program.moves.count).toBe(2);
    expect(oddityText(program)).toBe(
      `2 ×2: “${line}”, a comment behind a “#”: the line was left out; write “;” instead of the “#”`,
    );
    expect(program.notSimulated).toEqual([]);
  });

  test.each(['#1=5', '# 1 = 5', '#<depth>=2', '##1=7', '#[1+2]=3', '# G1 X5'])('%j may be more', (line) => {
    const program = readLines('G0 X1', line, 'G0 X2');
    expect(leftOut(program, '#')?.lines).toEqual([2]);
    expect(program.oddities).toEqual([]);
  });
});

describe('the mark for the end of a text, as old disks have it (code 26)', () => {
  test.each(['\x1a', '\x1a\x1a\x1a', '\x1a\0\0\0', ' \x1a\0\n\0\0', '\x1a\n\n'])(
    '%j ends the job',
    (mark) => {
      const program = read(`G0 X1\r\nG0 X2\r\n${mark}`);
      expect(program.moves.count).toBe(2);
      expect(program.understood).toHaveLength(1);
      expect(program.notSimulated).toEqual([]);
    },
  );

  test('what follows it is not run, and told', () => {
    const program = readLines('G0 X1', '\x1a', 'G0 X9');
    expect(lastEnd(program)).toEqual([1, 0, 0]);
    expect(leftOut(program, 'after the end mark')).toMatchObject({ lines: [3], severity: 'warning' });
  });

  test('behind M2 it is nothing, in a line of code it is damage', () => {
    expect(readLines('G0 X1', 'M2', '\x1a').notSimulated).toEqual([]);
    expect(refusal('G0 X1\x1a').sentence).toMatch(/found a control character \(code 26\)/);
  });
});

describe('NULs that fill up the file', () => {
  test.each(['G0 X2\0', 'G0 X2\r\n\0\0\0', 'G0 X2\n\0\0\n\0', 'G0 X2 ; done\0\0\n\n', 'G0 X2\nM2\n\0\0'])(
    '%j ends the job, and that is told',
    (end) => {
      const program = read(`G0 X1\r\n${end}`);
      expect(program.moves.count).toBe(2);
      expect(program.oddities).toMatchObject([{ found: expect.stringMatching(/^NUL characters/) }]);
      expect(program.notSimulated).toEqual([]);
    },
  );

  test('a file of nothing else is none', () => {
    expect(refusal('\0\0\0\n\0').sentence).toMatch(/^found nothing but NUL characters/);
  });

  test('they may be more than any line holds, and come in pieces', () => {
    const block = '\0'.repeat(700_000);
    const program = read(['G0 X1\nG0 X2', block, block, `${block}\n`, block, block]);
    expect(program.moves.count).toBe(2);
    expect(program.oddities).toHaveLength(1);
    function* endless() {
      for (;;) yield block;
    }
    expect(() => read(endless())).toThrow(/found a line of more than 1000000 characters/);
  });

  test.each([
    ['G0 X1\0\0\nG0 X2', 1],
    ['G0 X1\nG0\0X2', 2],
    ['G0 X1\n\0\0\nG0 X2\nG0 X3', 2],
    ['G0 X1\nG0 X2\n\0G0 X3\n\0', 3],
  ])('%j has a hole', (text, line) => {
    expect(refusal(text)).toMatchObject({ line, sentence: expect.stringMatching(/^found a NUL character/) });
  });
});

describe('numbers with an exponent', () => {
  test.each([
    ['1.2e-14', '0.000000000000012'],
    ['1e3', '1000.0'],
    ['-12.5E+1', '-125.0'],
    ['.5e-1', '0.05'],
    ['+5.e0', '+5.0'],
    ['123e-2', '1.23'],
    ['0e99', `${'0'.repeat(100)}.0`],
  ])('%s in plain digits', (number, digits) => {
    expect(plainDigits(number)).toBe(digits);
    expect(Number(digits)).toBe(Number(number));
  });

  test('are numbers', () => {
    expect(lastEnd(read('G0 X1.5e1 Y-2E-1Z5e+0'))).toEqual([15, -0.2, 5]);
    expect(lastEnd(read('G0 X1 E5'))).toEqual([1, 0, 0]);
  });
});

test('every oddity of a line is told, and each cause once with its count', () => {
  expect(oddityText(readLines('F600 G0 X1', 'G1 X2 X3 (a (b) Y1e0', 'G1 X4 X5'))).toBe(
    [
      '2: a “(” inside the comment “(a (b)”: the first “)” ended the comment; write a “( )” of its own for each comment, none inside another',
      '2: Y1e0, a number with an exponent: it was read as Y1.0; write plain digits, as in 0.001',
      '2 ×2: both X2 and X3: the last counts; write each letter once on a line',
    ].join('\n'),
  );
});

describe('a feed given beside the job', () => {
  test('goes to every feed move that has none, and no other', () => {
    const program = read('G0 X1\nG1 X2\nX3\nF600\nX4\nF0\nX5\nG2 X7 I1', { feedMmPerS: 20 });
    const { moves } = program;
    const feedOf = (line: number) => moves.feedMmPerS[Array.from(moves.line).indexOf(line)];
    expect([1, 2, 3, 5, 7, 8].map(feedOf)).toEqual([0, 20, 20, 10, 20, 20]);
    expect(oddityText(program)).toBe(
      '2 ×4: a feed move (G1) with no feed: it has the 1200 mm/min that were given for such moves; write F1200 on that line',
    );
  });

  test('in inches the advice is in inches', () => {
    expect(oddityText(read('G20 G1 X2', { feedMmPerS: 25.4 }))).toMatch(/1524 mm\/min .* write F60 on/);
  });

  test('a job that has its feeds is as without', () => {
    const text = 'G0 X1\nG1 X2 F600\nX3';
    expect(read(text, { feedMmPerS: 20 })).toEqual(read(text));
  });
});
