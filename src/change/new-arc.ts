import { type Arc, type ArcEnds, arcAround, arcOfRadius, chordCount } from '../program/arcs.ts';
import * as code from '../program/codes.ts';
import type { Program } from '../program/program.ts';
import type { State } from '../program/state.ts';
import type { NewArc } from './changed.ts';
import { axisNumber, feedNumber, sNumber, writtenIn } from './fit-line.ts';
import { frameBefore, type JobLines, type LineTable, placeBefore } from './line-table.ts';
import { findWord, startEdit } from './line-words.ts';
import { type Placement, placedAt } from './placement.ts';

/** Decimals of a centre: more than of places, since the circle goes by it. */
const DECIMALS = 7;

/**
 * New moves as one arc about the centre of a line of the job.
 * @param gap between words.
 * @returns null where the line has no such centre, or where what is written would be read as other chords: then each move
 *   is to be written by itself.
 */
export function newArc(
  { program: { moves } }: { readonly program: Program },
  { first, count, line }: NewArc,
  about: { readonly table: LineTable; readonly lines: JobLines; readonly placement: Placement | null },
  state: State,
  gap: string,
): string | null {
  const arc = arcOfLine(line, about.table, about.lines);
  if (!arc || state.plane !== code.PLANE_XY) return null;
  const { placement } = about;
  const [x, y] = placement
    ? placedAt(placement, arc.centreA, arc.centreB)
    : ([arc.centreA, arc.centreB] as const);
  const last = first + count - 1;
  const end = [moves.xMm[last]!, moves.yMm[last]!, moves.zMm[last]!];
  const motion = about.table.motion[line]!;
  const word = (axis: 0 | 1, mm: number) => {
    const origin = state.arcAbsolute ? state.shift[axis]! : state.at[axis]!;
    const unit = state.mmPerUnit;
    return { text: writtenIn(unit, mm - origin, DECIMALS), origin, unit };
  };
  const [i, j] = [word(0, x), word(1, y)];
  const ends = endsOf(state.at, end, motion, line);
  const centre = (of: typeof i) => of.origin + Number(of.text) * of.unit;
  if (!isReadAs(ends, centre(i), centre(j), count, state)) return null;
  const words = ['X', 'Y', 'Z'].flatMap((letter, axis) =>
    letter !== 'Z' || end[axis] !== state.at[axis] ? [letter + axisNumber(end[axis]!, axis, state)] : [],
  );
  return [
    ...(state.motion === motion ? [] : [`G${motion / 10}`]),
    ...words,
    `I${i.text}`,
    `J${j.text}`,
    ...(state.power.spindleS === moves.s[first] ? [] : [`S${sNumber(moves.s[first]!)}`]),
    ...(state.feedMmPerS === moves.feedMmPerS[first]
      ? []
      : [`F${feedNumber(moves.feedMmPerS[first]!, state)}`]),
  ].join(gap);
}

/** The arc that a line of the job makes in X and Y; null where it is none. */
function arcOfLine(line: number, table: LineTable, lines: JobLines): Arc | null {
  const motion = table.motion[line]!;
  const { plane, mmPerUnit, arcAbsolute, shift } = frameBefore(table, line);
  if ((motion !== code.CLOCKWISE && motion !== code.COUNTER_CLOCKWISE) || plane !== code.PLANE_XY)
    return null;
  const edit = startEdit(lines.text(line), line, ' ');
  const start = placeBefore(table, line);
  const ends = endsOf(start, placeBefore(table, line + 1), motion, line);
  const given = (letter: string): number | null => {
    const at = findWord(edit, letter);
    return at < 0 ? null : edit.words[at]!.value * mmPerUnit;
  };
  const radius = given('R');
  if (radius !== null) return arcOfRadius(ends, radius);
  const centre = (letter: string, axis: number) =>
    (given(letter) ?? 0) + (arcAbsolute ? shift[axis]! : start[axis]!);
  return arcAround(ends, centre('I', 0), centre('J', 1), 1);
}

const endsOf = (start: ArrayLike<number>, end: ArrayLike<number>, motion: number, line: number): ArcEnds => ({
  startA: start[0]!,
  startB: start[1]!,
  endA: end[0]!,
  endB: end[1]!,
  clockwise: motion === code.CLOCKWISE,
  line,
});

/** Whether an arc is read as so many chords, less than a whole turn of them. */
function isReadAs(ends: ArcEnds, x: number, y: number, count: number, { arcToleranceMm }: State): boolean {
  const radius = Math.hypot(ends.startA - x, ends.startB - y);
  const endRadius = Math.hypot(ends.endA - x, ends.endB - y);
  if (!(radius > 0) || Math.abs(radius - endRadius) > 0.5 * NEAR_MM) return false;
  const arc = arcAround(ends, x, y, 1);
  return Math.abs(arc.sweep) < Math.PI && chordCount(arc, arcToleranceMm, ends.line) === count;
}

/** Files round the ends of arcs by so much. */
const NEAR_MM = 0.01;
