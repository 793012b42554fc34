import type { Ring } from './geometry.ts';

/** A stretch of one scan line, mm. Lists of spans run from left to right and do not touch. */
export type Span = readonly [fromMm: number, toMm: number];

/**
 * What is inside a set of rings: `nonzero` counts turns (a letter's bowl runs against its outline);
 * `even-odd` counts crossings.
 */
type FillRule = 'nonzero' | 'even-odd';

/**
 * Where the scan line y = `yMm` lies inside the rings, exactly: every edge that crosses the line is cut at
 * it. An edge holds its lower end and not its upper one, so a line through a corner counts it once.
 */
export function spansAt(rings: readonly Ring[], yMm: number, rule: FillRule): Span[] {
  const crossings: { xMm: number; turn: number }[] = [];
  for (const ring of rings) {
    for (let k = 0; k < ring.length; k++) {
      const [ax, ay] = ring[k]!;
      const [bx, by] = ring[(k + 1) % ring.length]!;
      if (ay <= yMm === by <= yMm) continue;
      crossings.push({ xMm: ax + ((bx - ax) * (yMm - ay)) / (by - ay), turn: by > ay ? 1 : -1 });
    }
  }
  crossings.sort((a, b) => a.xMm - b.xMm);

  const spans: Span[] = [];
  const inside = (count: number) => (rule === 'nonzero' ? count !== 0 : count % 2 !== 0);
  let count = 0;
  let fromMm = 0;
  for (const { xMm, turn } of crossings) {
    const wasInside = inside(count);
    count += turn;
    if (!wasInside && inside(count)) fromMm = xMm;
    else if (wasInside && !inside(count) && xMm > fromMm) spans.push([fromMm, xMm]);
  }
  return spans;
}

/** The spans with the holes taken out. */
export function without(spans: readonly Span[], holes: readonly Span[]): Span[] {
  const left: Span[] = [];
  for (const [fromMm, toMm] of spans) {
    let startMm = fromMm;
    for (const [holeFromMm, holeToMm] of holes) {
      if (holeToMm <= startMm || holeFromMm >= toMm) continue;
      if (holeFromMm > startMm) left.push([startMm, holeFromMm]);
      startMm = holeToMm;
    }
    if (startMm < toMm) left.push([startMm, toMm]);
  }
  return left;
}

/** Spans of several drawings that lie side by side, in one list. */
export const together = (...lists: readonly Span[][]): Span[] => lists.flat().sort((a, b) => a[0] - b[0]);

export const moved = (spans: readonly Span[], byMm: number): Span[] =>
  spans.map(([fromMm, toMm]) => [fromMm + byMm, toMm + byMm]);
