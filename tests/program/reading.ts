import { InputError } from '../../src/errors.ts';
import type { NotSimulated, Program } from '../../src/program/program.ts';
import { type ReadOptions, readProgram, type TextSource } from '../../src/program/read.ts';

const OPTIONS: ReadOptions = { arcToleranceMm: 0.002, dwellUnit: 's' };

export const read = (source: TextSource, options: Partial<ReadOptions> = {}): Program =>
  readProgram(source, { ...OPTIONS, ...options });

/** Reads lines given one by one. */
export const readLines = (...lines: string[]): Program => read(lines.join('\n'));

/** The places moves end at, rounded to what a test wants to see. */
export const ends = (program: Program, decimals = 4): number[][] =>
  Array.from({ length: program.moves.count }, (_, k) =>
    [program.moves.xMm[k]!, program.moves.yMm[k]!, program.moves.zMm[k]!].map((length) =>
      round(length, decimals),
    ),
  );

/** Where the last move ends. */
export const lastEnd = (program: Program): number[] => ends(program).at(-1)!;

/** Total length of the moves from `first` to `last` (both inclusive), mm. */
export function length(program: Program, first = 0, last = program.moves.count - 1): number {
  const { xMm, yMm, zMm } = program.moves;
  let sum = 0;
  for (let k = first; k <= last; k++) {
    const [x, y, z] = k > 0 ? [xMm[k - 1]!, yMm[k - 1]!, zMm[k - 1]!] : [0, 0, 0];
    sum += Math.hypot(xMm[k]! - x, yMm[k]! - y, zMm[k]! - z);
  }
  return sum;
}

/** First and last move that come from a source line. */
export function movesOfLine(program: Program, line: number): [number, number] {
  const lines = Array.from(program.moves.line);
  return [lines.indexOf(line), lines.lastIndexOf(line)];
}

export const leftOut = (program: Program, word: string): NotSimulated | undefined =>
  program.notSimulated.find((entry) => entry.word === word);

export const understoodText = (program: Program): string =>
  program.understood.map(({ line, text }) => `${line}: ${text}`).join('\n');

export const oddityText = (program: Program): string =>
  program.oddities
    .map(
      ({ line, count, found, readAs, instead }) =>
        `${line}${count > 1 ? ` ×${count}` : ''}: ${found}: ${readAs}; write ${instead}`,
    )
    .join('\n');

/** The error a text is refused with; fails when it is read, or when something else is thrown. */
export function refusal(source: TextSource, options: Partial<ReadOptions> = {}): InputError {
  try {
    read(source, options);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error(`read without complaint: ${String(source).slice(0, 200)}`);
}

const round = (value: number, decimals: number): number => {
  const scaled = Math.round(value * 10 ** decimals) / 10 ** decimals;
  return scaled + 0;
};
