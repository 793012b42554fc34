import { useEffect, useRef } from 'preact/hooks';
import type { Finding } from '../../src/findings/finding.ts';
import { placing } from '../state/placing.ts';
import { place, scene } from '../state/store.ts';
import { stageHere } from './here.ts';
import { flyTo } from './visit.ts';

const MOST_PINS = 12;
/** Places nearer to each other than this share a pin: the costliest finding's, mm. */
const APART_MM = 1.5;
/** Where the view spans less of the wood than this, a pin would hide what it points at, mm. */
const CLOSE_MM = 32;
/** Under a finger a pin takes this much; one that lies over a costlier one's waits until they are further apart. */
const FINGER_PX = 44;

/** Small marks where the findings are, so that the first look at the board shows where trouble is. */
export function FindingPins() {
  const holder = useRef<HTMLDivElement>(null);
  const stage = stageHere.value;
  const at = scene.value;
  const shown = place.value === 'bench' && !placing.value && at !== null;
  const pinned = shown ? placesOf(at.forecast.findings) : [];

  useEffect(() => {
    const box = holder.current;
    if (!stage || !box || pinned.length === 0) return;
    const put = () => {
      const { clientWidth, clientHeight } = stage.canvas;
      const apartPx = matchMedia('(pointer: coarse)').matches ? FINGER_PX : 0;
      const seen: (readonly [number, number])[] = [];
      pinned.forEach(({ atMm: [x, y] }, k) => {
        const pin = box.children[k] as HTMLElement | undefined;
        if (!pin) return;
        const [left, top] = stage.pixelOf(x, y);
        const isInside = left > 0 && top > 0 && left < clientWidth && top < clientHeight;
        const isFree = seen.every(([x0, y0]) => Math.max(Math.abs(left - x0), Math.abs(top - y0)) >= apartPx);
        const isShown = isInside && isFree && stage.pixelMm(x, y) * clientHeight > CLOSE_MM;
        pin.style.visibility = isShown ? 'visible' : 'hidden';
        if (isShown) seen.push([left, top]);
        pin.style.transform = `translate(${left.toFixed(1)}px, ${top.toFixed(1)}px)`;
      });
    };
    put();
    return stage.onFrame(put);
  });

  return (
    <div ref={holder} class="pins" onWheel={(event) => stage && passOn(event, stage.canvas)}>
      {pinned.map((finding) => (
        <button
          type="button"
          // The findings themselves, beside the stage, are where keys lead.
          tabIndex={-1}
          key={`${finding.kind} ${finding.atMm.join()}`}
          class={`pin ${finding.severity}`}
          title={finding.message}
          aria-label={`Fly to: ${finding.message}`}
          onClick={() => flyTo(finding)}
        />
      ))}
    </div>
  );
}

/** What lies over the wood takes a press; the wheel turned over it is meant for the wood. */
export function passOn(event: WheelEvent, canvas: HTMLCanvasElement): void {
  event.preventDefault();
  canvas.dispatchEvent(new WheelEvent(event.type, event));
}

type Placed = Finding & { readonly atMm: readonly [number, number] };

/** The first few findings that have a place of their own; the costliest come first. */
function placesOf(findings: readonly Finding[]): Placed[] {
  const kept: Placed[] = [];
  for (const finding of findings) {
    const { atMm } = finding;
    if (!atMm || kept.length === MOST_PINS) continue;
    if (kept.some((other) => Math.hypot(other.atMm[0] - atMm[0], other.atMm[1] - atMm[1]) < APART_MM))
      continue;
    kept.push(finding as Placed);
  }
  return kept;
}
