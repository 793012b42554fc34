import { durationS, PACES, pace, playing, togglePlay, tS } from '../state/clock.ts';
import { timeOnClock } from '../words/clock-words.ts';

/** Play and pause, how fast, and what the clock says. */
export function Transport() {
  return (
    <div class="transport">
      <button
        type="button"
        class="play"
        aria-pressed={playing.value}
        aria-keyshortcuts="Space"
        disabled={durationS.value === 0}
        onClick={togglePlay}
      >
        {playing.value ? 'Pause' : 'Play'}
      </button>
      <span class="choice">
        <span aria-hidden="true">{pace.value}×</span>
        <select
          aria-label="Pace"
          value={String(pace.value)}
          onChange={(event) => {
            pace.value = Number(event.currentTarget.value);
          }}
        >
          {PACES.map((each) => (
            <option key={each} value={String(each)}>
              {each}×
            </option>
          ))}
        </select>
      </span>
      <p class="clock">
        <b>{timeOnClock(tS.value, durationS.value)}</b>
        <span class="quiet"> of {timeOnClock(durationS.value, durationS.value)}</span>
      </p>
    </div>
  );
}
