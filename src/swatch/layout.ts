import { InputError } from '../errors.ts';
import { CODE_DIGITS, codeWidthMm } from './code.ts';
import type { Point } from './digits.ts';

/**
 * Where the parts of a swatch go. From top to bottom: lines, patches, cuts; a mark in each corner.
 *
 *   ●  ─── ─── ───   │ │ │ │ │ │ │   ●
 *      8  12  18  27  41  62  94
 *   48 ▓▓  ▓▓  ▓▓  ▓▓  ▓▓  ▓▓  ▓▓  4821
 *   30 ▓▓  ▓▓  ▓▓  ▓▓  ▓▓  ▓▓  ▓▓
 *      ▒▒  ▒▒  ▒▒  ▒▒  ▒▒  ▒▒        each in rows of its own
 *      1 2 3 4 5 6 7 8 9 …
 *   ○  | | | | | | | | |           ●
 */
export interface Layout {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly markRadiusMm: number;
  readonly holeRadiusMm: number;
  /** Lower left, lower right, upper right, upper left. */
  readonly marks: readonly Point[];
  /** Room on either side of a mark for its run-up, mm. */
  readonly markRoomMm: number;
  readonly columns: number;
  readonly rows: number;
  readonly patchMm: Point;
  /** Lower left corner of the patch in a column (0 is the left one) and a row (0 is the top one). */
  readonly patchAt: (column: number, row: number) => Point;
  /** Lower left corners of patches that are burned alone, in a row below the others; none on a low board. */
  readonly aloneAt: readonly Point[];
  /** Room on either side of a row of patches for its run-up, mm. */
  readonly patchRoomMm: number;
  readonly linesAlongX: readonly Point[];
  readonly linesAlongY: readonly Point[];
  readonly alongXMm: number;
  readonly alongYMm: number;
  /** Room at either end of a line for its run-up, mm. */
  readonly lineRoomMm: number;
  readonly cuts: readonly Point[];
  readonly cutMm: number;
  readonly labelMm: number;
  /** The middle of the code, and how high its digits are. */
  readonly code: Point;
  readonly codeMm: number;
}

/** Nothing larger is needed, and larger takes long to burn. */
const MOST_MM = [120, 80] as const;
const LEAST_MM = [56, 46] as const;
/** Free wood between the board's edge and anything burned, and that much more for the beam-off runs. */
const EDGE_MM = 2.5;
const RUN_EDGE_MM = 0.5;
const MARK_RADIUS_MM = 2.2;
const LABEL_MM = 1.5;
/** Larger than the labels: a photo must tell its digits, too. */
const CODE_MM = 1.8;
const GAP_MM = 2;
const LINE_PITCH_MM = 2.6;
const STRIP_MM = 8;
const CUT_MM = 5.5;
const CUT_PITCH_MM = 4.6;
/** Free wood on either side of the patches: feed labels stand there, and the head gets up to speed. */
const LANE_MM = 9;
const LEAST_PATCH_MM = [5, 3.8] as const;
/** So many rows of patches at the least before one is given to those that are burned alone. */
const FEWEST_ROWS = 3;

/**
 * Divides a piece of stock; what is larger than {@link MOST_MM} stays free at the right and the top.
 * @throws {InputError} when it is too small.
 */
export function layoutOn(stockWidthMm: number, stockHeightMm: number): Layout {
  if (stockWidthMm < LEAST_MM[0] || stockHeightMm < LEAST_MM[1]) {
    throw new InputError(
      `found a board of ${stockWidthMm} × ${stockHeightMm} mm; expected at least ${LEAST_MM[0]} × ${LEAST_MM[1]} mm, ` +
        'so that patches, lines and marks are large enough to read on a photo',
    );
  }
  const widthMm = Math.min(stockWidthMm, MOST_MM[0]);
  const heightMm = Math.min(stockHeightMm, MOST_MM[1]);
  const inset = EDGE_MM + MARK_RADIUS_MM;
  const marks: Point[] = [
    [inset, inset],
    [widthMm - inset, inset],
    [widthMm - inset, heightMm - inset],
    [inset, heightMm - inset],
  ];
  const stripLeft = inset + MARK_RADIUS_MM + GAP_MM;
  const stripWidth = widthMm - 2 * stripLeft;
  const topStrip = heightMm - EDGE_MM - STRIP_MM;
  const patches = patchRoom(widthMm, topStrip - GAP_MM);
  return {
    widthMm,
    heightMm,
    markRadiusMm: MARK_RADIUS_MM,
    holeRadiusMm: MARK_RADIUS_MM / 2,
    marks,
    markRoomMm: EDGE_MM - RUN_EDGE_MM,
    ...patches,
    ...lineRoom(stripLeft, stripWidth, topStrip),
    cuts: cutPlaces(stripLeft, stripWidth),
    cutMm: CUT_MM,
    labelMm: LABEL_MM,
    code: [
      widthMm - EDGE_MM - codeWidthMm({ text: '0'.repeat(CODE_DIGITS), height_mm: CODE_MM }) / 2,
      patches.patchAt(0, 0)[1] + patches.patchMm[1] / 2,
    ],
    codeMm: CODE_MM,
  };
}

/** Patches between the cut strip and `topMm`, with a row of labels over them. */
function patchRoom(widthMm: number, topMm: number) {
  const bottom = EDGE_MM + CUT_MM + 2 * LABEL_MM + GAP_MM;
  const height = topMm - LABEL_MM - GAP_MM / 2 - bottom;
  const width = widthMm - 2 * LANE_MM;
  const [columns, patchWidth] = divide(width, LEAST_PATCH_MM[0], 8);
  const [all, patchHeight] = divide(height, LEAST_PATCH_MM[1], 6);
  // Few rows are all needed for doses at several speeds.
  const rows = all > FEWEST_ROWS ? all - 1 : all;
  const patchAt = (column: number, row: number): Point => [
    LANE_MM + column * (patchWidth + GAP_MM),
    bottom + (all - 1 - row) * (patchHeight + GAP_MM),
  ];
  return {
    columns,
    rows,
    patchMm: [patchWidth, patchHeight] as const,
    patchAt,
    aloneAt: all > rows ? Array.from({ length: columns }, (_, column) => patchAt(column, rows)) : [],
    patchRoomMm: LANE_MM - RUN_EDGE_MM,
  };
}

/** As many equal pieces as fit, gaps between them, at most `most`; each a whole tenth of a millimetre. */
function divide(lengthMm: number, leastMm: number, most: number): [count: number, pieceMm: number] {
  const count = Math.min(most, Math.floor((lengthMm + GAP_MM) / (leastMm + GAP_MM)));
  return [count, Math.floor(((lengthMm + GAP_MM) / count - GAP_MM) * 10 + 1e-6) / 10];
}

/** Lines along x on the left of the strip, in stacks of three; lines along y on its right. */
function lineRoom(leftMm: number, widthMm: number, bottomMm: number) {
  const stacked = 3;
  const roomMm = EDGE_MM - RUN_EDGE_MM;
  const alongYMm = STRIP_MM - 1;
  const least = Math.max(6, alongYMm);
  // n stacks of lines along x and 3n lines along y share the width.
  const stackCount = Math.min(
    4,
    Math.max(2, Math.floor(widthMm / (least + GAP_MM + stacked * LINE_PITCH_MM))),
  );
  const count = stackCount * stacked;
  const yWidth = (count - 1) * LINE_PITCH_MM;
  const xWidth = widthMm - yWidth - GAP_MM - roomMm;
  const alongXMm = Math.floor(Math.min(10, xWidth / stackCount - GAP_MM) * 10) / 10;
  return {
    linesAlongX: Array.from(
      { length: count },
      (_, k): Point => [
        leftMm + Math.floor(k / stacked) * (alongXMm + GAP_MM),
        bottomMm + STRIP_MM - 1 - (k % stacked) * LINE_PITCH_MM,
      ],
    ),
    linesAlongY: Array.from(
      { length: count },
      (_, k): Point => [leftMm + widthMm - yWidth + k * LINE_PITCH_MM, bottomMm + 0.5],
    ),
    alongXMm,
    alongYMm,
    lineRoomMm: roomMm,
  };
}

function cutPlaces(leftMm: number, widthMm: number): Point[] {
  const count = Math.min(16, Math.floor(widthMm / CUT_PITCH_MM) + 1);
  return Array.from({ length: count }, (_, k): Point => [leftMm + (k * widthMm) / (count - 1), EDGE_MM]);
}
