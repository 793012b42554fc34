import { computed, effect, signal } from '@preact/signals';
import { type DifferenceMap, differenceMap } from '../compare/difference.ts';
import { Forecaster } from '../worker/client.ts';
import type { Scene, Setup } from '../worker/messages.ts';
import { durationS, seek, tS } from './clock.ts';
import { changes, loaded, place, scene, setup, status, TEXELS, title } from './store.ts';

/**
 * The burn to compare with: the job as written against what is on the bench, or a second job. Forecast only
 * while Compare is open.
 */

/** A second job laid beside the first; null: the bench's own job as written. */
export const second = signal<{ readonly setup: Setup; readonly title: string } | null>(null);
export const besideScene = signal<Scene | null>(null);
export const besideWorking = signal(false);
/** Where the divider stands, as a share of the board's width. */
export const divider = signal(0.5);
export const comparing = signal<'divider' | 'difference'>('divider');

const forecaster = new Forecaster();
let key: unknown = null;

/** What stands left of the divider (A) and right of it (B). */
export const names = computed<readonly [string, string]>(() =>
  second.value ? [title.value, second.value.title] : ['as written', 'as changed'],
);

/** What is forecast for the comparison; null when there is nothing to compare yet. */
export const besideWish = computed<Setup | null>(() => {
  const first = setup.value;
  if (place.value !== 'compare' || !first) return null;
  if (second.value)
    return { ...second.value.setup, stock: first.stock ?? scene.value?.forecast.stock ?? null };
  const was = loaded.value!;
  const changed = changes.value.size > 0 || was.machine !== first.machine || was.material !== first.material;
  return changed ? { ...was, stock: first.stock } : null;
});

effect(() => {
  const wish = besideWish.value;
  if (!wish) {
    forecaster.cancel();
    besideWorking.value = false;
    return;
  }
  const next = JSON.stringify({ ...wish, job: wish.job.name });
  if (next === key && besideScene.peek()) return;
  key = next;
  besideWorking.value = true;
  forecaster.ask(
    { setup: wish, texels: TEXELS / 2, live: false, closeUps: false },
    {
      done: (made) => {
        besideScene.value = made;
        besideWorking.value = false;
      },
      refused: (sentence, fault) => {
        besideWorking.value = false;
        status.value = { kind: 'refused', sentence, fault };
      },
    },
  );
});

/** Lays a second job beside the first and opens Compare. */
export function layBeside(next: Setup, name: string): void {
  key = null;
  besideScene.value = null;
  second.value = { setup: next, title: name };
  place.value = 'compare';
}

export function dropSecond(): void {
  key = null;
  besideScene.value = null;
  second.value = null;
}

/** The two burns by their letters: as written is A, what is on the bench B; a second job is B. */
export const pair = computed<readonly [Scene, Scene] | null>(() => {
  const here = scene.value;
  const other = besideScene.value;
  if (!here || !other || besideWish.value === null) return null;
  return second.value ? [here, other] : [other, here];
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
