import { effect, signal } from '@preact/signals';
import { showItHappen } from '../stage/visit.ts';
import { durationS, play } from '../state/clock.ts';
import { isDemo } from '../state/shelf.ts';
import { loaded, place, scene, settled, title, view } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { SEVERITY_MARKS } from '../words/severity-marks.ts';

/** Somebody is here for the first time, with the demo on the bench. */
export const welcome = signal(false);

/** The demo burns once by itself, in about so many seconds. */
const BURN_IN_S = 7;

/**
 * Welcomes whoever comes for the first time; the demo burns once, where motion is not unwanted. The first job of one's own
 * ends it: what is said of a demo is not to stand over that.
 */
export function beginWelcome(): void {
  welcome.value = true;
  const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
  const stop = effect(() => {
    if (!settled.value) return;
    if (!still && welcome.peek()) play(Infinity, durationS.peek() / BURN_IN_S);
    queueMicrotask(() => stop());
  });
  const stopAtOwn = effect(() => {
    if (loaded.value === null || isDemo(title.value)) return;
    welcome.value = false;
    queueMicrotask(() => stopAtOwn());
  });
}

/** The beginning of a finding, without its numbers: *Rows burn dark where they end*. */
const beginningOf = (message: string): string => `${message.split(/, so | \(|; /)[0]!.replace(/\.$/, '')}.`;

/** What this is, the first thing that stands out, and what can be done: what one wants to know in ten seconds. */
export function Welcome() {
  if (!welcome.value || place.value !== 'bench' || view.value !== 'burn') return null;
  const first = scene.value?.forecast.findings[0];
  return (
    <aside class="welcome" aria-label="What this is">
      <p class="what">Charcast shows what a laser job will do to the wood, before you burn it.</p>
      {first ? (
        <p>
          <b class="severity">
            <span aria-hidden="true">{SEVERITY_MARKS[first.severity]} </span>First of all:
          </b>{' '}
          <Kept>{beginningOf(first.message)}</Kept>{' '}
          {first.atMm ? (
            <button type="button" class="link" onClick={() => showItHappen(first)}>
              watch it happen
            </button>
          ) : null}
        </p>
      ) : null}
      <p class="quiet">
        This is a demo. Numbers with dots beneath can be dragged: try one, and see the wood follow. Then open
        a job of your own; it stays on this computer.{' '}
        <button
          type="button"
          class="link"
          onClick={() => {
            welcome.value = false;
          }}
        >
          close
        </button>
      </p>
    </aside>
  );
}
