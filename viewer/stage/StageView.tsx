import { useSignalEffect } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import { middleOf } from '../../src/grid.ts';
import { heldAround } from '../../src/parts/held.ts';
import { comparing, difference, pair, pairMoments } from '../state/beside.ts';
import { frameS, pace, playing, tS } from '../state/clock.ts';
import { shownFace } from '../state/face.ts';
import { dragged, letGo, moveJob, placing, turnJob } from '../state/placing.ts';
import { marking, markSpot } from '../state/spots.ts';
import { flat, lookAt, moments, onStage, pointed, scene, showTravel, status, view } from '../state/store.ts';
import type { Moments } from '../time/moments.ts';
import { ARROWS } from './arrows.ts';
import { Divider } from './Divider.tsx';
import { FindingPins } from './FindingPins.tsx';
import { HeadTag } from './HeadTag.tsx';
import { stageHere } from './here.ts';
import { Loose } from './Loose.tsx';
import { heldNow, heldShown, lift, lifted, liftedPart, turnOver } from './lifting.ts';
import { PointTag } from './PointTag.tsx';
import { SpotMarks } from './SpotMarks.tsx';
import { Stage } from './stage.ts';
import { pictureTexture } from './textures.ts';
import { ViewWords } from './ViewWords.tsx';

/** Playback that covers more than this in one frame shows the mean of it, s. */
const SMOOTH_FROM_S = 0.04;
/** A finger that moves less than this taps. */
const TAP_PX = 10;

/** The words along the lower edge fade in over so many pixels, through which the stage is seen. */
const FADE_PX = 18;

/** The board and all that is seen on it. */
export function StageView() {
  const canvas = useRef<HTMLCanvasElement>(null);
  const holder = useRef<HTMLDivElement>(null);
  const [without, setWithout] = useState(false);

  useEffect(() => {
    let stage: Stage;
    try {
      stage = new Stage(canvas.current!);
    } catch {
      setWithout(true);
      return;
    }
    stageHere.value = stage;
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const room = () => stage.setRoom(dark.matches);
    dark.addEventListener('change', room);
    room();
    // In one column the page scrolls past the wood.
    const column = matchMedia('(max-width: 35em)');
    const scrolling = () => stage.eye.setScrolling(column.matches);
    column.addEventListener('change', scrolling);
    scrolling();
    const box = holder.current!;
    const words = box.querySelector<HTMLElement>('.view-words');
    const watch = new ResizeObserver(() => {
      const covered = words ? Math.max(0, words.offsetHeight - FADE_PX) : 0;
      stage.resize(box.clientWidth, box.clientHeight, covered);
    });
    watch.observe(box);
    if (words) watch.observe(words);
    return () => {
      watch.disconnect();
      dark.removeEventListener('change', room);
      column.removeEventListener('change', scrolling);
      stageHere.value = null;
      stage.dispose();
    };
  }, []);

  useSignalEffect(() => {
    const stage = stageHere.value;
    const first = pair.value?.[0] ?? onStage.value;
    if (!stage || !first) return;
    stage.show(first, pair.value?.[1] ?? null);
    stage.setView(view.peek());
    stage.showTravel(showTravel.peek());
  });
  useSignalEffect(() => {
    const stage = stageHere.value;
    const two = pair.value;
    if (!stage || !two) return;
    if (comparing.value === 'difference') stage.showMap(pictureTexture(difference.value!.picture));
    else stage.setView(view.peek());
    stage.showTravel(comparing.value !== 'difference' && showTravel.peek());
  });
  useSignalEffect(() => {
    const now = status.value;
    // While it plays, the next picture always is.
    stageHere.value?.hold(playing.value || (now.kind === 'working' && !now.fine));
  });
  // What was in the hand lies in its place again when another burn is shown.
  useSignalEffect(() => {
    scene.value;
    lifted.value = null;
    heldShown.value = null;
  });
  useSignalEffect(() => {
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    stageHere.value?.lift(liftedPart.value, lifted.value?.isTurned ?? false, still);
  });
  useSignalEffect(() => stageHere.value?.showHeld(heldShown.value));
  useSignalEffect(() => stageHere.value?.setFace(shownFace.value));
  useSignalEffect(() => stageHere.value?.setView(view.value));
  useSignalEffect(() => stageHere.value?.showTravel(showTravel.value));
  useSignalEffect(() => {
    stageHere.value?.setFlat(flat.value);
  });
  useSignalEffect(() => {
    const wish = lookAt.value;
    const stage = stageHere.value;
    if (!stage || !wish) return;
    if (wish.atMm) stage.eye.flyTo(wish.atMm, wish.acrossMm);
    else stage.frame();
  });
  useSignalEffect(() => {
    const stage = stageHere.value;
    const now = moments.value;
    if (!stage || !now) return;
    const [first, second] = pairMoments.value ?? [now, null];
    const t = tS.value;
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    const isFast = playing.value && frameS.value > SMOOTH_FROM_S;
    const headOf = (of: Moments | null) =>
      of === null || t >= of.durationS ? null : isFast ? of.over(t - frameS.value, t) : of.at(t);
    stage.setTime(t, [headOf(first), headOf(second)], playing.value ? pace.value : 1, still);
  });

  useSignalEffect(() => stageHere.value?.eye.setEnabled(!placing.value));
  const from = useRef<[number, number] | null>(null);
  const pressed = useRef<readonly [number, number]>([0, 0]);
  const point = (event: PointerEvent) => {
    const at = stageHere.value?.placeUnder(event) ?? null;
    if (from.current && at) {
      dragged.value = [at[0] - from.current[0], at[1] - from.current[1]];
      stageHere.value?.shift(...dragged.value);
    } else pointed.value = at;
  };

  /** A tap points, and shows where the outline around the place still holds. */
  const press = (event: PointerEvent) => {
    if (event.pointerType === 'touch') point(event);
    const at = pointed.value;
    if (marking.peek()) {
      if (at) markSpot(at);
      return;
    }
    const now = scene.peek();
    heldShown.value = at && now ? heldAround(now.forecast, heldNow.peek(), ...at) : null;
  };
  /** A second press on a part lifts it out, then turns it; beside it, puts it back. */
  const pressTwice = (event: MouseEvent) => {
    if (placing.value) return;
    const part = stageHere.value?.partUnder(event) ?? null;
    if (part && part.n === liftedPart.value?.n) turnOver();
    else lift(part?.n ?? null);
  };

  return (
    <div ref={holder} class="stage">
      <canvas
        ref={canvas}
        tabIndex={0}
        aria-label="The board with the burn on it. Arrow keys move the pointed place by a millimetre, with Shift by a tenth; plus and minus zoom; comma and full stop turn the board, Page Up and Page Down tip it; L lifts a part out that has come free, O turns it over."
        role="img"
        class={placing.value ? 'placing' : marking.value ? 'marking' : ''}
        onPointerMove={(event) => {
          // A finger that moves turns the board; it points by a tap.
          if (event.pointerType !== 'touch' || from.current) point(event);
        }}
        onPointerDown={(event) => {
          pressed.current = [event.clientX, event.clientY];
          if (!placing.value || event.button !== 0) return;
          from.current = stageHere.value?.placeUnder(event) ?? null;
          event.currentTarget.setPointerCapture(event.pointerId);
          pointed.value = null;
        }}
        onPointerUp={(event) => {
          if (!from.current) {
            const [x, y] = pressed.current;
            const away = Math.hypot(event.clientX - x, event.clientY - y);
            if (away < TAP_PX) press(event);
            return;
          }
          from.current = null;
          letGo();
        }}
        onPointerLeave={(event) => {
          // What a tap told stays until the next one.
          if (event.pointerType !== 'touch') pointed.value = null;
        }}
        onDblClick={pressTwice}
        onKeyDown={pointByKeys}
      />
      {without ? (
        <p class="without" role="alert">
          This browser gives the page no WebGL 2, which the stage is drawn with. The sentences, findings and
          numbers beside it work all the same.
        </p>
      ) : null}
      <FindingPins />
      <SpotMarks />
      <HeadTag of={0} />
      <HeadTag of={1} />
      <PointTag />
      <Divider />
      <Loose />
      <ViewWords />
    </div>
  );
}

/** One press of a key turns or tips the board by so much. */
const TURN_RAD = Math.PI / 24;

/** The pointed place by keys, for those who do not point. */
function pointByKeys(event: KeyboardEvent): void {
  const turns: Record<string, readonly [number, number]> = {
    ',': [-TURN_RAD, 0],
    '.': [TURN_RAD, 0],
    PageUp: [0, -TURN_RAD],
    PageDown: [0, TURN_RAD],
  };
  const way = ARROWS[event.key];
  const turn = turns[event.key];
  const board = scene.peek()?.forecast.board;
  const laid = placing.peek();
  if (event.key === 'Enter' && marking.peek() && board) markSpot(pointed.peek() ?? middleOf(board));
  else if (event.key === 'Escape' && marking.peek()) marking.value = false;
  else if (laid && event.key.toLowerCase() === 'r') turnJob(event.shiftKey ? -1 : 1);
  else if (laid && way) {
    const step = event.shiftKey ? 0.1 : 1;
    moveJob(way[0] * step, way[1] * step);
  } else if (event.key === '+' || event.key === '=') stageHere.value?.eye.nudge(0, 0, 1.25);
  else if (event.key === '-') stageHere.value?.eye.nudge(0, 0, 0.8);
  else if (turn) stageHere.value?.eye.turn(...turn);
  else if (way && board) {
    const step = event.shiftKey ? 0.1 : 1;
    const [x, y] = pointed.value ?? middleOf(board);
    pointed.value = [
      Math.min(board.maxXMm, Math.max(board.minXMm, x + way[0] * step)),
      Math.min(board.maxYMm, Math.max(board.minYMm, y + way[1] * step)),
    ];
  } else return;
  event.preventDefault();
  event.stopPropagation();
}
