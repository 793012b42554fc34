import { describe, expect, it } from 'vitest';
import { cellAt, type Grid } from '../../src/grid.ts';
import { demoForecast, demoJob } from '../support/demo-forecasts.ts';
import { burns, pointsOf, type Step, walk } from './walk.ts';

/**
 * The first try's faults are physics, not labels: the same picture, burned twice on the same machine, comes
 * out darker at the ends of its rows and in its corners, and does not come free.
 */
const burned = async (name: 'marker' | 'marker-careful') => ({
  steps: walk(await demoJob(name).readText()),
  ...(await demoForecast(name)),
});

const first = await burned('marker');
const careful = await burned('marker-careful');

const inPart = (steps: readonly Step[], part: string) =>
  steps.filter((step) => step.part.startsWith(part) && burns(step));
/** The greatest dose within half a spot of a point, J/mm². */
function doseNear(grid: Grid, [x, y]: readonly [number, number]): number {
  let most = 0;
  for (let dx = -0.08; dx <= 0.08; dx += 0.04)
    for (let dy = -0.08; dy <= 0.08; dy += 0.04)
      most = Math.max(most, grid.data[cellAt(grid, x + dx, y + dy)]!);
  return most;
}
const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!;

describe('the first try, against the same marker done with care', () => {
  it('burns the ends of its rows dark', () => {
    // The stem of the "l" at the right end of the rows: 0.2 mm before each row's end.
    const rows = new Map<number, number>();
    for (const { fromMm, toMm } of inPart(first.steps, 'Engrave')) {
      rows.set(toMm[1], Math.max(rows.get(toMm[1]) ?? 0, fromMm[0], toMm[0]));
    }
    const ends = [...rows].filter(([, x]) => x > 65).map(([y, x]) => [x - 0.2, y] as const);
    expect(ends.length).toBeGreaterThan(80);
    const doseAtEnds = (grid: Grid) => median(ends.map((end) => doseNear(grid, end)));
    expect(doseAtEnds(first.dose.grid)).toBeGreaterThan(2 * doseAtEnds(careful.dose.grid));
  });

  it('burns the corners of its frame dark', () => {
    const arcs = inPart(first.steps, 'Score').filter((step) => step.centreMm);
    const corners = arcs.slice(-4).map((step) => step.fromMm);
    const doseAt = (grid: Grid) => median(corners.map((corner) => doseNear(grid, corner)));
    expect(doseAt(first.dose.grid)).toBeGreaterThan(2 * doseAt(careful.dose.grid));
  });

  it('does not come free, the careful one does all the way round', () => {
    const cutDepths = ({ steps, burn }: typeof first) =>
      inPart(steps, 'Cut free')
        .flatMap(pointsOf)
        .map(([x, y]) => burn.depthMm[cellAt(burn.frame, x, y)]!);
    expect(median(cutDepths(first))).toBeGreaterThan(1);
    expect(median(cutDepths(first))).toBeLessThan(3);
    // Depth stops at the stock's own thickness.
    expect(Math.min(...cutDepths(careful))).toBe(4);
  });
});
