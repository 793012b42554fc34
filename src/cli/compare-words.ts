import type { Comparison } from '../compare/compare.ts';
import { greatestOf } from '../lists.ts';
import { wrap } from './summary.ts';

/** The comparison as a table for the terminal, and the findings that came and went. */
export function comparedLines(
  { rows, gone, come, cuts, tones, unsure }: Comparison,
  nameA: string,
  nameB: string,
): string[] {
  // Sentences speak of A and B.
  const shown = [{ name: '', a: `A: ${nameA}`, b: `B: ${nameB}` }, ...rows];
  const width = (of: (row: (typeof shown)[number]) => string) =>
    Math.min(40, greatestOf(shown.map((row) => of(row).length)));
  const [wide, wideA] = [width((row) => row.name), width((row) => row.a)];
  const list = (words: string, names: readonly string[]) =>
    names.length === 0 ? [] : ['', ...wrap(`${words}: ${names.join('; ')}.`, '', '  ')];
  return [
    ...shown.map(({ name, a, b }) => `${name.padEnd(wide)}  ${a.padEnd(wideA)}  ${b}`.trimEnd()),
    ...list('Findings that B no longer has', gone),
    ...list('Findings that only B has', come),
    ...[...cuts, ...tones, ...unsure].flatMap((sentence) => ['', ...wrap(sentence, '', '  ')]),
  ];
}
