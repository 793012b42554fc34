import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseAst } from 'vite';
import { expect, test } from 'vitest';
import { addAll, greatestOf, leastOf } from '../../src/lists.ts';

/**
 * No list is spread into a call that takes any number of arguments: arguments lie on the call stack, which overflows
 * near a hundred thousand of them. Into a call that takes so many and no more the compiler lets only a tuple be spread.
 */

const root = fileURLToPath(new URL('../..', import.meta.url));
const TAKES_ANY_NUMBER =
  /(^Math\.(min|max|hypot)|\.(push|unshift|splice|concat|apply)|fromCharCode|fromCodePoint)$/;
/** What may be spread there, since it is short by its nature. */
const SHORT = [
  /\b(width_mm|(max_speed|acceleration)_mm_s2?)$/, // the two widths of a spot, the three axes of a machine
  /^wrap\(/, // the lines of one sentence
  /\.subarray\(at, at \+ 0x8000\)$/, // a piece of so many bytes
  /\.slice\(0, \d\)$/,
];

interface Node {
  readonly type?: string;
  readonly start?: number;
  readonly end?: number;
  readonly [key: string]: unknown;
}

/** Spreads of what may be long into such calls, as `callee ...operand`. */
function spreadsOf(name: string, text: string): string[] {
  const found: string[] = [];
  const words = (node: Node) => text.slice(node.start, node.end).replace(/\s+/g, ' ');
  const look = (node: unknown): void => {
    if (Array.isArray(node)) {
      for (const each of node) look(each);
      return;
    }
    if (node === null || typeof node !== 'object') return;
    const { type, callee, ...rest } = node as Node;
    if (type === 'CallExpression' && TAKES_ANY_NUMBER.test(words(callee as Node))) {
      for (const argument of rest.arguments as Node[]) {
        if (argument.type !== 'SpreadElement') continue;
        const operand = words(argument.argument as Node);
        if (!SHORT.some((short) => short.test(operand))) found.push(`${words(callee as Node)} ...${operand}`);
      }
    }
    for (const each of Object.values(node)) look(each);
  };
  look(parseAst(text, { lang: name.endsWith('x') ? 'tsx' : 'ts' }));
  return found;
}

test('a spread of a list is seen where it stands', () => {
  expect(spreadsOf('a.ts', 'const m: number = Math.max(0, ...list.map((x) => x + 1));')).toEqual([
    'Math.max ...list.map((x) => x + 1)',
  ]);
  expect(spreadsOf('a.ts', 'lines.push(...wrap(text)); f(...pair); const all = [...list];')).toEqual([]);
  expect(spreadsOf('a.tsx', 'const F = () => <p>{together(...rings)}</p>; list.push(...more);')).toEqual([
    'list.push ...more',
  ]);
});

// The demo's drawings are its own and short; nothing of them comes from outside.
const files = ['src', 'viewer'].flatMap((room) =>
  readdirSync(`${root}/${room}`, { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name) && !name.endsWith('.d.ts'))
    .map((name) => `${room}/${name}`)
    .filter((name) => !name.startsWith('src/demo/')),
);

test('no list of any length is spread into a call', () => {
  expect(files.length).toBeGreaterThan(300);
  const found = files.flatMap((name) =>
    spreadsOf(name, readFileSync(`${root}/${name}`, 'utf8')).map((spread) => `${name}: ${spread}`),
  );
  expect(found).toEqual([]);
});

test('lists of a million', () => {
  const million = Float64Array.from({ length: 1_000_000 }, (_, k) => (k * 7919) % 1_000_003);
  expect(leastOf(million)).toBe(0);
  expect(greatestOf(million)).toBe(million.reduce((most, each) => Math.max(most, each), 0));
  const list = [1];
  addAll(list, million);
  expect(list).toHaveLength(1_000_001);
  expect([leastOf([]), greatestOf([])]).toEqual([Infinity, -Infinity]);
});
