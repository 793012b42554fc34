import { useEffect, useRef, useState } from 'preact/hooks';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import type { DecodedPhoto } from '../state/photo-pixels.ts';
import { isSame } from '../state/same.ts';

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
  readonly onWhite?: (place: PhotoPoint) => void;
}

/** A photo with corners on it, which can be dragged, or moved by arrow keys. */
export function OnThePhoto({
  label,
  names,
  decoded,
  corners,
  white = null,
  picking = false,
  onCorners,
  onWhite,
}: OnThePhotoProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const holder = useRef<HTMLDivElement>(null);
  const [dragged, setDragged] = useState<readonly PhotoPoint[] | null>(null);
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
  const shown = dragged ?? corners;
  const moved = (k: number, to: PhotoPoint) => shown!.map((corner, j) => (j === k ? to : corner));
  const place = ([x, y]: PhotoPoint) => ({
    left: `${((x / width) * 100).toFixed(3)}%`,
    top: `${((y / height) * 100).toFixed(3)}%`,
  });
  return (
    <div
      ref={holder}
      class={picking ? 'on-photo picking' : 'on-photo'}
      onPointerDown={(event) => {
        if (picking) onWhite?.(at(event));
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
        </svg>
      ) : null}
      {white ? <span class="paper-place" style={place(white)} aria-hidden="true" /> : null}
      {shown && !picking
        ? shown.map((corner, k) => (
            <button
              type="button"
              key={names[k]}
              class={k === 0 ? 'corner first' : 'corner'}
              style={place(corner)}
              aria-label={`${names[k]}: arrow keys move it`}
              onPointerDown={(event) => {
                event.currentTarget.setPointerCapture(event.pointerId);
                setDragged(shown);
              }}
              onPointerMove={(event) => {
                if (event.currentTarget.hasPointerCapture(event.pointerId)) setDragged(moved(k, at(event)));
              }}
              onPointerUp={() => {
                if (dragged && !isSame(dragged, corners)) onCorners(dragged);
                setDragged(null);
              }}
              onPointerCancel={() => setDragged(null)}
              onKeyDown={(event) => {
                const step = (event.shiftKey ? 0.01 : 0.001) * Math.max(width, height);
                const ways: Record<string, PhotoPoint> = {
                  ArrowLeft: [-step, 0],
                  ArrowRight: [step, 0],
                  ArrowUp: [0, -step],
                  ArrowDown: [0, step],
                };
                const way = ways[event.key];
                if (!way) return;
                onCorners(moved(k, [corner[0] + way[0], corner[1] + way[1]]));
                event.preventDefault();
                event.stopPropagation();
              }}
            />
          ))
        : null}
    </div>
  );
}
