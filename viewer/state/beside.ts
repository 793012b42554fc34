import { batch, computed, effect, signal } from '@preact/signals';
import { Forecaster } from '../worker/client.ts';
import type { Scene, Setup } from '../worker/messages.ts';
import { durationS, seek, tS } from './clock.ts';
import { type DifferenceMap, differenceMap } from './difference.ts';
import { changes, loaded, lookAt, place, refuseJob, scene, setup, status, TEXELS, title } from './store.ts';

/**
 * The burn to compare with: the job as written against what is on the bench, or a second job. Forecast only
 * while Compare is open.
 */

/** A second job laid beside the first. */
interface Second {
  readonly setup: Setup;
  readonly title: string;
  /**
   * It is burned on whatever machine and in whatever wood the bench has, for it came with the same; else it keeps
   * its own.
   */
  readonly follows: boolean;
  /** The same of the board; it follows as well where it came with none. */
  readonly followsBoard: boolean;
}

/** The second job; null: the bench's own job as written takes its place. */
export const second = signal<Second | null>(null);
/** A second job on its way: it is laid beside the first once it has been forecast. */
export const coming = signal<Second | null>(null);
export const besideScene = signal<Scene | null>(null);
export const besideWorking = signal(false);
/** Where the divider stands, as a share of the board's width. */
export const divider = signal(0.5);
export const comparing = signal<'divider' | 'difference'>('divider');

/** Its workers are loaded once there is something to compare. */
let forecaster: Forecaster | null = null;
/** What the scene beside is a forecast of. */
let made: Setup | null = null;
const isOf = (wish: Setup, of: Setup | null): boolean =>
  of !== null && wish.job === of.job && isSame({ ...wish, job: null }, { ...of, job: null });

/** What stands left of the divider (A) and right of it (B). */
export const names = computed<readonly [string, string]>(() =>
  second.value ? [title.value, second.value.title] : ['as written', 'as changed'],
);

/** What is forecast for the comparison; null when there is nothing to compare yet. */
export const besideWish = computed<Setup | null>(() => {
  const first = setup.value;
  if (place.value !== 'compare' || !first) return null;
  const other = coming.value ?? second.value;
  if (other) {
    const { stock } = other.followsBoard ? first : other.setup;
    const { machine, material } = other.follows ? first : other.setup;
    return { ...other.setup, machine, material, stock };
  }
  // What is compared are the job's settings: both burn on the machine, in the wood and on the board of the bench.
  return changes.value.size > 0 ? { ...first, changes: [] } : null;
});

/** There are two burns to compare, or will be soon. */
export const isTwo = computed(() => second.value !== null || changes.value.size > 0);

effect(() => {
  const wish = besideWish.value;
  const next = coming.value;
  if (!wish || (isOf(wish, made) && besideScene.peek() && !next)) {
    forecaster?.cancel();
    besideWorking.value = false;
    return;
  }
  besideWorking.value = true;
  if (!next && made?.job !== wish.job) besideScene.value = null;
  forecaster ??= new Forecaster();
  forecaster.ask(
    { setup: wish, texels: TEXELS / 2, live: false, closeUps: false },
    {
      done: (scene) =>
        batch(() => {
          made = wish;
          besideScene.value = scene;
          besideWorking.value = false;
          if (!next) return;
          second.value = next;
          coming.value = null;
        }),
      refused: (refusal) =>
        batch(() => {
          besideWorking.value = false;
          if (next) {
            coming.value = null;
            refuseJob(refusal, next.setup, (given) => layBeside(given, next.title));
          } else status.value = { kind: 'refused', ...refusal };
        }),
    },
  );
});

/** Lays a second job beside the first, once it has been forecast, and opens Compare. */
export function layBeside(next: Setup, name: string): void {
  const isAsFirst = (of: (setup: Setup) => unknown) =>
    [setup.peek(), loaded.peek()].some((first) => first !== null && isSame(of(first), of(next)));
  const follows = isAsFirst(benchOf);
  const followsBoard = next.stock === null || isAsFirst(({ stock }) => stock);
  batch(() => {
    coming.value = { setup: next, title: name, follows, followsBoard };
    place.value = 'compare';
  });
}

export function dropSecond(): void {
  batch(() => {
    made = null;
    besideScene.value = null;
    second.value = null;
    coming.value = null;
  });
}

const benchOf = ({ machine, material }: Setup) => [machine, material];
const isSame = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

/** The two burns by their letters: as written is A, what is on the bench B; a second job is B. */
export const pair = computed<readonly [Scene, Scene] | null>(() => {
  const here = scene.value;
  const other = besideScene.value;
  if (!here || !other || besideWish.value === null || !isTwo.value) return null;
  return second.value ? [here, other] : [other, here];
});

// Two burns that come on the board are seen whole, with the divider between them.
let seen: unknown = null;
effect(() => {
  const shown = pair.value ? (second.value ?? 'as written') : null;
  if (shown !== null && shown !== seen) lookAt.value = { atMm: null, acrossMm: 0 };
  seen = shown;
});

/** The map of their difference, worked out when it is looked at. */
export const difference = computed<DifferenceMap | null>(() =>
  pair.value ? differenceMap(pair.value[0], pair.value[1]) : null,
);

// The clock runs to the end of the longer one.
effect(() => {
  const here = scene.value?.forecast.motion.durationS ?? 0;
  const other = pair.value ? besideScene.value!.forecast.motion.durationS : 0;
  const wasAtEnd = tS.peek() >= durationS.peek() - 1e-6;
  durationS.value = Math.max(here, other);
  if (wasAtEnd || tS.peek() > durationS.value) seek(durationS.value);
});
