import type { Ref } from 'preact';

interface DividerHandleProps {
  readonly label: string;
  /** What stands on either side of it, as short as may be; and the same for a screen reader. */
  readonly sides: readonly [string, string];
  readonly sideWords: readonly [string, string];
  /** Where it stands, as a part of the whole width from the left. */
  readonly share: number;
  readonly onShare: (share: number) => void;
  /** Where a pointer is, as a part of that width; null: nowhere. */
  readonly shareAt: (event: PointerEvent) => number | null;
  readonly handle?: Ref<HTMLDivElement>;
  readonly left?: string;
}

/** The handle of a divider between two pictures of one board: drag it, or use the arrow keys. */
export function DividerHandle({
  label,
  sides,
  sideWords,
  share,
  onShare,
  shareAt,
  handle,
  left,
}: DividerHandleProps) {
  const put = (to: number) => onShare(Math.min(1, Math.max(0, to)));
  return (
    <div
      ref={handle ?? null}
      class="divider"
      style={left === undefined ? undefined : { left }}
      role="slider"
      tabIndex={0}
      aria-label={label}
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={Math.round(share * 100)}
      aria-valuetext={`${sideWords[0]} on the left ${Math.round(share * 100)} %, ${sideWords[1]} on the rest`}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
      }}
      onPointerMove={(event) => {
        if (!event.currentTarget.hasPointerCapture(event.pointerId)) return;
        const at = shareAt(event);
        if (at !== null) put(at);
      }}
      onKeyDown={(event) => {
        const way = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : 0;
        if (way === 0) return;
        put(share + way * (event.shiftKey ? 0.1 : 0.01));
        event.preventDefault();
        event.stopPropagation();
      }}
    >
      <span>{sides[0]}</span>
      <span>{sides[1]}</span>
    </div>
  );
}
