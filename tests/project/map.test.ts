import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

/** DEVELOPERS.md leads to what it names. */

const root = fileURLToPath(new URL('../..', import.meta.url));
const text = readFileSync(`${root}DEVELOPERS.md`, 'utf8');

/** Files are named from `src/` on, or from the root. */
const found = (path: string): string | undefined =>
  [`${root}src/${path}`, `${root}${path}`].find((file) => existsSync(file));

test('each file that it names is there', () => {
  const named = Array.from(text.matchAll(/`([\w./-]+\/[\w.-]+\.tsx?)`/g), ([, path]) => path!);
  expect(named.length).toBeGreaterThan(30);
  expect(named.filter((path) => !found(path))).toEqual([]);
});

test('where it says what is decided where, the file has that name', () => {
  const rows = Array.from(
    text.matchAll(/^\| [^|]+\| `([\w./-]+\.ts)`: `(\w+)`/gm),
    ([, path, name]) => [path!, name!] as const,
  );
  expect(rows.length).toBeGreaterThanOrEqual(10);
  for (const [path, name] of rows)
    expect(readFileSync(found(path)!, 'utf8'), path).toMatch(
      new RegExp(`^export (const|function) ${name}\\b`, 'm'),
    );
});
