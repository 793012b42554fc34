import { useEffect, useRef, useState } from 'preact/hooks';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { ARROWS } from '../stage/arrows.ts';
import type { DecodedPhoto } from '../state/photo-pixels.ts';
import { isSame } from '../state/same.ts';
import { beginStretch, endStretch } from '../state/steps.ts';

/** What four corners are called, in the order in which they are given. */
export const CORNERS = ['lower left', 'lower right', 'upper right', 'upper left'] as const;

/** Where they may be, to begin with. */
export const fourCorners = ({ width, height }: DecodedPhoto): PhotoPoint[] =>
  [
    [0.12, 0.88],
    [0.88, 0.88],
    [0.88, 0.12],
    [0.12, 0.12],
  ].map(([u, v]) => [u! * width, v! * height]);

/** The longer side of what is shown of a photo, px. */
const SHOWN_PX = 1400;

interface OnThePhotoProps {
  /** What the photo is of, and what each corner is, for a screen reader. */
  readonly label: string;
  readonly names: readonly string[];
  readonly decoded: DecodedPhoto;
  readonly corners: readonly PhotoPoint[] | null;
  readonly white?: PhotoPoint | null;
  readonly picking?: boolean;
  readonly onCorners: (corners: readonly PhotoPoint[]) => void;
  readonly onPick?: (place: PhotoPoint) => void;
  /** Places marked on what is photographed. */
  readonly marks?: readonly PhotoMark[];
  readonly onMark?: (k: number, to: PhotoPoint) => void;
  readonly onMarkAway?: (k: number) => void;
}

/** A marked place on a photo: its middle, and what it covers. */
export interface PhotoMark {
  readonly name: string;
  readonly at: PhotoPoint;
  readonly ring: readonly PhotoPoint[];
}

/** What is being dragged: a corner, or a mark; and where all of its kind are by now. */
interface Dragged {
  readonly kind: 'corners' | 'marks';
  readonly points: readonly PhotoPoint[];
}

/** How a handle is called and looks, and what comes of moving it. */
interface Handled {
  readonly name: string;
  readonly look: string;
  readonly put: (points: readonly PhotoPoint[]) => void;
  readonly away?: () => void;
}

const NO_MARKS: readonly PhotoMark[] = [];

/** A photo with corners on it, which can be dragged, or moved by arrow keys. */
export function OnThePhoto({
  label,
  names,
  decoded,
  corners,
  white = null,
  picking = false,
  onCorners,
  onPick,
  marks = NO_MARKS,
  onMark,
  onMarkAway,
}: OnThePhotoProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const holder = useRef<HTMLDivElement>(null);
  const [dragged, setDragged] = useState<Dragged | null>(null);
  const { width, height, bitmap } = decoded;
  const share = Math.min(1, SHOWN_PX / Math.max(width, height));
  useEffect(() => {
    canvas.current!.getContext('2d')!.drawImage(bitmap, 0, 0, canvas.current!.width, canvas.current!.height);
  }, [bitmap]);
  const at = (event: PointerEvent): PhotoPoint => {
    const box = holder.current!.getBoundingClientRect();
    const clamp = (value: number, most: number) => Math.min(most, Math.max(0, value));
    return [
      clamp(((event.clientX - box.left) / box.width) * width, width),
      clamp(((event.clientY - box.top) / box.height) * height, height),
    ];
  };
  const shown = dragged?.kind === 'corners' ? dragged.points : corners;
  const middles = dragged?.kind === 'marks' ? dragged.points : marks.map((mark) => mark.at);
  const place = ([x, y]: PhotoPoint) => ({
    left: `${((x / width) * 100).toFixed(3)}%`,
    top: `${((y / height) * 100).toFixed(3)}%`,
  });
  const handle = (
    kind: Dragged['kind'],
    points: readonly PhotoPoint[],
    k: number,
    { name, look, put, away }: Handled,
  ) => {
    const moved = (to: PhotoPoint) => points.map((point, j) => (j === k ? to : point));
    return (
      <button
        type="button"
        key={`${kind} ${k}`}
        class={look}
        style={place(points[k]!)}
        aria-label={name}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          setDragged({ kind, points });
        }}
        onPointerMove={(event) => {
          if (event.currentTarget.hasPointerCapture(event.pointerId))
            setDragged({ kind, points: moved(at(event)) });
        }}
        onPointerUp={() => {
          const before = kind === 'corners' ? corners : marks.map((mark) => mark.at);
          if (dragged && !isSame(dragged.points, before)) put(dragged.points);
          setDragged(null);
        }}
        onPointerCancel={() => setDragged(null)}
        onKeyDown={(event) => {
          const step = (event.shiftKey ? 0.01 : 0.001) * Math.max(width, height);
          const way = ARROWS[event.key];
          if (kind === 'marks' && way) beginStretch();
          if (away && (event.key === 'Delete' || event.key === 'Backspace')) away();
          else if (way) put(moved([points[k]![0] + way[0] * step, points[k]![1] - way[1] * step]));
          else return;
          event.preventDefault();
          event.stopPropagation();
        }}
        onKeyUp={endStretch}
        onBlur={endStretch}
      />
    );
  };
  return (
    <div
      ref={holder}
      class={picking ? 'on-photo picking' : 'on-photo'}
      onPointerDown={(event) => {
        if (picking) onPick?.(at(event));
      }}
    >
      <canvas
        ref={canvas}
        role="img"
        aria-label={label}
        width={Math.round(width * share)}
        height={Math.round(height * share)}
      />
      {shown ? (
        <svg viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
          <polygon points={shown.map((point) => point.join(',')).join(' ')} />
          {marks.map(({ at: [x, y], ring }, k) => {
            const [dx, dy] = [middles[k]![0] - x, middles[k]![1] - y];
            return (
              <polygon key={k} class="mark" points={ring.map(([u, v]) => `${u + dx},${v + dy}`).join(' ')} />
            );
          })}
        </svg>
      ) : null}
      {white ? <span class="paper-place" style={place(white)} aria-hidden="true" /> : null}
      {shown && !picking
        ? shown.map((_, k) =>
            handle('corners', shown, k, {
              name: `${names[k]}: arrow keys move it`,
              look: k === 0 ? 'corner first' : 'corner',
              put: (next) => onCorners(next),
            }),
          )
        : null}
      {picking
        ? null
        : marks.map((mark, k) =>
            handle('marks', middles, k, {
              name: `${mark.name}: arrow keys move it, Delete takes it away`,
              look: 'corner mark',
              put: (next) => onMark?.(k, next[k]!),
              away: () => onMarkAway?.(k),
            }),
          )}
    </div>
  );
}
