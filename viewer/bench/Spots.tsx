import { useEffect } from 'preact/hooks';
import { boardPhoto, isBoardOpen } from '../state/board-photo.ts';
import { LEAST_RADIUS_MM, MOST_RADIUS_MM } from '../state/outline.ts';
import { changeSpot, marking, spots, takeSpotAway } from '../state/spots.ts';
import { NumberField } from './NumberField.tsx';
import { PlaceFields } from './PlaceFields.tsx';

/** Places that the burn is to keep off, as sentences. */
export function Spots() {
  useEffect(
    () => () => {
      marking.value = false;
    },
    [],
  );
  return (
    <>
      {spots.value.map(({ xMm, yMm, radiusMm }, k) => {
        const named = `marked place ${k + 1}`;
        return (
          // Marks have no names of their own: one that is changed keeps its place in the list.
          <p key={k}>
            Keep off{' '}
            <PlaceFields
              named={`${named},`}
              at={[xMm, yMm]}
              after=","
              changed
              onChange={([x, y]) => changeSpot(k, { xMm: x, yMm: y })}
            />{' '}
            and{' '}
            <NumberField
              label={`${named}, radius`}
              unit="mm"
              value={radiusMm}
              min={LEAST_RADIUS_MM}
              max={MOST_RADIUS_MM}
              step={0.5}
              changed
              onChange={(to) => changeSpot(k, { radiusMm: to })}
            />{' '}
            around it.{' '}
            <button
              type="button"
              class="link"
              aria-label={`take it away: ${named}`}
              onClick={() => takeSpotAway(k)}
            >
              take it away
            </button>
          </p>
        );
      })}
      {marking.value ? (
        <p class="aside" role="status">
          Press its place on the board{isBoardOpen.value && boardPhoto.value ? ', or on its photo' : ''}. With
          the board chosen, arrow keys point and Enter marks.
        </p>
      ) : null}
    </>
  );
}

/** Begins to mark one. */
export const MarkSpot = () => (
  <button
    type="button"
    class="link"
    aria-pressed={marking.value}
    onClick={() => {
      marking.value = !marking.value;
    }}
  >
    {marking.value ? 'mark none' : `mark ${spots.value.length > 0 ? 'another' : 'a'} knot or old hole`}
  </button>
);
