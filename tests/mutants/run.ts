import { fileURLToPath } from 'node:url';
import { createVitest, type Vitest } from 'vitest/node';
import { MUTANTS, type Mutant, staleOf } from './list.ts';

/**
 * `npm run mutants [-- WORD …]`: breaks one line of the source at a time and runs the tests that should notice. Prints
 * the mutants that survive, and how many did in each room. Words pick those whose file or line holds one of them.
 *
 * No file is touched: a plugin reads the line wrongly where the tests load it. One run of the test runner serves all
 * mutants, so that each costs little more than its tests.
 */
const root = fileURLToPath(new URL('../..', import.meta.url));
/** Tests that take longer say nothing: such a mutant loops for ever, and does not belong in the list. */
const LONGEST_MS = 900_000;

const words = process.argv.slice(2);
const chosen = MUTANTS.filter(
  ({ file, from }) => words.length === 0 || words.some((word) => `${file} ${from}`.includes(word)),
);
refuseStale(chosen);

/** The mutant that is being tried; null: all lines as they are. */
let wrong: Mutant | null = null;
const vitest = await createVitest(
  'test',
  // On a busy machine all takes its time: a test that is late has not noticed anything.
  {
    root,
    watch: false,
    bail: 1,
    reporters: [{}],
    globalSetup: [],
    testTimeout: LONGEST_MS,
    hookTimeout: LONGEST_MS,
  },
  {
    plugins: [
      {
        name: 'one-wrong-line',
        enforce: 'pre',
        transform: (code: string, id: string) =>
          wrong && id === `${root}${wrong.file}` ? code.replace(wrong.from, () => wrong!.to) : null,
      },
    ],
  },
);
try {
  await refuseFailing(vitest, chosen);
  report(chosen, await survivorsOf(vitest, chosen));
} finally {
  await vitest.close();
}

async function survivorsOf(runner: Vitest, mutants: readonly Mutant[]): Promise<Mutant[]> {
  const survived: Mutant[] = [];
  for (const mutant of mutants) {
    wrong = mutant;
    runner.invalidateFile(`${root}${mutant.file}`);
    const failing = await failingOf(runner, mutant.tests);
    runner.invalidateFile(`${root}${mutant.file}`);
    wrong = null;
    if (failing === null) survived.push(mutant);
    console.log(`${failing === null ? 'SURVIVED' : 'caught  '} ${lineOf(mutant)}`);
  }
  return survived;
}

/** The first test file that fails, from the project's root; null when all pass. */
async function failingOf(runner: Vitest, tests: readonly string[]): Promise<string | null> {
  // What failed before must not count as failing now.
  runner.state.filesMap.clear();
  runner.state.idMap.clear();
  const asked = tests.map((test) => `${root}${test}`);
  const files = (await runner.globTestSpecifications([...tests])).filter(({ moduleId }) =>
    asked.includes(moduleId),
  );
  if (files.length !== tests.length) throw new Error(`not all there: ${tests.join(', ')}`);
  const late = setTimeout(() => {
    throw new Error(
      `no end within ${LONGEST_MS / 60_000} minutes: ${wrong ? lineOf(wrong) : tests.join(', ')}`,
    );
  }, LONGEST_MS);
  const { testModules } = await runner.runTestSpecifications(files);
  clearTimeout(late);
  return testModules.find((module) => !module.ok())?.moduleId.slice(root.length) ?? null;
}

/** A test that fails as things are would catch every mutant. */
async function refuseFailing(runner: Vitest, mutants: readonly Mutant[]): Promise<void> {
  const failing = await failingOf(runner, Array.from(new Set(mutants.flatMap(({ tests }) => tests))));
  if (failing !== null) throw new Error(`${failing} fails with all lines as they are`);
}

function refuseStale(mutants: readonly Mutant[]): void {
  const stale = staleOf(mutants, root);
  if (stale.length > 0) throw new Error(`not found exactly once:\n${stale.map(lineOf).join('\n')}`);
}

function report(all: readonly Mutant[], survived: readonly Mutant[]): void {
  const roomOf = ({ file }: Mutant) => file.split('/')[1]!;
  const inRoom = (room: string, mutants: readonly Mutant[]) =>
    mutants.filter((mutant) => roomOf(mutant) === room).length;
  for (const room of new Set(all.map(roomOf)))
    console.log(`${room}: ${inRoom(room, survived)} of ${inRoom(room, all)} survive`);
  console.log(`${survived.length} of ${all.length} survive`);
  for (const mutant of survived) console.log(`  ${lineOf(mutant)}`);
  process.exitCode = survived.length > all.length / 10 ? 1 : 0;
}

function lineOf({ file, from, to }: Mutant): string {
  return `${file}: ${from.trim()}  →  ${to.trim()}`;
}
