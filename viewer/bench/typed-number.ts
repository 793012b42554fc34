import { numberWords } from '../../src/words.ts';

/** What a number's place in a sentence takes. */
export interface Limits {
  readonly min: number;
  readonly max: number;
  readonly unit?: string | undefined;
  /** Whole numbers only. */
  readonly whole?: boolean | undefined;
  /** As many digits as are shown; finer ones are rounded away. */
  readonly digits: number;
}

/** What was typed: a number to take, with a word about how it was understood where that is needed; or why not. */
export type Typed = { readonly value: number; readonly note: string | null } | { readonly refusal: string };

/** Longer texts are cut where they are quoted back. */
const MOST_QUOTED = 12;

/**
 * Reads a number as people type it: with a decimal point or a decimal comma, thousands parted by the other of the
 * two, by spaces or by apostrophes, the unit behind it or not. One separator before exactly three digits may be
 * either; then the limits decide, and where both readings are within them the text is refused.
 */
export function readTyped(text: string, limits: Limits): Typed {
  const all = readings(withoutUnit(text.trim(), limits.unit));
  if (all.length === 0) return { refusal: `“${quoted(text)}” is not a number` };
  const fitting = all.filter((value) => misfit(value, limits) === null);
  if (fitting.length === 0) return { refusal: misfit(all[0]!, limits)! };
  const [value] = fitting as [number];
  if (fitting.length > 1) {
    const [either, or] = fitting.map((each) => numberWords(each, 9));
    return { refusal: `may mean ${either} or ${or}: type one of these` };
  }
  const isGrouped = all.length > 1 && value === all[1];
  return {
    value: Number(numberWords(value, limits.digits)),
    note: isGrouped ? `read as ${quantity(value, limits)}` : null,
  };
}

/** What a text can mean as a number: as a rule one, none when it is no number, two ([decimal, grouped]) at times. */
export function readings(text: string): readonly number[] {
  const joined = text.replaceAll('−', '-').replace(/(\d)[\s'’](?=\d{3}(?!\d))/g, '$1');
  if (/^[+-]?(\d+([.,]\d*)?|[.,]\d+)e[+-]?\d+$/i.test(joined)) return [Number(joined.replace(',', '.'))];
  const [, sign, body] = /^([+-]?)(\d[\d.,]*|[.,]\d+)$/.exec(joined) ?? [];
  if (body === undefined) return [];
  return unsigned(body).map((value) => (sign === '-' ? -value : value));
}

function unsigned(body: string): readonly number[] {
  const marks = body.match(/[.,]/g) ?? [];
  const last = marks.at(-1);
  if (last === undefined) return [Number(body)];
  if (marks.length === 1) {
    const [whole = '', part = ''] = body.split(last);
    const decimal = Number(`${whole}.${part}`);
    return part.length === 3 && /^[1-9]\d{0,2}$/.test(whole) ? [decimal, Number(whole + part)] : [decimal];
  }
  // All alike: they part thousands. Else the last one is the decimal mark, and the others part thousands.
  if (marks.every((mark) => mark === last)) return grouped(body, '');
  if (marks.filter((mark) => mark === last).length > 1) return [];
  const [whole = '', part = ''] = body.split(last);
  return grouped(whole, part);
}

const grouped = (whole: string, part: string): readonly number[] =>
  /^\d{1,3}([.,]\d{3})+$/.test(whole) ? [Number(`${whole.replace(/[.,]/g, '')}.${part}`)] : [];

/** Why a number is not taken, in a short sentence; null: it is. */
function misfit(value: number, limits: Limits): string | null {
  if (limits.whole && !Number.isInteger(value)) return 'whole numbers only';
  if (value < limits.min) return `${quantity(limits.min, limits)} is the least here`;
  if (value > limits.max) return `${quantity(limits.max, limits)} is the most here`;
  return null;
}

const quantity = (value: number, { unit }: Limits): string =>
  `${numberWords(value, 9)}${unit ? ` ${unit}` : ''}`;

const withoutUnit = (text: string, unit: string | undefined): string =>
  unit && text.endsWith(unit) ? text.slice(0, -unit.length).trimEnd() : text;

const quoted = (text: string): string =>
  text.length > MOST_QUOTED ? `${text.slice(0, MOST_QUOTED)}…` : text;
