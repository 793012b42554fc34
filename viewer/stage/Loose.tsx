import { numberWords } from '../../src/words.ts';
import { pair } from '../state/beside.ts';
import { placing } from '../state/placing.ts';
import { place, scene } from '../state/store.ts';
import { heldNow, heldShown, lift, liftedPart, liftNext, looseNow, turnOver } from './lifting.ts';

/** What has come free of the board by now, to be lifted out and turned; and what still holds. */
export function Loose() {
  if (!scene.value || pair.value || place.value !== 'bench' || placing.value) return null;
  const free = looseNow.value;
  const held = heldNow.value;
  const inHand = liftedPart.value;
  if (free.length === 0 && held.length === 0) return null;
  return (
    <div class="loose">
      {inHand ? (
        <>
          <span>{`${free.length === 1 ? 'The part' : `Part ${inHand.n}`}, ${sizeWords(inHand.bounds)}`}</span>
          <button type="button" class="link" aria-keyshortcuts="O" onClick={turnOver}>
            turn it over
          </button>
          <button type="button" class="link" aria-keyshortcuts="L" onClick={() => lift(null)}>
            put it back
          </button>
          {free.length > 1 ? (
            <button type="button" class="link" onClick={liftNext}>
              the next one
            </button>
          ) : null}
        </>
      ) : free.length > 0 ? (
        <>
          <span>{free.length === 1 ? '1 part has come free' : `${free.length} parts have come free`}</span>
          <button type="button" class="link" aria-keyshortcuts="L" onClick={liftNext}>
            {free.length === 1 ? 'lift it out' : 'lift one out'}
          </button>
        </>
      ) : null}
      {!inHand && held.length > 0 ? (
        <>
          <span>{held.length === 1 ? '1 outline still holds' : `${held.length} outlines still hold`}</span>
          <button
            type="button"
            class="link"
            aria-pressed={heldShown.value !== null}
            onClick={() => {
              const shown = heldShown.value;
              heldShown.value = held[shown ? held.indexOf(shown) + 1 : 0] ?? null;
            }}
          >
            show where
          </button>
        </>
      ) : null}
    </div>
  );
}

function sizeWords(b: { minXMm: number; minYMm: number; maxXMm: number; maxYMm: number }): string {
  return `${numberWords(b.maxXMm - b.minXMm, 3)} × ${numberWords(b.maxYMm - b.minYMm, 3)} mm`;
}
