import { useEffect, useRef } from 'preact/hooks';
import type { Forecast } from '../../src/forecast.ts';
import { type HeldOutline, heldAround } from '../../src/parts/held.ts';
import { boardsWords } from '../../src/sure/words.ts';
import { numberWords, percentWords } from '../../src/words.ts';
import { isStageAhead, pointed, scene, view } from '../state/store.ts';
import { factsAround, factWords } from './facts.ts';
import { stageHere } from './here.ts';
import { heldNow } from './lifting.ts';
import { type Box, tagCorner } from './tag-corner.ts';

/** A pointed place is a disc of this radius on screen, CSS pixels, … */
const RADIUS_PX = 2;
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
      const { clientWidth, clientHeight } = stage.canvas;
      const { offsetWidth, offsetHeight } = tag.current;
      const [left, top] = tagCorner(
        stage.pixelOf(at[0], at[1]),
        [offsetWidth, offsetHeight],
        [clientWidth, clientHeight],
        welcomeOver(stage.canvas),
      );
      tag.current.style.transform = `translate(${left.toFixed(0)}px, ${top.toFixed(0)}px)`;
    };
    put();
    return stage.onFrame(put);
  }, [stage, at, facts]);

  return (
    <div
      ref={tag}
      class={isStageAhead.value ? 'point-tag waiting' : 'point-tag'}
      role="status"
      aria-live="polite"
      hidden={!facts}
    >
      {facts ? factWords(facts, view.value).map((line, k) => <span key={k}>{line}</span>) : null}
      {held && shown ? <span>{heldWords(held, shown.forecast)}</span> : null}
      {facts && at ? (
        <span class="quiet">{`x ${at[0].toFixed(1)}, y ${at[1].toFixed(1)} mm`.replaceAll('-', '−')}</span>
      ) : null}
    </div>
  );
}

/** Where the words that welcome lie over the stage, from its upper left corner; null: nowhere. */
function welcomeOver(canvas: HTMLElement): Box | null {
  const card = document.querySelector('.welcome')?.getBoundingClientRect();
  if (!card) return null;
  const { left, top } = canvas.getBoundingClientRect();
  return { left: card.left - left, top: card.top - top, right: card.right - left, bottom: card.bottom - top };
}

/** How firmly the outline around a place still holds, and how sure it is that it does. */
function heldWords({ operation, heldMm, lengthMm, shallowestMm }: HeldOutline, forecast: Forecast): string {
  const share = percentWords(Math.round((100 * heldMm) / lengthMm) / 100);
  const deep = `${numberWords(shallowestMm, 2)} of ${numberWords(forecast.stock?.thicknessMm ?? 0, 3)} mm deep`;
  const chance = forecast.cuts.find((cut) => cut.operation === operation)?.chanceThrough ?? 0;
  return `held along ${share} of its outline, ${deep}; the cut comes through on ${boardsWords(chance)}`;
}
