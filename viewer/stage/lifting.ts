import { computed, signal } from '@preact/signals';
import type { HeldOutline } from '../../src/parts/held.ts';
import { pair } from '../state/beside.ts';
import { atEnd, tS } from '../state/clock.ts';
import { place, scene } from '../state/store.ts';
import { isFreeBy, type TimedPart } from '../worker/pieces.ts';

/** The part that is held above the board, by its number, and whether it shows its back; null: all lie where they fell. */
export const lifted = signal<{ readonly n: number; readonly isTurned: boolean } | null>(null);
/** The outline whose places that still hold are shown; null: none is. */
export const heldShown = signal<HeldOutline | null>(null);

/** The parts that have come free by now, on the bench. */
export const looseNow = computed<readonly TimedPart[]>(() => {
  const at = scene.value;
  if (!at || pair.value || place.value !== 'bench') return [];
  return at.pieces.free.filter((part) => isFreeBy(part, tS.value, at.forecast.motion.durationS));
});

/** The outlines that still hold; none before the end, when nothing is late yet. */
export const heldNow = computed<readonly HeldOutline[]>(() =>
  atEnd.value ? (scene.value?.pieces.held ?? []) : [],
);

/** The part held above the board, where it has come free by now. */
export const liftedPart = computed<TimedPart | null>(() => {
  const now = lifted.value;
  return (now && looseNow.value.find(({ n }) => n === now.n)) ?? null;
});

/** Takes a part out, or puts it back. */
export function lift(n: number | null): void {
  lifted.value = n === null ? null : { n, isTurned: false };
}

/** Takes the next part out; after the last one all lie where they fell. */
export function liftNext(): void {
  const free = looseNow.value;
  const at = free.findIndex(({ n }) => n === liftedPart.value?.n);
  lift(free[at + 1]?.n ?? null);
}

/** Turns the part in the hand over. */
export function turnOver(): void {
  const now = lifted.value;
  if (now && liftedPart.value) lifted.value = { ...now, isTurned: !now.isTurned };
}
