import type { Forecast } from '../../src/forecast.ts';
import type { GridFrame } from '../../src/grid.ts';
import { toneRangeMap } from '../../src/picture/tone-ranges.ts';
import { SURE, startSureness } from '../../src/sure/come-through.ts';
import type { View } from '../state/store.ts';
import type { Scene } from '../worker/messages.ts';

/** Views whose values stand in cells of their own, and not on the surface or by visit. */
const BY_CELLS = ['sure', 'warmth'] as const;
type ByCells = (typeof BY_CELLS)[number];

export const isByCells = (view: View): view is ByCells => (BY_CELLS as readonly View[]).includes(view);

/**
 * Two bytes a cell: the value as a part of {@link topOf}, times the share of the cell that has one, and that share; so that
 * what is drawn between a line and bare wood keeps the line's value.
 */
export interface CellMap extends GridFrame {
  readonly rg: Uint8Array;
}

/** How wide a tone's range is ends here: wider ones are rare. */
const MOST_RANGE = 0.5;
/** Warmth has a scale of its own from here on: less is nothing to the wood, K. */
const LEAST_TOP_K = 10;
/** No graphics card takes more texels along an axis. */
const MOST_ALONG = 4096;

/** Where the view's scale ends, in its own unit. */
export function topOf(view: ByCells, { forecast: { firings } }: Pick<Scene, 'forecast'>): number {
  return view === 'sure' ? MOST_RANGE : Math.max(LEAST_TOP_K, warmestOf(firings));
}

/** How much warmer than the room the wood was at most when the beam came, K; 0: nowhere was it. */
export function warmestOf(firings: Forecast['firings']): number {
  if (!firings) return 0;
  const before = warmests.get(firings);
  if (before !== undefined) return before;
  let warmestK = 0;
  for (const warmthK of firings.warmth.data) if (warmthK > warmestK) warmestK = warmthK;
  warmests.set(firings, warmestK);
  return warmestK;
}
const warmests = new WeakMap<object, number>();

/** The map of a view. */
export function cellMapOf(view: ByCells, scene: Pick<Scene, 'forecast' | 'surface'>): CellMap {
  const { forecast, surface } = scene;
  const [frame, values] =
    view === 'sure' ? [forecast.dose.grid, rangesOf(forecast)] : [warmthFrame(forecast), warmthOf(forecast)];
  const fits = Math.ceil(Math.max(frame.nx, frame.ny) / MOST_ALONG);
  const times = Math.max(1, fits, Math.round(surface.frame.cellMm / frame.cellMm));
  return packed(frame, values, times, topOf(view, scene));
}

function rangesOf(forecast: Forecast): Float32Array {
  const { material, machine, stock, checks } = forecast;
  return toneRangeMap(
    forecast,
    startSureness(material, machine, stock ?? { thicknessMm: null }, checks.sure ?? SURE),
  );
}

const COOL = new Float32Array(1);
const warmthOf = ({ firings }: Forecast): Float32Array => firings?.warmth.data ?? COOL;
const warmthFrame = ({ firings, dose: { grid } }: Forecast): GridFrame =>
  firings?.warmth ?? { ...grid, nx: 1, ny: 1, cellMm: grid.cellMm * Math.max(grid.nx, grid.ny) };

/** Squares of so many cells as one texel each: the mean of those that have a value, and how many do. */
function packed(frame: GridFrame, values: Float32Array, times: number, top: number): CellMap {
  const [nx, ny] = [Math.ceil(frame.nx / times), Math.ceil(frame.ny / times)];
  const rg = new Uint8Array(2 * nx * ny);
  const each = 255 / (times * times);
  for (let j = 0, to = 0; j < ny; j++) {
    const rows = Math.min(frame.ny, (j + 1) * times);
    for (let i = 0; i < nx; i++, to += 2) {
      const columns = Math.min(frame.nx, (i + 1) * times);
      let sum = 0;
      let count = 0;
      for (let row = j * times; row < rows; row++) {
        for (let column = i * times; column < columns; column++) {
          const value = values[row * frame.nx + column]!;
          if (!(value > 0)) continue;
          sum += Math.min(top, value);
          count++;
        }
      }
      rg[to] = Math.round((each * sum) / top);
      rg[to + 1] = Math.round(each * count);
    }
  }
  return { nx, ny, x0Mm: frame.x0Mm, y0Mm: frame.y0Mm, cellMm: frame.cellMm * times, rg };
}
