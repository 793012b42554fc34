import { greatestOf } from '../lists.ts';
import { ticksOver } from './numbers.ts';
import { HAIRLINE, QUIET_INK, rectAt, textAt } from './svg.ts';
import { textWidthPx } from './text.ts';
import { type View, xToPx, yToPx } from './view.ts';

/**
 * Millimetres along the left and lower edge of a view, in the job's own coordinates, so that a place named
 * in a finding can be found. Labels keep their distance from each other at any size.
 */
export interface AxesSizes {
  readonly fontPx: number;
  /** Where the ticks begin, from the view's edge: past the board's side and shadow. */
  readonly offsetPx: number;
}

interface Mark {
  readonly atPx: number;
  readonly label: string;
}

/** The room the axes need: to the left of the view, and under it. */
export function axesRoom(view: View, { fontPx, offsetPx }: AxesSizes): { leftPx: number; belowPx: number } {
  const size = labelSize(fontPx);
  const widest = Math.max(
    greatestOf(marksUp(view, fontPx).map((mark) => textWidthPx(mark.label, size))),
    size * 2.6,
  );
  return { leftPx: Math.ceil(widest + offsetPx + fontPx), belowPx: Math.ceil(offsetPx + fontPx * 1.75) };
}

/** Ticks and labels for a view whose upper left corner lies at (0, 0). */
export function axesSvg(view: View, sizes: AxesSizes): string {
  const { fontPx, offsetPx } = sizes;
  const size = labelSize(fontPx);
  const long = fontPx * 0.42;
  const line = Math.max(1, fontPx / 18);
  const { widthPx, heightPx } = view;
  const below = heightPx + offsetPx;
  const baseline = below + long + size * 1.05;
  let svg = '';
  const tickAcross = (atPx: number, lengthPx: number) =>
    rectAt(atPx - line / 2, below, line, lengthPx, HAIRLINE);
  const tickUp = (atPx: number, lengthPx: number) =>
    rectAt(-offsetPx - lengthPx, atPx - line / 2, lengthPx, line, HAIRLINE);

  const across = marksAcross(view, fontPx);
  const up = marksUp(view, fontPx);
  svg += finer(view.leftMm, widthPx, view.pxPerMm, across, fontPx)
    .map((mm) => tickAcross(xToPx(view, mm), long * 0.5))
    .join('');
  svg += finer(view.bottomMm, heightPx, view.pxPerMm, up, fontPx)
    .map((mm) => tickUp(yToPx(view, mm), long * 0.5))
    .join('');
  const style = { sizePx: size, fill: QUIET_INK };
  for (const { atPx, label } of across) {
    svg += tickAcross(atPx, long) + textAt(atPx, baseline, label, { ...style, anchor: 'middle' });
  }
  for (const { atPx, label } of up) {
    const y = atPx + size * 0.33;
    svg += tickUp(atPx, long) + textAt(-offsetPx - long - size * 0.3, y, label, { ...style, anchor: 'end' });
  }
  const first = across[0];
  const end = Math.min(
    -offsetPx - long,
    first ? first.atPx - textWidthPx(first.label, size) / 2 - size * 0.6 : 0,
  );
  return `<g>${svg}${textAt(end, baseline, 'mm', { ...style, anchor: 'end' })}</g>`;
}

const labelSize = (fontPx: number): number => fontPx * 0.86;

function marksAcross(view: View, fontPx: number): Mark[] {
  const { leftMm, widthPx, pxPerMm } = view;
  const size = labelSize(fontPx);
  const [from, to] = rimToRim(leftMm, widthPx, pxPerMm);
  const ends = [from, to].map((mm) => textWidthPx(mm.toFixed(1), size));
  const ticks = ticksOver(from, to, Math.max(1, widthPx / (greatestOf(ends) * 2.8)));
  const marks = ticks.values.map((mm, k) => ({ atPx: xToPx(view, mm), label: ticks.labels[k]! }));
  return apart(marks, (mark) => textWidthPx(mark.label, size) + size * 0.8);
}

function marksUp(view: View, fontPx: number): Mark[] {
  const { bottomMm, heightPx, pxPerMm } = view;
  const size = labelSize(fontPx);
  const [from, to] = rimToRim(bottomMm, heightPx, pxPerMm);
  const ticks = ticksOver(from, to, Math.max(1, heightPx / (size * 4.5)));
  const marks = ticks.values.map((mm, k) => ({ atPx: yToPx(view, mm), label: ticks.labels[k]! }));
  return apart(marks, () => size * 1.25);
}

/** The range of an axis, half a pixel wider than the view: its edges were rounded to pixels. */
const rimToRim = (fromMm: number, lengthPx: number, pxPerMm: number): [number, number] => [
  fromMm - 0.5 / pxPerMm,
  fromMm + (lengthPx + 0.5) / pxPerMm,
];

/** The marks, without those too near the one before. */
function apart(marks: readonly Mark[], room: (mark: Mark) => number): Mark[] {
  const kept: Mark[] = [];
  for (const mark of marks) {
    const before = kept.at(-1);
    if (!before || Math.abs(mark.atPx - before.atPx) >= (room(mark) + room(before)) / 2) kept.push(mark);
  }
  return kept;
}

/** Unlabelled ticks between the marks, as fine as stay apart; none where there are no two marks to divide. */
function finer(
  fromMm: number,
  lengthPx: number,
  pxPerMm: number,
  marks: readonly Mark[],
  fontPx: number,
): readonly number[] {
  if (marks.length < 2) return [];
  const { values } = ticksOver(...rimToRim(fromMm, lengthPx, pxPerMm), lengthPx / (fontPx * 0.7));
  const stepPx = (values.length > 1 ? values[1]! - values[0]! : 0) * pxPerMm;
  return stepPx >= fontPx * 0.3 ? values : [];
}
