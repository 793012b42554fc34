import { batch, computed, effect, signal } from '@preact/signals';
import type { Settings } from '../../src/change/change.ts';
import { type Moments, momentsOf } from '../time/moments.ts';
import { Forecaster } from '../worker/client.ts';
import type { Scene, Setup } from '../worker/messages.ts';
import { type Changes, changeList, withSettings } from './changes.ts';
import { durationS, seek, tS } from './clock.ts';
import { type DifferenceMap, differenceMap } from './difference.ts';
import { isSame } from './same.ts';
import { changes, loaded, lookAt, place, refuseJob, scene, setup, status, TEXELS, title } from './store.ts';

/**
 * The burn to compare with: the job as written against what is on the bench, or a second job. Forecast only
 * while Compare is open.
 */

/** A second job laid beside the first. */
export interface Second {
  readonly setup: Setup;
  readonly title: string;
  /**
   * It is burned on whatever machine and in whatever wood the bench has, for it came with the same; else it keeps
   * its own.
   */
  readonly follows: boolean;
  /** The same of the board; it follows as well where it came with none. */
  readonly followsBoard: boolean;
  /** How it came to lie there, where that needs saying. */
  readonly note?: string;
}

/** The second job; null: the bench's own job as written takes its place. */
export const second = signal<Second | null>(null);
/** What has been changed in the second job; the bench's own changes are the first one's. */
export const secondChanges = signal<Changes>(new Map());
/** A second job on its way: it is laid beside the first once it has been forecast. */
export const coming = signal<Second | null>(null);
export const besideScene = signal<Scene | null>(null);
export const besideWorking = signal(false);
/** Where the divider stands, as a share of the board's width. */
export const divider = signal(0.5);
export const comparing = signal<'divider' | 'difference'>('divider');

/** Its workers are loaded once there is something to compare. */
let forecaster: Forecaster | null = null;
/** A step on the way to what is wished for is ended if it takes longer; else its worker goes on, with all it keeps, ms. */
const PATIENCE_MS = 400;
/** The bench's last word on its job as it was written, and of what it is. */
let written: { readonly of: Setup; readonly scene: Scene } | null = null;
/** A larger one is too large to be kept for whoever may never compare, cells. */
const MOST_KEPT_CELLS = TEXELS / 8;

effect(() => {
  const job = setup.peek()?.job;
  const here = scene.value;
  if (!job || !here?.isFine || here.setup.changes.length > 0) return;
  // What is asked for beside does not have the last of these.
  const { bedIsAssumed: _, ...of } = here.setup;
  const { nx, ny } = here.forecast.dose.grid;
  written = nx * ny <= MOST_KEPT_CELLS ? { of: { ...of, job }, scene: here } : null;
});

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
    const changed = other === coming.value ? [] : changeList(secondChanges.value);
    // What counts for a person counts for both; the size is one job's own.
    const asked = first.asked && { ...first.asked, expectMm: other.setup.asked?.expectMm ?? null };
    return { ...other.setup, machine, material, stock, changes: changed, ...(asked ? { asked } : {}) };
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
  if (!next && written && isOf(wish, written.of)) {
    forecaster?.cancel();
    made = wish;
    besideScene.value = written.scene;
    besideWorking.value = false;
    return;
  }
  besideWorking.value = true;
  if (!next && made?.job !== wish.job) besideScene.value = null;
  forecaster ??= new Forecaster(PATIENCE_MS);
  const isNewest = () => wish === besideWish.peek();
  forecaster.ask(
    { setup: wish, texels: TEXELS / 2, live: false },
    {
      done: (scene) =>
        batch(() => {
          if (!isNewest()) return;
          made = wish;
          besideScene.value = scene;
          besideWorking.value = false;
          if (!next) return;
          second.value = next;
          secondChanges.value = new Map();
          coming.value = null;
        }),
      refused: (refusal) =>
        batch(() => {
          if (!isNewest()) return;
          besideWorking.value = false;
          if (next) {
            coming.value = null;
            refuseJob(refusal, next.setup, (given) => layBeside(given, next.title, next.note));
          } else status.value = { kind: 'refused', ...refusal };
        }),
    },
  );
});

/** Lays a second job beside the first, once it has been forecast, and opens Compare. */
export function layBeside(next: Setup, name: string, note?: string): void {
  const isAsFirst = (of: (setup: Setup) => unknown) =>
    [setup.peek(), loaded.peek()].some((first) => first !== null && isSame(of(first), of(next)));
  const follows = isAsFirst(benchOf);
  const followsBoard = next.stock === null || isAsFirst(({ stock }) => stock);
  batch(() => {
    coming.value = {
      setup: next,
      title: name,
      follows,
      followsBoard,
      ...(note === undefined ? {} : { note }),
    };
    place.value = 'compare';
  });
}

/** Lays the bench's job beside itself, as it was written, to be changed apart. */
export function layItselfBeside(): void {
  const first = loaded.peek();
  const now = setup.peek();
  if (first && now) layBeside({ ...now, job: { ...first.job }, changes: [] }, `${title.peek()} again`);
}

/** Changes a setting of the second job; what equals the job's own counts as no change. */
export function changeSecond(n: number, with_: Settings): void {
  const own = besideScene.peek()?.own.find((operation) => operation.n === n);
  const wish = besideWish.peek();
  if (!own || !wish || !second.peek()) return;
  secondChanges.value = withSettings(secondChanges.peek(), own, with_, wish.machine.laser.s_max);
}

export function putBackSecond(n: number): void {
  const next = new Map(secondChanges.peek());
  next.delete(n);
  secondChanges.value = next;
}

/** What the second job was given of the first one's bench because it came without; empty: nothing. */
export const givenToSecond = computed<string | null>(() => {
  const of = second.value;
  if (!of || of.setup.stock !== null || !setup.value?.stock) return null;
  return 'B came without a board and was given A’s.';
});

export function dropSecond(): void {
  batch(() => {
    secondChanges.value = new Map();
    made = null;
    besideScene.value = null;
    second.value = null;
    coming.value = null;
  });
}

const benchOf = ({ machine, material }: Setup) => [machine, material];

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

/** Their moments, for a head on each. */
export const pairMoments = computed<readonly [Moments, Moments] | null>(() => {
  if (!pair.value) return null;
  const [a, b] = pair.value.map(({ forecast: { motion, machine } }) => momentsOf(motion, machine)) as [
    Moments,
    Moments,
  ];
  return [a, b];
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
