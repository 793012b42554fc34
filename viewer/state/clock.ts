import { computed, effect, signal } from '@preact/signals';
import { recall, remember } from './memory.ts';

/** Where in the job's time the page is, in s, and how it goes on. One clock for everything on screen. */
export const tS = signal(0);
/** The job's length, s; with two jobs on the board the longer one's. */
export const durationS = signal(0);
export const playing = signal(false);
export const PACES = [1, 3, 10, 30, 100, 300, 1000] as const;
/** Seconds of the job per second of the viewer, as last chosen. */
export const pace = signal<number>(PACES.find((each) => each === recall('pace')) ?? 10);
/** The stretch of the job the last frame covered, s: what the head did meanwhile is shown as its mean. */
export const frameS = signal(0);

export const atEnd = computed(() => tS.value >= durationS.value - 1e-9);

effect(() => {
  if (pace.value !== (recall('pace') ?? 10)) remember('pace', pace.value);
});

let stopAtS = Infinity;
let ownPace: number | null = null;
let requested = 0;
let beforeMs = 0;

const clamp = (t: number): number => Math.min(Math.max(0, t), durationS.value);

/** Goes to a moment; a stretch being played ends. */
export function seek(t: number): void {
  frameS.value = 0;
  tS.value = clamp(t);
  if (playing.value) stopAtS = Infinity;
}

/**
 * Plays on from here (from the start, when at the end), or only to `toS`.
 * @param at a pace for this stretch alone.
 */
export function play(toS = Infinity, at: number | null = null): void {
  if (durationS.value === 0) return;
  if (atEnd.value) tS.value = 0;
  stopAtS = toS;
  ownPace = at;
  if (playing.value) return;
  playing.value = true;
  beforeMs = performance.now();
  requested = requestAnimationFrame(step);
}

export function pause(): void {
  playing.value = false;
  frameS.value = 0;
  cancelAnimationFrame(requested);
}

export const togglePlay = (): void => (playing.value ? pause() : play());

function step(nowMs: number): void {
  if (!playing.value) return;
  const elapsedS = Math.min(0.1, Math.max(0, nowMs - beforeMs) / 1000) * (ownPace ?? pace.value);
  beforeMs = nowMs;
  const to = Math.min(clamp(tS.value + elapsedS), stopAtS);
  frameS.value = to - tS.value;
  tS.value = to;
  if (to >= durationS.value || to >= stopAtS) pause();
  else requested = requestAnimationFrame(step);
}
