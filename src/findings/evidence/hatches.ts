import {
  areaMm2,
  type Bounds,
  cellAt,
  cellsAlong,
  EMPTY_BOUNDS,
  frameOver,
  type GridFrame,
  type GrowingBounds,
  grownBounds,
  overlaps,
  reach,
} from '../../grid.ts';
import { burnsAtFeed } from '../../program/beam-on.ts';
import type { Moves, Operation, Program } from '../../program/program.ts';
import { ALONG, type CrossingLines, measureHatch, type RowLines, rowsAlong } from './row-lines.ts';

/** Rows of an operation that run in one direction, and which others lie over the same wood in another. */
export interface LaidRows {
  readonly rows: RowLines;
  readonly over: readonly OwnedRows[];
}

interface OwnedRows {
  readonly rows: RowLines;
  /** The number of their operation. */
  readonly n: number;
}

/** The rows of each operation, one for each direction, that with most of the length first; none for outlines. */
export type Hatches = readonly (readonly LaidRows[])[];

/** Rows cross others where they lie over at least this part of their length. */
const CROSSED = 0.5;

/** How the rows of a job lie, and cross one another: in one operation or in several. In the order of its operations. */
export function layHatches(program: Program): Hatches {
  const hatches = program.operations.map((operation) =>
    operation.kind === 'rows' ? measureHatch(program, operation) : [],
  );
  const all = hatches.flatMap((hatch, k) =>
    hatch.map((rows) => ({ rows, operation: program.operations[k]!, hatch })),
  );
  const directions = [...new Map(all.map(({ rows }) => [`${rows.ux} ${rows.uy}`, rows])).values()];
  const covers = all
    .filter(({ rows }) => directions.some((other) => crosses(rows, other)))
    .map((each) => coverOf(program.moves, each));
  const over = new Map(meetings(covers));
  return hatches.map((hatch) => hatch.map((rows) => ({ rows, over: over.get(rows) ?? [] })));
}

/** So many others whose bounds overlap are looked at, the leftmost first: rows among more are no hatch. */
const MOST_MET = 100;

/** Which rows lie over others, and over which of them: in the order of their operations. */
function meetings(covers: readonly Cover[]): [RowLines, OwnedRows[]][] {
  const over = covers.map((): number[] => []);
  const met = new Uint8Array(covers.length);
  const fromLeft = covers
    .map((_, k) => k)
    .sort((a, b) => covers[a]!.bounds.minXMm - covers[b]!.bounds.minXMm);
  const meet = (a: number, b: number): void => {
    if (met[a]! >= MOST_MET) return;
    met[a]!++;
    if (isOver(covers[a]!, covers[b]!)) over[a]!.push(b);
  };
  fromLeft.forEach((a, k) => {
    const { bounds, rows } = covers[a]!;
    for (let next = k + 1; next < fromLeft.length; next++) {
      const b = fromLeft[next]!;
      if (covers[b]!.bounds.minXMm > bounds.maxXMm) break;
      if (!overlaps(bounds, covers[b]!.bounds) || !crosses(rows, covers[b]!.rows)) continue;
      meet(a, b);
      meet(b, a);
    }
  });
  return covers.map(({ rows }, k) => [
    rows,
    over[k]!.sort((a, b) => a - b).map((other) => ({ rows: covers[other]!.rows, n: covers[other]!.n })),
  ]);
}

/** The rows of an operation, each with those that cross it as parts of its own dose. */
export const crossedRows = (
  laid: readonly LaidRows[],
  { n }: Operation,
  lineJPerMm: (n: number) => number,
): RowLines[] =>
  laid.map(({ rows, over }) => {
    const own = lineJPerMm(n) / rows.spacingMm!;
    const crossing = over.map(
      ({ rows: { ux, uy, spacingMm, count, longestMm }, n: operation }): CrossingLines => {
        const meanTimes = lineJPerMm(operation) / spacingMm! / own;
        return { ux, uy, spacingMm: spacingMm!, count, longestMm, operation, meanTimes };
      },
    );
    return own > 0 && crossing.length > 0 ? { ...rows, crossing } : rows;
  });

/** Whether rows run in plainly different directions, both side by side. */
const crosses = (a: RowLines, b: RowLines): boolean =>
  a.spacingMm !== null && b.spacingMm !== null && Math.abs(a.ux * b.ux + a.uy * b.uy) < ALONG;

/** The wood that rows cover. */
interface Cover extends OwnedRows {
  readonly moves: Moves;
  /** The moves along them. */
  readonly along: readonly number[];
  readonly bounds: Bounds;
  /** Cells at least as wide as the rows lie apart, and which of them some row runs through. */
  readonly frame: GridFrame;
  readonly isCovered: Uint8Array;
}

/** Of so many cells at most. */
const MOST_CELLS = 40_000;
const WIDER = 1.1;

function coverOf(
  moves: Moves,
  { rows, operation, hatch }: { rows: RowLines; operation: Operation; hatch: readonly RowLines[] },
): Cover {
  const along: number[] = [];
  const bounds: GrowingBounds = { ...EMPTY_BOUNDS };
  for (let i = operation.firstMove; i <= operation.lastMove; i++) {
    if (!burnsAtFeed(moves, i)) continue;
    const [x0, y0, x1, y1] = endsOf(moves, i);
    if (rowsAlong(hatch, x1 - x0, y1 - y0) !== rows) continue;
    along.push(i);
    reach(bounds, x0, y0);
    reach(bounds, x1, y1);
  }
  const cellMm = Math.max(WIDER * rows.spacingMm!, Math.sqrt(areaMm2(bounds) / MOST_CELLS));
  const frame = frameOver(grownBounds(bounds, cellMm / 2), cellMm);
  const isCovered = new Uint8Array(frame.nx * frame.ny);
  const cover = (cell: number): void => {
    isCovered[cell] = 1;
  };
  for (const i of along) {
    const ends = endsOf(moves, i);
    cover(cellAt(frame, ends[0], ends[1]));
    cellsAlong(frame, ...ends, cover);
    cover(cellAt(frame, ends[2], ends[3]));
  }
  return { rows, n: operation.n, moves, along, bounds, frame, isCovered };
}

const endsOf = ({ xMm, yMm }: Moves, i: number): readonly [number, number, number, number] => [
  i > 0 ? xMm[i - 1]! : 0,
  i > 0 ? yMm[i - 1]! : 0,
  xMm[i]!,
  yMm[i]!,
];

/** Moves that are asked whether they lie over others. */
const MOST_ASKED = 1000;
/** Places on them that keep step with nothing. */
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** Whether rows lie over others for {@link CROSSED} of their length. */
function isOver({ moves, along }: Cover, other: Cover): boolean {
  let [over, all] = [0, 0];
  const stride = Math.max(1, along.length / MOST_ASKED);
  for (let k = 0; k < Math.min(along.length, MOST_ASKED); k++) {
    const [x0, y0, x1, y1] = endsOf(moves, along[Math.floor(k * stride)]!);
    const part = (k * GOLDEN) % 1;
    const length = Math.hypot(x1 - x0, y1 - y0);
    const cell = cellAt(other.frame, x0 + part * (x1 - x0), y0 + part * (y1 - y0));
    all += length;
    if (cell >= 0 && other.isCovered[cell] === 1) over += length;
  }
  return over >= CROSSED * all;
}
