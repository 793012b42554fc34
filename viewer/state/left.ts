import { batch, computed, effect, signal } from '@preact/signals';
import { checkSettings, type Settings } from '../../src/change/change.ts';
import type { Setup } from '../worker/messages.ts';
import { type Second, second, secondChanges } from './beside.ts';
import { isBoardBehind, keepBoardFrom, recallBoard } from './board-photo.ts';
import { keepDosed, recallDosed } from './dosed.ts';
import { fromDrawer, intoDrawer } from './drawer.ts';
import { hashOfText } from './hash.ts';
import { keepLeftOut, recallLeftOut } from './leave-out.ts';
import { readSetup } from './read-setup.ts';
import { about, assumed, changes, layInSteps, load, loaded, operations, setup, title } from './store.ts';
import { arePhotosBehind } from './swatch.ts';

/**
 * What lies on the bench is there again at the next visit: the job with its changes, machine, wood and board. A page
 * that came with a job of its own has its own place for that.
 */
interface Left {
  readonly atMs: number;
  readonly title: string;
  readonly about: string;
  readonly notes: readonly string[];
  /** As first loaded, and as it is now; the job's text lies apart. */
  readonly loaded: Setup;
  readonly setup: Setup;
  readonly changes: readonly (readonly [number, Settings])[];
}

/** The second job beside it, kept apart; null: there is none. */
interface LeftBeside {
  readonly atMs: number;
  readonly second: (Second & { readonly changes: Left['changes'] }) | null;
}
const besideOf = (name: string): string => `${name} beside`;

/** Why this browser keeps nothing from visit to visit; null: it does, as far as is known. */
export const notKept = signal<string | null>(null);

/** Small steps one after another are kept as one. */
const REST_MS = 150;
let place = '';
/** The job whose text lies there already. */
let textOf: Setup['job'] | null = null;
let textOfSecond: Setup['job'] | null = null;
let waiting: ReturnType<typeof setTimeout> | undefined;
/** The bench was changed, and has not been kept since. */
const isBehind = signal(false);
/** All that lies on the bench would be there again at the next visit. */
export const isKept = computed(
  () => !isBehind.value && !arePhotosBehind.value && !isBoardBehind.value && notKept.value === null,
);

/** The name under which a page that came with these jobs keeps what lies on its bench. */
export async function placeFor(brought: string): Promise<string> {
  if (brought === '') return 'bench';
  return hashOfText(brought);
}

/** Lays on the bench what was left there the last time; false: nothing was, or nothing that can be read. */
export async function takeUp(name: string): Promise<boolean> {
  let left: Left | null = null;
  let beside: LeftBeside['second'] = null;
  try {
    const { thing, text } = await fromDrawer(name);
    left = readLeft(thing, text);
    const other = await fromDrawer(besideOf(name));
    beside = readBeside(other.thing, other.text);
  } catch (error) {
    tellNotKept(error);
  }
  if (!left) return false;
  await recallBoard(name);
  await recallLeftOut(name, left.loaded.job);
  await recallDosed(name, left.loaded.job);
  const { machine, material } = left.setup;
  const bench = JSON.stringify([machine, material]);
  const holds = (at: Setup) => JSON.stringify([at.machine, at.material]) === bench;
  const notes = ['All is as you left it the last time.', ...left.notes].map((words) => ({ words, holds }));
  layInSteps(() => {
    void load(left.loaded, { name: left.title, about: left.about, notes });
    batch(() => {
      const at = setup.peek()!;
      setup.value = { ...left.setup, job: at.job, changes: [] };
      changes.value = new Map(left.changes);
      if (!beside) return;
      const { changes: changed, ...job } = beside;
      second.value = job;
      secondChanges.value = new Map(changed);
      textOfSecond = job.setup.job;
    });
  });
  return true;
}

function readLeft(value: unknown, text: unknown): Left | null {
  if (typeof value !== 'object' || value === null || typeof text !== 'string') return null;
  try {
    const left = value as Left;
    const checked = (of: Setup) => readSetup(of, text);
    for (const [, settings] of left.changes) checkSettings(settings);
    return { ...left, loaded: checked(left.loaded), setup: checked(left.setup) };
  } catch {
    return null; // kept by another version
  }
}

function readBeside(value: unknown, text: unknown): LeftBeside['second'] {
  if (typeof value !== 'object' || value === null || typeof text !== 'string') return null;
  try {
    const { second: left } = value as LeftBeside;
    if (left === null) return null;
    for (const [, settings] of left.changes) checkSettings(settings);
    return { ...left, title: String(left.title), setup: readSetup(left.setup, text) };
  } catch {
    return null; // kept by another version
  }
}

/** From here on what lies on the bench is kept, a moment after each change of it. */
export function keepFrom(name: string): void {
  place = name;
  keepBoardFrom(name);
  effect(() => {
    const at = setup.value;
    changes.value;
    title.value;
    second.value;
    secondChanges.value;
    // While a job is being laid down, its operations are not known yet.
    if (!at || !loaded.value || operations.value.length === 0) return;
    isBehind.value = true;
    clearTimeout(waiting);
    waiting = setTimeout(() => void keep(), REST_MS);
  });
  addEventListener('pagehide', () => isBehind.peek() && void keep());
}

async function keep(): Promise<void> {
  clearTimeout(waiting);
  const [at, first, changed] = [setup.peek(), loaded.peek(), changes.peek()];
  if (!at || !first) return;
  const left: Left = {
    atMs: Date.now(),
    title: title.peek(),
    about: about.peek(),
    notes: assumed
      .peek()
      .filter(({ holds }) => !holds || holds(at))
      .map(({ words }) => words)
      .filter((words) => !/^All is as you left it/.test(words)),
    loaded: { ...first, job: { ...first.job, text: '' } },
    setup: { ...at, job: { ...first.job, text: '' } },
    changes: [...changed],
  };
  try {
    await intoDrawer(place, left, first.job === textOf ? null : first.job.text);
    textOf = first.job;
    await keepLeftOut(place, first.job);
    await keepDosed(place, first.job);
    const isSecondKept = await keepBeside();
    batch(() => {
      notKept.value = null;
      const isNewest = setup.peek() === at && changes.peek() === changed;
      if (isNewest && isSecondKept) isBehind.value = false;
    });
  } catch (error) {
    tellNotKept(error);
  }
}

/** @returns whether what was kept is still what lies beside. */
async function keepBeside(): Promise<boolean> {
  const [now, by] = [second.peek(), secondChanges.peek()];
  if (now || textOfSecond) {
    const { setup: of } = now ?? {};
    const left: LeftBeside = {
      atMs: Date.now(),
      second: now && of ? { ...now, setup: { ...of, job: { ...of.job, text: '' } }, changes: [...by] } : null,
    };
    const text = of?.job === textOfSecond ? null : (of?.job.text ?? '');
    await intoDrawer(besideOf(place), left, text);
    textOfSecond = of?.job ?? null;
  }
  return second.peek() === now && secondChanges.peek() === by;
}

function tellNotKept(error: unknown): void {
  const why = error instanceof Error ? error.message.replace(/\.$/, '') : String(error);
  notKept.value = `This browser does not keep the bench from visit to visit (${why || 'it did not say why'}): save what you change before you leave.`;
}
