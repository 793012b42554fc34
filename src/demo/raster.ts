import type { Block, LineBlock } from './gcode.ts';
import type { Span } from './scan.ts';

/** A stretch of a row burned at one S. */
interface Run {
  readonly fromMm: number;
  readonly toMm: number;
  readonly s: number;
}

/** One raster row: its runs from left to right. Between them the head keeps going with the beam off. */
export interface Row {
  readonly yMm: number;
  readonly runs: readonly Run[];
}

export interface RowSettings {
  readonly feedMmPerMin: number;
  /** Room to turn in beyond both ends of every row, with the beam off. 0: the head turns where the burn ends. */
  readonly overscanMm: number;
}

/** Raster positions are written to a hundredth, which is finer than a belt holds and keeps the files small. */
const hundredth = (mm: number): number => Math.round(mm * 100) / 100;

/** The heights of the rows that fill fromMm … toMm, each in the middle of its own strip. */
export function rowHeights(fromMm: number, toMm: number, rowSpacingMm: number): number[] {
  const count = Math.floor((toMm - fromMm) / rowSpacingMm + 1e-9);
  return Array.from({ length: count }, (_, k) => fromMm + (k + 0.5) * rowSpacingMm);
}

/** Spans burned at one S: lettering, filled shapes. Runs too short to write down are dropped. */
export const evenRuns = (spans: readonly Span[], s: number): Run[] =>
  spans
    .map(([fromMm, toMm]) => ({ fromMm: hundredth(fromMm), toMm: hundredth(toMm), s }))
    .filter((run) => run.toMm > run.fromMm);

/**
 * Spans burned in shades: `sAt(xMm)` is asked in the middle of each pixel, and neighbours of equal S are one
 * run. Pixels stand at whole multiples of `pixelMm`; those at a span's ends are cut to it.
 */
export function shadedRuns(spans: readonly Span[], pixelMm: number, sAt: (xMm: number) => number): Run[] {
  const runs: Run[] = [];
  for (const span of spans) {
    const [fromMm, toMm] = span.map(hundredth) as [number, number];
    for (let pixel = Math.floor(fromMm / pixelMm); pixel * pixelMm < toMm; pixel++) {
      const run = {
        fromMm: Math.max(fromMm, hundredth(pixel * pixelMm)),
        toMm: Math.min(toMm, hundredth((pixel + 1) * pixelMm)),
        s: sAt((pixel + 0.5) * pixelMm),
      };
      if (run.toMm <= run.fromMm) continue;
      const last = runs.at(-1);
      if (last && last.s === run.s && last.toMm === run.fromMm)
        runs[runs.length - 1] = { ...last, toMm: run.toMm };
      else runs.push(run);
    }
  }
  return runs;
}

/** Burns the rows in the order given, every other one from right to left; empty rows are passed over. */
export function burnRows(rows: readonly Row[], settings: RowSettings): Block[] {
  const burned = rows
    .filter((row) => row.runs.length > 0)
    .flatMap(({ yMm, runs }, k) => burnRow(yMm, k % 2 === 0 ? runs : backwards(runs), settings));
  return burned.map((block, k) => (k === 0 ? { do: 'travel', toMm: block.toMm } : block));
}

/** The same runs as the head meets them on its way back. */
const backwards = (runs: readonly Run[]): Run[] =>
  runs.map((run) => ({ fromMm: run.toMm, toMm: run.fromMm, s: run.s })).reverse();

function burnRow(yMm: number, runs: readonly Run[], { feedMmPerMin, overscanMm }: RowSettings): LineBlock[] {
  const to = (xMm: number, s: number): LineBlock => ({ do: 'line', toMm: [xMm, yMm], s, feedMmPerMin });
  const first = runs[0]!;
  const last = runs.at(-1)!;
  const runUpMm = Math.sign(first.toMm - first.fromMm) * overscanMm;
  return [
    to(first.fromMm - runUpMm, 0),
    ...runs.flatMap((run) => [to(run.fromMm, 0), to(run.toMm, run.s)]),
    to(last.toMm + runUpMm, 0),
  ];
}
