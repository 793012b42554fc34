import { useEffect, useRef } from 'preact/hooks';
import { comparing, divider, pair } from '../state/beside.ts';
import { wholeBoard } from '../state/whole.ts';
import { DividerHandle } from '../words/DividerHandle.tsx';
import { stageHere } from './here.ts';

/** The divider across the wood: A left of it, B right of it. Drag it, or use the arrow keys. */
export function Divider() {
  const line = useRef<SVGLineElement>(null);
  const handle = useRef<HTMLDivElement>(null);
  const stage = stageHere.value;
  const two = pair.value;
  const share = divider.value;
  const shown = two !== null && comparing.value === 'divider';

  useEffect(() => {
    if (!stage || !two || !shown) return;
    const board = wholeBoard(two);
    const x = board.minXMm + (board.maxXMm - board.minXMm) * share;
    stage.divide(x);
    const put = () => {
      const [x0, y0] = stage.pixelOf(x, board.minYMm - 4);
      const [x1, y1] = stage.pixelOf(x, board.maxYMm + 4);
      for (const [key, value] of Object.entries({ x1: x0, y1: y0, x2: x1, y2: y1 }))
        line.current?.setAttribute(key, value.toFixed(1));
      if (!handle.current) return;
      const at = handleOn([x0, y0], [x1, y1], lowestFor(handle.current));
      handle.current.style.transform = `translate(${at[0].toFixed(1)}px, ${at[1].toFixed(1)}px)`;
    };
    put();
    return stage.onFrame(put);
  }, [stage, two, share, shown]);

  if (!stage || !two || !shown) return null;
  const board = wholeBoard(two);
  const shareAt = (event: PointerEvent): number | null => {
    const at = stage.placeUnder(event);
    return at && (at[0] - board.minXMm) / (board.maxXMm - board.minXMm);
  };
  return (
    <>
      <svg class="divider-line" aria-hidden="true">
        <title>divider</title>
        <line ref={line} />
      </svg>
      <DividerHandle
        handle={handle}
        label="Divider between A and B"
        sides={['A', 'B']}
        sideWords={['A', 'B']}
        share={share}
        shareAt={shareAt}
        onShare={(to) => {
          divider.value = to;
        }}
      />
    </>
  );
}

/** Pixels between the handle and what it keeps clear of. */
const CLEAR_PX = 8;

/** How low on the stage the handle may stand: clear of the words along the lower edge. */
function lowestFor(handle: HTMLElement): number {
  const stage = handle.parentElement!;
  const words = stage.querySelector<HTMLElement>('.view-words > div');
  const free = words ? words.offsetTop + words.parentElement!.offsetTop : stage.clientHeight;
  return free - handle.offsetHeight - CLEAR_PX;
}

/** The place on the line from its lower end to its upper one for the handle: its end, unless that lies too low. */
function handleOn(
  [x0, y0]: readonly [number, number],
  [x1, y1]: readonly [number, number],
  lowest: number,
): readonly [number, number] {
  if (y0 <= lowest || y1 >= y0) return [x0, y0];
  const part = Math.min(1, (y0 - lowest) / (y0 - y1));
  return [x0 + (x1 - x0) * part, y0 + (y1 - y0) * part];
}
