import { VIEWS } from './stage/ViewWords.tsx';
import { durationS, PACES, pace, pause, seek, togglePlay, tS } from './state/clock.ts';
import { flat, lookAt, place, showTravel, view } from './state/store.ts';

/** A key is left alone where it writes or chooses. */
const writes = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && /^(INPUT|SELECT|TEXTAREA)$/.test(target.tagName);

/**
 * Keys for the whole page: space plays; arrows step through time (Shift: further; Alt: finer), Home and End;
 * 1 to 6 choose the view, F lies flat, 0 shows the whole board, T the travel; brackets change the pace.
 */
export function handleKey(event: KeyboardEvent): void {
  if (event.defaultPrevented || event.ctrlKey || event.metaKey || writes(event.target)) return;
  if (place.value === 'learn') return;
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
  else if (event.key === '0') lookAt.value = { atMm: null, acrossMm: 0 };
  else if (chosen) view.value = chosen[0];
  else return;
  event.preventDefault();
}

function go(t: number): void {
  pause();
  seek(t);
}
