import { useEffect, useRef } from 'preact/hooks';
import type { Forecast } from '../../src/forecast.ts';
import { type HeldOutline, heldAround } from '../../src/parts/held.ts';
import { boardsWords } from '../../src/sure/words.ts';
import { numberWords, percentWords } from '../../src/words.ts';
import { pointed, scene, view } from '../state/store.ts';
import { factsAround, factWords } from './facts.ts';
import { stageHere } from './here.ts';
import { heldNow } from './lifting.ts';

/** A pointed place is a disc of this radius on screen, CSS pixels, … */
const RADIUS_PX = 2;
/** The tag keeps so far from the stage's edges, CSS pixels. */
const EDGE_PX = 4;

/** Beside the pointed place: dose, tone, depth, when it burned, by which line and operation. */
export function PointTag() {
  const tag = useRef<HTMLDivElement>(null);
  const at = pointed.value;
  const stage = stageHere.value;
  const shown = scene.value;
  // … and no smaller than the spot: between two rows one does not point at bare wood.
  const radiusMm =
    at && stage && shown
      ? Math.max(...shown.forecast.machine.spot.width_mm, RADIUS_PX * stage.pixelMm(at[0], at[1]))
      : 0;
  const facts = at && shown ? factsAround(shown, at[0], at[1], radiusMm) : null;

  const held = at && shown ? heldAround(shown.forecast, heldNow.value, at[0], at[1]) : null;

  useEffect(() => {
    if (!stage || !at) return;
    const put = () => {
      if (!tag.current) return;
      const [x, y] = stage.pixelOf(at[0], at[1]);
      const { clientWidth } = stage.canvas;
      const { offsetWidth, offsetHeight } = tag.current;
      const beside = x + 18 + offsetWidth > clientWidth ? x - 18 - offsetWidth : x + 18;
      // Where it fits on neither side, as on a phone, it stands above the place.
      const left = Math.max(EDGE_PX, Math.min(clientWidth - offsetWidth - EDGE_PX, beside));
      const top = Math.max(EDGE_PX, y - offsetHeight - 8);
      tag.current.style.transform = `translate(${left.toFixed(0)}px, ${top.toFixed(0)}px)`;
    };
    put();
    return stage.onFrame(put);
  }, [stage, at, facts]);

  return (
    <div ref={tag} class="point-tag" role="status" aria-live="polite" hidden={!facts}>
      {facts ? factWords(facts, view.value).map((line, k) => <span key={k}>{line}</span>) : null}
      {held && shown ? <span>{heldWords(held, shown.forecast)}</span> : null}
      {facts && at ? (
        <span class="quiet">{`x ${at[0].toFixed(1)}, y ${at[1].toFixed(1)} mm`.replaceAll('-', '−')}</span>
      ) : null}
    </div>
  );
}

/** How firmly the outline around a place still holds, and how sure it is that it does. */
function heldWords({ operation, heldMm, lengthMm, shallowestMm }: HeldOutline, forecast: Forecast): string {
  const share = percentWords(Math.round((100 * heldMm) / lengthMm) / 100);
  const deep = `${numberWords(shallowestMm, 2)} of ${numberWords(forecast.stock?.thicknessMm ?? 0, 3)} mm deep`;
  const chance = forecast.cuts.find((cut) => cut.operation === operation)?.chanceThrough ?? 0;
  return `held along ${share} of its outline, ${deep}; the cut comes through on ${boardsWords(chance)}`;
}
