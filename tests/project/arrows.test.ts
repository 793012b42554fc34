import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

/**
 * Imports run one way. Each room lists the rooms it may import besides itself and the ground floor; a later one
 * may use all that its own rooms use.
 */
const GROUND = ['units', 'grid', 'polygon', 'errors', 'options', 'schema', 'lists', 'nearby', 'lately'];
const MAY_IMPORT: Record<string, string[]> = {
  program: [],
  machine: [],
  recognise: ['program', 'machine'],
  motion: ['program', 'machine'],
  laser: ['machine'],
  dose: ['motion', 'laser', 'program', 'machine'],
  burn: ['dose', 'laser', 'machine'],
  warmth: ['burn', 'dose', 'motion', 'laser', 'program', 'machine'],
  words: ['program', 'machine'],
  board: ['program', 'machine', 'laser', 'words'],
  focus: ['program', 'machine', 'laser', 'dose', 'board', 'words'],
  sure: ['dose', 'burn', 'warmth', 'machine', 'board', 'words'],
  findings: ['program', 'machine', 'motion', 'laser', 'dose', 'burn', 'warmth', 'sure', 'board', 'words'],
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
    'sure',
    'warmth',
  ],
};
/** What stands above the road may import all of it, and of its own kind what stands before it in this order. */
const ABOVE = [
  'parts',
  'photo',
  'own-board',
  'compare',
  'change',
  'piece',
  'outcome',
  'finish',
  'report',
  'explain',
  'chart',
  'suggest',
  'swatch',
  'dosing',
  'stopwatch',
  'picture',
  'page',
  'demo',
  'index',
  'cli',
];
/** The page's rooms and the files beside them, each of which may import what stands before it. */
const VIEWER = [
  'globals.d',
  'no-eval',
  'packed-gcode',
  'lighter',
  'language',
  'style',
  'words',
  'worker',
  'time',
  'state',
  'Fault',
  'stage',
  'strip',
  'help',
  'keys',
  'console',
  'bench',
  'burned',
  'compare',
  'learn',
  'machine',
  'wood',
  'settings-chart',
  'take-away',
  'lines',
  'welcome',
  'App',
  'main',
  'one-file',
];
/** What nobody builds on: the public entry and the command line. */
const TOPMOST = ['index', 'cli'];

const root = fileURLToPath(new URL('../..', import.meta.url));
const filesOf = (tree: string): string[] =>
  readdirSync(join(root, tree), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name) && name !== 'vite.config.ts')
    .map((name) => `${tree}/${name}`);
const files = [...filesOf('src'), ...filesOf('viewer')];

/** `src/dose/lane.ts` lies in the room `dose` of the tree `src`. */
const treeOf = (path: string): string => path.split('/')[0]!;
const roomOf = (path: string): string => path.split('/')[1]!.replace(/\.(tsx?|json|css|nc\?raw)$/, '');

interface Arrow {
  readonly from: string;
  /** A path from the project's root, or a package's name. */
  readonly to: string;
}

const arrows: Arrow[] = files.flatMap((from) =>
  Array.from(
    readFileSync(join(root, from), 'utf8').matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g),
    ([, target]) => ({ from, to: target!.startsWith('.') ? join(dirname(from), target!) : target! }),
  ),
);
const inside = arrows.filter(({ to }) => /^(src|viewer)\//.test(to));

/** Whether one room may import another. */
function isAllowed({ from, to }: Arrow): boolean {
  const [own, other] = [roomOf(from), roomOf(to)];
  if (treeOf(to) === 'viewer') {
    return treeOf(from) === 'viewer' && (own === other || isBefore(VIEWER, other, own));
  }
  if (treeOf(from) === 'viewer') return !TOPMOST.includes(other);
  if (own === other || GROUND.includes(other)) return true;
  if (own in MAY_IMPORT) return MAY_IMPORT[own]!.includes(other);
  if (GROUND.includes(own)) return false;
  return other in MAY_IMPORT || (!TOPMOST.includes(other) && isBefore(ABOVE, other, own));
}

const isBefore = (order: readonly string[], first: string, second: string): boolean =>
  order.includes(first) && order.indexOf(first) < order.indexOf(second);

test('there are imports to look at', () => {
  expect(files.length).toBeGreaterThan(400);
  expect(inside.length).toBeGreaterThan(1500);
  expect(files.some((name) => name.endsWith('.tsx') && treeOf(name) === 'src')).toBe(true);
});

test('every arrow between rooms is allowed', () => {
  const wrong = inside.filter((arrow) => !isAllowed(arrow)).map(({ from, to }) => `${from} → ${to}`);
  expect(wrong).toEqual([]);
});

test.each([
  ['src/motion/plan.ts', 'src/dose/land.ts'],
  ['src/units.ts', 'src/program/read.ts'],
  ['src/compare/compare.ts', 'src/page/escape.ts'],
  ['src/chart/chart.ts', 'src/cli/files.ts'],
  ['src/cli/main.ts', 'src/index.ts'],
  ['src/forecast.ts', 'viewer/time/moments.ts'],
  ['viewer/worker/road.ts', 'src/cli/viewer/show.ts'],
  ['viewer/stage/stage.ts', 'viewer/bench/Bench.tsx'],
])('an arrow from %s to %s would be wrong', (from, to) => {
  expect(isAllowed({ from, to })).toBe(false);
});

test('every room is known', () => {
  const known = { src: [...GROUND, ...Object.keys(MAY_IMPORT), ...ABOVE], viewer: VIEWER };
  const unknown = files.filter((name) => !known[treeOf(name) as 'src' | 'viewer'].includes(roomOf(name)));
  expect(unknown).toEqual([]);
});

test('no file imports itself by way of others, not even for a type', () => {
  expect(
    cyclesOf([
      { from: 'a', to: 'b' },
      { from: 'b', to: 'c' },
      { from: 'c', to: 'b' },
    ]),
  ).toEqual(['b → c → b']);
  expect(cyclesOf(inside)).toEqual([]);
});

/** Ways that come back to where they began, one for each arrow that closes one. */
function cyclesOf(all: readonly Arrow[]): string[] {
  const targets = new Map<string, string[]>();
  for (const { from, to } of all) targets.set(from, [...(targets.get(from) ?? []), to]);
  const done = new Set<string>();
  const cycles: string[] = [];
  const visit = (file: string, way: readonly string[]): void => {
    const at = way.indexOf(file);
    if (at >= 0) cycles.push([...way.slice(at), file].join(' → '));
    if (at >= 0 || done.has(file)) return;
    for (const next of targets.get(file) ?? []) visit(next, [...way, file]);
    done.add(file);
  };
  for (const file of targets.keys()) visit(file, []);
  return cycles;
}

test('only the command line, and the demo’s writer, know Node', () => {
  const wrong = arrows.filter(({ from, to }) => to.startsWith('node:') && !/^src\/(cli|demo)\//.test(from));
  expect(wrong).toEqual([]);
});
