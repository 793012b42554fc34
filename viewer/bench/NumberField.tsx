import { useRef, useState } from 'preact/hooks';
import { numberWords } from '../../src/words.ts';

export interface NumberFieldProps {
  /** What a screen reader says: *speed of operation 2, mm/min*. */
  readonly label: string;
  readonly value: number;
  readonly unit?: string;
  readonly min: number;
  readonly max: number;
  /** One press of an arrow key, or a few pixels of dragging. */
  readonly step: number;
  readonly digits?: number;
  readonly changed?: boolean;
  readonly onChange: (value: number) => void;
}

/** Pixels of dragging for one step. */
const DRAG_PX = 5;
/** Less movement than this is a click, which edits. */
const STILL_PX = 4;

/**
 * A number in a sentence that is its own control: drag it sideways, type into it, or use the arrow keys
 * (with Shift ten steps at once).
 */
export function NumberField(props: NumberFieldProps) {
  const { label, value, unit, min, max, step, digits = 4, changed = false, onChange } = props;
  const [draft, setDraft] = useState<string | null>(null);
  const drag = useRef<{ x: number; from: number; moved: boolean } | null>(null);
  const shown = draft ?? numberWords(value, digits);

  const settle = (wanted: number) => {
    const decimals = Math.max(0, Math.ceil(-Math.log10(step)) + 1);
    const within = Math.min(max, Math.max(min, Number(wanted.toFixed(decimals))));
    if (Number.isFinite(within) && within !== value) onChange(within);
  };
  const commit = () => {
    if (draft === null) return;
    const typed = Number(draft.trim().replace(',', '.'));
    if (draft.trim() !== '' && Number.isFinite(typed)) settle(typed);
    setDraft(null);
  };

  return (
    <span class={changed ? 'number changed' : 'number'}>
      <input
        type="text"
        inputMode="decimal"
        role="spinbutton"
        aria-label={label}
        aria-valuenow={value}
        aria-valuemin={min}
        aria-valuemax={max}
        aria-valuetext={`${numberWords(value, digits)}${unit ? ` ${unit}` : ''}`}
        autoComplete="off"
        spellcheck={false}
        value={shown}
        style={{ width: `${Math.max(1, shown.length) + 0.3}ch` }}
        onInput={(event) => setDraft(event.currentTarget.value)}
        onFocus={(event) => event.currentTarget.select()}
        onBlur={commit}
        onKeyDown={(event) => {
          const times = event.shiftKey ? 10 : 1;
          if (event.key === 'Enter') commit();
          else if (event.key === 'Escape') setDraft(null);
          else if (event.key === 'ArrowUp') settle(value + step * times);
          else if (event.key === 'ArrowDown') settle(value - step * times);
          else return;
          if (event.key.startsWith('Arrow')) {
            setDraft(null);
            event.preventDefault();
          }
        }}
        onPointerDown={(event) => {
          if (event.button !== 0 || document.activeElement === event.currentTarget) return;
          event.preventDefault();
          drag.current = { x: event.clientX, from: value, moved: false };
          event.currentTarget.setPointerCapture(event.pointerId);
        }}
        onPointerMove={(event) => {
          const held = drag.current;
          if (!held) return;
          const away = event.clientX - held.x;
          if (!held.moved && Math.abs(away) < STILL_PX) return;
          held.moved = true;
          settle(held.from + Math.round(away / DRAG_PX) * step);
        }}
        onPointerUp={(event) => {
          const held = drag.current;
          drag.current = null;
          if (held && !held.moved) event.currentTarget.focus();
        }}
        onPointerCancel={() => {
          drag.current = null;
        }}
      />
      {unit ? <span class="unit">{` ${unit}`}</span> : null}
    </span>
  );
}
