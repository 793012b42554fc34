import { useEffect, useRef } from 'preact/hooks';
import { pointed, scene, view } from '../state/store.ts';
import { factsAround, factWords } from './facts.ts';
import { stageHere } from './here.ts';

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

  useEffect(() => {
    if (!stage || !at) return;
    const put = () => {
      if (!tag.current) return;
      const [x, y] = stage.pixelOf(at[0], at[1]);
      const { clientWidth } = stage.canvas;
      const left = x + 18 + tag.current.offsetWidth > clientWidth ? x - 18 - tag.current.offsetWidth : x + 18;
      tag.current.style.transform = `translate(${left.toFixed(0)}px, ${Math.max(4, y - tag.current.offsetHeight - 8).toFixed(0)}px)`;
    };
    put();
    return stage.onFrame(put);
  }, [stage, at, facts]);

  return (
    <div ref={tag} class="point-tag" role="status" aria-live="polite" hidden={!facts}>
      {facts ? factWords(facts, view.value).map((line, k) => <span key={k}>{line}</span>) : null}
      {facts && at ? (
        <span class="quiet">{`x ${at[0].toFixed(1)}, y ${at[1].toFixed(1)} mm`.replaceAll('-', '−')}</span>
      ) : null}
    </div>
  );
}
