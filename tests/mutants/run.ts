import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { MUTANTS, type Mutant, testsOf } from './list.ts';

/**
 * `npm run mutants [-- WORD]`: breaks one line of the source at a time and runs its room's tests, which should
 * fail. Prints the mutants that survive, and how many did in each room. WORD picks those whose file or line
 * holds it.
 */
const root = fileURLToPath(new URL('../..', import.meta.url));
const config = fileURLToPath(new URL('./vitest.config.ts', import.meta.url));
const vitest = fileURLToPath(new URL('../../node_modules/vitest/vitest.mjs', import.meta.url));
/** A mutant that loops for ever is found out as well. */
const LONGEST_MS = 240_000;

const word = process.argv[2] ?? '';
const chosen = MUTANTS.map((mutant, index) => ({ mutant, index })).filter(({ mutant }) =>
  `${mutant.file} ${mutant.from}`.includes(word),
);
refuseStale(chosen.map(({ mutant }) => mutant));

const survived: Mutant[] = [];
let next = 0;
await Promise.all(Array.from({ length: Math.max(1, availableParallelism() - 1) }, work));
report();

async function work(): Promise<void> {
  for (let each = chosen[next++]; each; each = chosen[next++]) {
    const caught = await isCaught(each.index, testsOf(each.mutant));
    if (!caught) survived.push(each.mutant);
    console.log(`${caught ? 'caught  ' : 'SURVIVED'} ${lineOf(each.mutant)}`);
  }
}

/** Whether some test of the room fails with the line broken. */
function isCaught(index: number, tests: readonly string[]): Promise<boolean> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [vitest, 'run', '--config', config, '--bail', '1', ...tests], {
      cwd: root,
      env: { ...process.env, MUTANT: String(index) },
      stdio: 'ignore',
      timeout: LONGEST_MS,
    });
    child.once('error', reject);
    child.once('exit', (status) => resolve(status !== 0));
  });
}

/** A listed line that is not in its file, or twice, would say nothing: the list is out of date. */
function refuseStale(mutants: readonly Mutant[]): void {
  const stale = mutants.filter(
    ({ file, from }) => readFileSync(`${root}${file}`, 'utf8').split(from).length !== 2,
  );
  if (stale.length > 0) {
    throw new Error(`not found exactly once:\n${stale.map(lineOf).join('\n')}`);
  }
}

function report(): void {
  const inRoom = (room: string, mutants: readonly Mutant[]) =>
    mutants.filter(({ file }) => file.split('/')[1] === room).length;
  const all = chosen.map(({ mutant }) => mutant);
  for (const room of new Set(all.map(({ file }) => file.split('/')[1]!)))
    console.log(`${room}: ${inRoom(room, survived)} of ${inRoom(room, all)} survive`);
  console.log(`${survived.length} of ${chosen.length} survive`);
  for (const mutant of survived) console.log(`  ${lineOf(mutant)}`);
  process.exitCode = survived.length > chosen.length / 10 ? 1 : 0;
}

function lineOf({ file, from, to }: Mutant): string {
  return `${file}: ${from.trim()}  →  ${to.trim()}`;
}
