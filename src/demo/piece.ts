import type { Block } from './gcode.ts';
import { burnPath, type Path, type StrokeSettings } from './path.ts';
import { burnRows, evenRuns, type Row, type RowSettings, rowHeights } from './raster.ts';
import type { Span } from './scan.ts';

/** One thing to be made: what is engraved on it, what is scored, and where it is cut out of the board. */
export interface Piece {
  /** The heights between which rows are laid. */
  readonly rowsFromMm: number;
  readonly rowsToMm: number;
  /** What is engraved on the scan line y = `yMm`. */
  readonly engravedAt: (yMm: number) => Span[];
  readonly scored: readonly Path[];
  readonly holes: readonly Path[];
  readonly outline: Path;
}

/** The settings a person types in before the job is written. */
export interface Settings {
  readonly power: 'constant' | 'proportional';
  readonly engrave: RowSettings & { readonly s: number; readonly rowSpacingMm: number };
  readonly score: StrokeSettings;
  readonly cut: StrokeSettings;
}

/**
 * Burns pieces that lie on one board, in the order that keeps them from moving too early: engrave, score,
 * cut the holes, cut them free.
 */
export function burnPieces(pieces: readonly Piece[], settings: Settings): Block[] {
  const { engrave, score, cut } = settings;
  const rows = pieces.flatMap(({ rowsFromMm, rowsToMm, engravedAt }): Row[] =>
    rowHeights(rowsFromMm, rowsToMm, engrave.rowSpacingMm).map((yMm) => ({
      yMm,
      runs: evenRuns(engravedAt(yMm), engrave.s),
    })),
  );
  const strokes = (paths: readonly Path[], stroke: StrokeSettings) =>
    paths.flatMap((path) => burnPath(path, stroke));
  const holes = pieces.flatMap((piece) => piece.holes);
  return [
    ...operation(
      `Engrave: rows ${engrave.rowSpacingMm} mm apart, back and forth, ${turning(engrave)}`,
      settings.power,
      burnRows(rows, engrave),
    ),
    ...operation(
      'Score: leaves and frame',
      settings.power,
      strokes(
        pieces.flatMap((piece) => piece.scored),
        score,
      ),
    ),
    ...(holes.length > 0
      ? operation(`Cut the holes: ${cut.passes} passes`, settings.power, strokes(holes, cut))
      : []),
    ...operation(
      `Cut free, last: ${cut.passes} passes`,
      settings.power,
      strokes(
        pieces.map((piece) => piece.outline),
        cut,
      ),
    ),
  ];
}

/** A comment, the beam armed, the work, the beam off. */
export const operation = (text: string, power: Settings['power'], work: readonly Block[]): Block[] => [
  { do: 'say', text },
  { do: 'arm', power },
  ...work,
  { do: 'disarm' },
];

export const turning = ({ overscanMm }: RowSettings): string =>
  overscanMm > 0 ? `turning ${overscanMm} mm beyond the burn` : 'turning where the burn ends';
