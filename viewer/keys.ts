import { keysShown } from './help/shown.ts';
import { liftNext, turnOver } from './stage/lifting.ts';
import { VIEWS } from './stage/ViewWords.tsx';
import { durationS, PACES, pace, pause, seek, togglePlay, tS } from './state/clock.ts';
import { redo, undo } from './state/steps.ts';
import { flat, lookAt, place, showTravel, view } from './state/store.ts';

/** A key is left alone where it writes or chooses. */
const writes = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && /^(INPUT|SELECT|TEXTAREA)$/.test(target.tagName);

/**
 * Keys for the whole page: space plays; arrows step through time (Shift: further; Alt: finer), Home and End;
 * 1 to 8 choose the view, F lies flat, 0 shows the whole board, T the travel; L lifts a part out that has come free, O
 * turns it over; brackets change the pace.
 * Ctrl or Cmd with Z undoes, with Shift and Z (or Y) redoes; ? shows them all.
 */
export function handleKey(event: KeyboardEvent): void {
  if (event.defaultPrevented || keysShown.value) return;
  if (event.key === '?' && !writes(event.target)) {
    keysShown.value = true;
    event.preventDefault();
    return;
  }
  if (place.value === 'learn') return;
  if (event.ctrlKey || event.metaKey) {
    goInSteps(event);
    return;
  }
  if (writes(event.target)) return;
  const isButton =
    event.target instanceof HTMLButtonElement ||
    (event.target instanceof HTMLElement && event.target.tagName === 'SUMMARY');
  const step = Math.max(0.01, durationS.value / 400) * (event.shiftKey ? 10 : event.altKey ? 0.05 : 1);
  const at = PACES.indexOf(pace.value as (typeof PACES)[number]);
  const chosen = VIEWS[Number(event.key) - 1];
  if (event.key === ' ' && !isButton) togglePlay();
  else if (event.key === 'ArrowRight') go(tS.value + step);
  else if (event.key === 'ArrowLeft') go(tS.value - step);
  else if (event.key === 'Home') go(0);
  else if (event.key === 'End') go(durationS.value);
  else if (event.key === '[') pace.value = PACES[Math.max(0, at - 1)]!;
  else if (event.key === ']') pace.value = PACES[Math.min(PACES.length - 1, at + 1)]!;
  else if (event.key === 'f' || event.key === 'F') flat.value = !flat.value;
  else if (event.key === 't' || event.key === 'T') showTravel.value = !showTravel.value;
  else if (event.key === 'l' || event.key === 'L') liftNext();
  else if (event.key === 'o' || event.key === 'O') turnOver();
  else if (event.key === '0') lookAt.value = { atMm: null, acrossMm: 0 };
  else if (chosen) view.value = chosen[0];
  else return;
  event.preventDefault();
}

/** Undo and redo; while something is being typed these keys are the field's own. */
function goInSteps(event: KeyboardEvent): void {
  if (event.altKey || (event.target instanceof HTMLElement && event.target.dataset.typing === 'true')) return;
  const key = event.key.toLowerCase();
  if (key === 'z') (event.shiftKey ? redo : undo)();
  else if (key === 'y' && !event.shiftKey) redo();
  else return;
  event.preventDefault();
}

function go(t: number): void {
  pause();
  seek(t);
}
