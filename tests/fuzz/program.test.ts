import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/errors.ts';
import { readProgram } from '../../src/program/read.ts';
import { fuzz, RUNS, timeoutMs } from './fuzzing.ts';
import { jobText, mutated, oddText, randomBytes, trueJob, wordSoup } from './gcode.ts';

/**
 * Whatever is read, the reader either makes a sound program or refuses with one sentence and a line: it never
 * crashes, hangs or passes over a line in silence.
 */
const TIMEOUT_MS = timeoutMs(5);

const SOURCES = {
  'true files with characters changed': mutated(trueJob),
  'structured nonsense': oddText,
  'jobs with characters changed': mutated(jobText),
  'nonsense with characters changed': mutated(oddText),
  'random bytes': randomBytes,
  'characters of G-code in any order': wordSoup,
};

describe.each(Object.entries(SOURCES))('%s', (_, texts) => {
  test(
    `${RUNS} times: a sound program, or one plain sentence`,
    () => {
      fuzz(fc.tuple(texts, fc.constantFrom('s', 'ms'), fc.constantFrom(null, null, 20)), (each) =>
        judge(...each),
      );
    },
    TIMEOUT_MS,
  );
});

test(
  'no character is passed over: one that means nothing is refused, or its line is told',
  () => {
    const strays = fc.constantFrom(...',&"\'<>=?!^_\\|~:@{}$%#[]`\u00b0\u00a0\u2212\u00e9');
    const lines = fc.constantFrom('G1 X10 Y5 S3', 'x1.5y2', 'M4 S100', 'N20 G0 X5', 'G2 X3 Y0 I1', 'F600');
    fuzz(fc.tuple(lines, strays, fc.nat()), ([line, stray, place]) => {
      const at = place % (line.length + 1);
      const text = `F60 G0 X1\n${line.slice(0, at)}${stray}${line.slice(at)}`;
      try {
        const { notSimulated, oddities } = readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
        const told = [...notSimulated.flatMap(({ lines }) => lines), ...oddities.map(({ line: odd }) => odd)];
        expect(told).toContain(2);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        expect(error).toMatchObject({ line: 2, message: expect.stringMatching(/(?:^|: )found /) });
      }
    });
  },
  TIMEOUT_MS,
);

function judge(text: string, dwellUnit: 's' | 'ms', feedMmPerS: number | null): void {
  let program: ReturnType<typeof readProgram>;
  try {
    program = readProgram(text, { arcToleranceMm: 0.002, dwellUnit, feedMmPerS });
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const problems = error.each();
    expect(problems.length).toBeLessThanOrEqual(5);
    const lineCount = text.split(/\r\n|\r|\n/).length;
    let above = 0;
    for (const { message, line } of problems) {
      const plain =
        /(?:^|: )found [^\n]+$/.test(message) &&
        message.length < 400 &&
        (line === undefined ? /(?:^|: )found (no moves|an empty file)/.test(message) : line <= lineCount) &&
        (line ?? 0) >= above;
      if (!plain)
        throw new Error(
          `no plain sentence of line ${line}: ${JSON.stringify(message)}, of ${JSON.stringify(text)}`,
        );
      above = line ?? 0;
    }
    if (feedMmPerS !== null) expect(problems.some(({ topic }) => topic === 'feed')).toBe(false);
    return;
  }

  const { moves, stops, notSimulated, understood, oddities, lineCount } = program;
  expect(moves.count).toBeGreaterThan(0);
  let [x, y, z, line] = [0, 0, 0, 1];
  for (let k = 0; k < moves.count; k++) {
    const step = Math.hypot(moves.xMm[k]! - x, moves.yMm[k]! - y, moves.zMm[k]! - z);
    const sound =
      step > 0 &&
      step < 1e6 &&
      moves.line[k]! >= line &&
      moves.line[k]! <= lineCount &&
      moves.s[k]! >= 0 &&
      moves.powerMode[k]! <= 2 &&
      (moves.rapid[k] === 1 || moves.feedMmPerS[k]! > 0) &&
      moves.operation[k]! <= program.operations.length;
    if (!sound) throw new Error(`move ${k} is unsound: ${JSON.stringify(text)}`);
    [x, y, z, line] = [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!, moves.line[k]!];
  }
  let before = 0;
  for (let k = 0; k < stops.count; k++) {
    const sound =
      stops.beforeMove[k]! >= before &&
      stops.beforeMove[k]! <= moves.count &&
      stops.dwellS[k]! >= 0 &&
      stops.dwellS[k]! <= 86_400;
    if (!sound) throw new Error(`stop ${k} is unsound: ${JSON.stringify(text)}`);
    before = stops.beforeMove[k]!;
  }
  for (const { count, lines } of notSimulated)
    if (!(count > 0 && lines.length > 0 && lines.length <= 20))
      throw new Error(`what is not simulated is told with ${count} times, lines ${lines.join(', ')}`);
  for (const { line: odd, count, found, readAs, instead } of oddities) {
    expect(odd + count - 1).toBeLessThanOrEqual(lineCount);
    for (const told of [found, readAs, instead])
      if (!/^[^\n]{3,200}$/.test(told)) throw new Error(`not told in a few words: ${JSON.stringify(told)}`);
  }
  for (const { text: told } of understood) expect(told).toMatch(/^[^\n]{10,400}$/);
}
