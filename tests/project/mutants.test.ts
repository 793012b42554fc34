import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { MUTANTS, staleOf } from '../mutants/list.ts';

/** The list that `npm run mutants` works through stays with the source: a line that moves on takes its wrong readings along. */
const root = fileURLToPath(new URL('../..', import.meta.url));

test('every line that is read wrongly stands where the list says, once', () => {
  expect(staleOf(MUTANTS, root).map(({ file, from }) => `${file}: ${from}`)).toEqual([]);
});

test('every test that should notice is there', () => {
  const tests = new Set(MUTANTS.flatMap((mutant) => mutant.tests));
  expect([...tests].filter((file) => !existsSync(`${root}${file}`))).toEqual([]);
});
