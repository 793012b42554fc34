import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import type { TestSpecification } from 'vitest/node';
import LongFirst, { LONG } from './long-first.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const files = (names: readonly string[]) =>
  names.map((name) => ({ moduleId: join(root, name), project: { config: { root } } })) as TestSpecification[];

test('long files come first, then the larger ones', () => {
  const [large, small] = ['tests/support/long-first.ts', 'tests/support/same-cases.ts'];
  const sorted = new LongFirst().sort(files([small, large, LONG[1]!, LONG[0]!]));
  expect(sorted).toEqual(files([LONG[1]!, LONG[0]!, large, small]));
});

test('all that are called long are there', () => {
  expect(LONG.filter((name) => !existsSync(join(root, name)))).toEqual([]);
});
