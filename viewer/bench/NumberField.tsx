import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { setRefusal } from '../state/refusals.ts';
import { beginStretch, endStretch } from '../state/steps.ts';
import { chOf, plainMinus, shownNumber } from '../words/shown-number.ts';
import { readTyped } from './typed-number.ts';

export interface NumberFieldProps {
  /** What a screen reader says: *speed of operation 2, mm/min*. */
  readonly label: string;
  readonly value: number;
  readonly unit?: string;
  /** The mark that follows, kept on the number's line. */
  readonly after?: string;
  readonly min: number;
  readonly max: number;
  /** One press of an arrow key, or a few pixels of dragging. */
  readonly step: number;
  readonly digits?: number;
  /** Whole numbers only. */
  readonly whole?: boolean;
  readonly changed?: boolean;
  readonly onChange: (value: number) => void;
}

/** Pixels of dragging for one step. */
const DRAG_PX = 5;
/** What has been typed and is not taken yet, or never will be. */
interface Draft {
  readonly text: string;
  /** Why it was not taken; null: it is still being typed. */
  readonly refusal: string | null;
  /** What the field's number was when that was said: another number since, and it is no longer of any use. */
  readonly beside: string;
}

/** Less movement than this is a click, which edits. */
const STILL_PX = 4;

/**
 * A number in a sentence that is its own control: drag it sideways, type into it, or use the arrow keys
 * (with Shift ten steps at once). What cannot be taken stays as typed, with the reason beside it, and the number
 * before it stays in force.
 */
export function NumberField(props: NumberFieldProps) {
  const {
    label,
    value,
    unit,
    after,
    min,
    max,
    step,
    digits = 4,
    whole = false,
    changed = false,
    onChange,
  } = props;
  const [typed, setTyped] = useState<Draft | null>(null);
  const [note, setNote] = useState<{ readonly words: string; readonly of: string } | null>(null);
  const drag = useRef<{ x: number; from: number; moved: boolean } | null>(null);
  const id = useId();
  const own = shownNumber(value, digits);
  const draft = typed?.refusal && typed.beside !== own ? null : typed;
  const refusal = draft?.refusal ?? null;
  const said = refusal ?? (draft === null && note?.of === own ? note.words : null);
  const shown = draft?.text ?? own;

  useEffect(() => {
    setRefusal(id, refusal);
    return () => setRefusal(id, null);
  }, [id, refusal]);

  const settle = (wanted: number) => {
    const decimals = whole ? 0 : Math.max(0, Math.ceil(-Math.log10(step)) + 1);
    const within = Math.min(max, Math.max(min, Number(wanted.toFixed(decimals))));
    if (Number.isFinite(within) && within !== value) onChange(within);
  };
  const commit = () => {
    if (draft === null || refusal !== null) return;
    const text = plainMinus(draft.text.trim());
    const read =
      text === '' || text === plainMinus(own) ? null : readTyped(text, { min, max, unit, whole, digits });
    if (read && 'refusal' in read) {
      setTyped({ text, refusal: read.refusal, beside: own });
      return;
    }
    setTyped(null);
    if (!read) return;
    setNote(read.note === null ? null : { words: read.note, of: shownNumber(read.value, digits) });
    if (read.value !== Number(plainMinus(own))) onChange(read.value);
  };

  return (
    <span class={['number', changed ? 'changed' : '', refusal ? 'refused' : ''].join(' ').trim()}>
      <input
        type="text"
        inputMode="decimal"
        role="spinbutton"
        aria-label={label}
        aria-valuenow={value}
        aria-valuemin={min}
        aria-valuemax={max}
        aria-valuetext={`${own}${unit ? ` ${unit}` : ''}`}
        data-typing={draft !== null}
        aria-invalid={refusal !== null}
        aria-describedby={said ? `${id}-said` : undefined}
        autoComplete="off"
        spellcheck={false}
        value={shown}
        style={{ width: `${chOf(shown)}ch` }}
        onInput={(event) => setTyped({ text: event.currentTarget.value, refusal: null, beside: own })}
        onFocus={(event) => event.currentTarget.select()}
        onBlur={() => {
          endStretch();
          commit();
        }}
        onKeyDown={(event) => {
          const times = event.shiftKey ? 10 : 1;
          if (event.key.startsWith('Arrow')) beginStretch();
          if (event.key === 'Enter') commit();
          else if (event.key === 'Escape') setTyped(null);
          else if (event.key === 'ArrowUp') settle(value + step * times);
          else if (event.key === 'ArrowDown') settle(value - step * times);
          else return;
          if (event.key.startsWith('Arrow')) {
            setTyped(null);
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
          if (!held.moved) beginStretch();
          held.moved = true;
          setTyped(null);
          settle(held.from + Math.round(away / DRAG_PX) * step);
        }}
        onPointerUp={(event) => {
          const held = drag.current;
          drag.current = null;
          endStretch();
          if (held && !held.moved) event.currentTarget.focus();
        }}
        onPointerCancel={() => {
          drag.current = null;
          endStretch();
        }}
        onKeyUp={endStretch}
      />
      {unit ? <span class="unit">{` ${unit}`}</span> : null}
      {said ? (
        <span id={`${id}-said`} class="said" role={refusal ? 'alert' : 'status'}>
          {` (${said})`}
        </span>
      ) : null}
      {after}
    </span>
  );
}
