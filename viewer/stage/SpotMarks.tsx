import { useEffect, useRef, useState } from 'preact/hooks';
import type { Spot } from '../../src/board.ts';
import { plainSpot, rimOf } from '../state/outline.ts';
import { placing } from '../state/placing.ts';
import { changeSpot, spots, takeSpotAway } from '../state/spots.ts';
import { beginStretch, endStretch } from '../state/steps.ts';
import { place } from '../state/store.ts';
import { ARROWS } from './arrows.ts';
import { passOn } from './FindingPins.tsx';
import { stageHere } from './here.ts';

/** The handle that sizes a circle keeps so far from the one that moves it, pixels; under a finger both are larger. */
const APART_PX = 30;
const FINGERS_APART_PX = 46;

/** What is being dragged: which circle, and how it lies by now. */
interface Held {
  readonly k: number;
  readonly now: Spot;
}

/** The marked places as circles on the board: dragged by the middle, sized by the rim. */
export function SpotMarks() {
  const stage = stageHere.value;
  const holder = useRef<HTMLDivElement>(null);
  const [held, setHeld] = useState<Held | null>(null);
  const from = useRef<{ readonly at: readonly [number, number]; readonly spot: Spot } | null>(null);
  const isShown = place.value === 'bench' && !placing.value && spots.value.length > 0;
  const shown = isShown ? spots.value.map((spot, k) => (held?.k === k ? held.now : spot)) : [];

  useEffect(() => {
    const box = holder.current;
    if (!stage || !box || shown.length === 0) return;
    const rings = box.querySelectorAll('polygon');
    const handles = box.querySelectorAll<HTMLElement>('button');
    const put = () => {
      const apartPx = matchMedia('(pointer: coarse)').matches ? FINGERS_APART_PX : APART_PX;
      shown.forEach((spot, k) => {
        const ring = rimOf(spot).map((at) => stage.pixelOf(...at));
        rings[k]?.setAttribute('points', ring.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(' '));
        const middle = stage.pixelOf(spot.xMm, spot.yMm);
        const [dx, dy] = [ring[0]![0] - middle[0], ring[0]![1] - middle[1]];
        const away = Math.max(1, apartPx / Math.max(1e-6, Math.hypot(dx, dy)));
        moveTo(handles[2 * k], middle);
        moveTo(handles[2 * k + 1], [middle[0] + dx * away, middle[1] + dy * away]);
      });
    };
    put();
    return stage.onFrame(put);
  });

  if (!stage || !isShown) return null;
  /** How a drag by the middle, or by the rim, changes the circle it began with. */
  const draggedTo = (isRim: boolean, to: readonly [number, number]): Spot => {
    const { at, spot } = from.current!;
    if (!isRim) return { ...spot, xMm: spot.xMm + to[0] - at[0], yMm: spot.yMm + to[1] - at[1] };
    const farOf = ([x, y]: readonly [number, number]) => Math.hypot(x - spot.xMm, y - spot.yMm);
    return { ...spot, radiusMm: spot.radiusMm + farOf(to) - farOf(at) };
  };
  const handle = (k: number, spot: Spot, isRim: boolean) => (
    <button
      type="button"
      class={isRim ? 'spot-rim' : 'spot-middle'}
      aria-label={
        isRim
          ? `Size of marked place ${k + 1}: arrow keys change it`
          : `Marked place ${k + 1}: arrow keys move it, Delete takes it away`
      }
      onPointerDown={(event) => {
        const at = stage.placeUnder(event);
        if (!at) return;
        event.currentTarget.setPointerCapture(event.pointerId);
        from.current = { at, spot };
      }}
      onPointerMove={(event) => {
        const to = from.current && stage.placeUnder(event);
        if (to) setHeld({ k, now: plainSpot(draggedTo(isRim, to)) });
      }}
      onPointerUp={() => {
        from.current = null;
        if (held) changeSpot(held.k, held.now);
        setHeld(null);
      }}
      onPointerCancel={() => {
        from.current = null;
        setHeld(null);
      }}
      onKeyDown={(event) => byKey(event, k, spot, isRim)}
      onKeyUp={endStretch}
      onBlur={endStretch}
    />
  );
  return (
    <div ref={holder} class="spots" onWheel={(event) => passOn(event, stage.canvas)}>
      <svg aria-hidden="true">
        <title>marked places</title>
        {shown.map((_, k) => (
          <polygon key={k} />
        ))}
      </svg>
      {shown.map((spot, k) => [handle(k, spot, false), handle(k, spot, true)])}
    </div>
  );
}

function moveTo(handle: HTMLElement | undefined, [x, y]: readonly [number, number]): void {
  if (handle) handle.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
}

/** One press of a key moves by a millimetre or sizes by half of one, with Shift by a tenth. */
function byKey(event: KeyboardEvent, k: number, { xMm, yMm, radiusMm }: Spot, isRim: boolean): void {
  const way = ARROWS[event.key];
  const step = event.shiftKey ? 0.1 : isRim ? 0.5 : 1;
  if (way) beginStretch();
  if (event.key === 'Delete' || event.key === 'Backspace') {
    takeSpotAway(k);
    stageHere.peek()?.canvas.focus();
  } else if (way && isRim) changeSpot(k, { radiusMm: radiusMm + step * (way[0] + way[1]) });
  else if (way) changeSpot(k, { xMm: xMm + step * way[0], yMm: yMm + step * way[1] });
  else return;
  event.preventDefault();
  event.stopPropagation();
}
