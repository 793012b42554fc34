import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

/**
 * Imports run one way. Each room lists the rooms it may import besides itself and the ground floor; a later one
 * may use all that its own rooms use.
 */
const GROUND = ['units', 'grid', 'errors', 'options', 'schema', 'lists'];
const MAY_IMPORT: Record<string, string[]> = {
  program: [],
  machine: [],
  recognise: ['machine'],
  motion: ['program', 'machine'],
  laser: ['machine'],
  dose: ['motion', 'laser', 'program', 'machine'],
  burn: ['dose', 'laser', 'machine'],
  warmth: ['burn', 'dose', 'motion', 'laser', 'program', 'machine'],
  words: ['program', 'machine'],
  board: ['program', 'machine', 'words'],
  focus: ['program', 'machine', 'laser', 'dose', 'board', 'words'],
  findings: ['program', 'machine', 'motion', 'laser', 'dose', 'burn', 'board', 'words'],
  forecast: [
    'program',
    'machine',
    'motion',
    'laser',
    'dose',
    'burn',
    'board',
    'words',
    'focus',
    'findings',
    'warmth',
  ],
};
/** What stands above the road may import everything below it; nothing above may import these but `cli`. */
const ABOVE = [
  'compare',
  'change',
  'chart',
  'picture',
  'report',
  'page',
  'swatch',
  'suggest',
  'demo',
  'explain',
  'index',
  'cli',
];

const src = fileURLToPath(new URL('../../src', import.meta.url));
const roomOf = (path: string) =>
  relative(src, path)
    .split('/')[0]!
    .replace(/\.(ts|json|nc\?raw)$/, '');
const files = readdirSync(src, { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.ts'));
const imports = files.flatMap((name) => {
  const text = readFileSync(join(src, name), 'utf8');
  return Array.from(text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g), ([, target]) => ({
    name,
    target: target!,
  }));
});

test('there are imports to look at', () => {
  expect(files.length).toBeGreaterThan(50);
  expect(imports.length).toBeGreaterThan(150);
});

test('every arrow between rooms is allowed', () => {
  const wrong = imports
    .filter(({ target }) => target.startsWith('.'))
    .map(({ name, target }) => ({
      from: roomOf(join(src, name)),
      to: roomOf(join(src, dirname(name), target)),
      name,
    }))
    .filter(({ from, to }) => {
      if (from === to || GROUND.includes(to)) return false;
      if (from in MAY_IMPORT) return !MAY_IMPORT[from]!.includes(to);
      return from === 'cli' ? false : to === 'cli' || to === 'index' || GROUND.includes(from);
    })
    .map(({ from, to, name }) => `${from} → ${to} in ${name}`);
  expect(wrong).toEqual([]);
});

test('every room is known', () => {
  const rooms = new Set(files.map((name) => roomOf(join(src, name))));
  const known = [...GROUND, ...Object.keys(MAY_IMPORT), ...ABOVE];
  expect([...rooms].filter((room) => !known.includes(room))).toEqual([]);
});

test('only the command line, and the demo’s writer, know Node', () => {
  const wrong = imports.filter(
    ({ name, target }) => target.startsWith('node:') && !name.startsWith('cli/') && !name.startsWith('demo/'),
  );
  expect(wrong).toEqual([]);
});
