import { comparing } from '../state/beside.ts';
import { flat, lookAt, showTravel, type View, view } from '../state/store.ts';
import { Legend } from './Legend.tsx';

export const VIEWS: readonly (readonly [View, string])[] = [
  ['burn', 'as burned'],
  ['dose', 'dose'],
  ['speed', 'speed'],
  ['power', 'power'],
  ['depth', 'depth'],
  ['arrival', 'time'],
  ['sure', 'how sure'],
  ['warmth', 'warmth'],
];

/** What the wood shows, as a line of words, under the scale of its colours: the stage keeps clear of both. */
export function ViewWords() {
  return (
    <div class="view-words">
      <Legend />
      <div role="radiogroup" aria-label="What the wood shows">
        {VIEWS.map(([key, words], k) => (
          <label key={key} class={view.value === key ? 'on' : ''}>
            <input
              type="radio"
              name="view"
              checked={view.value === key}
              aria-keyshortcuts={String(k + 1)}
              onChange={() => {
                view.value = key;
                comparing.value = 'divider';
              }}
            />
            {words}
          </label>
        ))}
      </div>
      <div>
        <button
          type="button"
          class="link"
          aria-pressed={flat.value}
          aria-keyshortcuts="F"
          onClick={() => {
            flat.value = !flat.value;
          }}
        >
          from above
        </button>
        <button
          type="button"
          class="link"
          aria-keyshortcuts="0"
          onClick={() => {
            lookAt.value = { atMm: null, acrossMm: 0 };
          }}
        >
          whole board
        </button>
        <button
          type="button"
          class="link"
          aria-pressed={showTravel.value}
          aria-keyshortcuts="T"
          onClick={() => {
            showTravel.value = !showTravel.value;
          }}
        >
          travel
        </button>
      </div>
    </div>
  );
}
