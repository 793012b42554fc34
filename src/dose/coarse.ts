import type { GridFrame } from '../grid.ts';
import type { Brush, Canvas } from './brush.ts';

/**
 * The coarse rule for light far out of focus. A spot whose σ spans more than {@link MOST_SIGMA_CELLS} cells is laid on
 * a grid of cells 2, 4, 8 … times as wide, on which it spans no more than that, and only the sum is spread over the
 * fine grid: what a point of light costs is bounded however large the spot. Between the middles of cells values are
 * taken as linear, which hands on every coarse cell's energy whole; against a Gaussian of 16 cells' σ and more that is
 * off by less than σ⁻²/8 = 5e-4 of its peak (the error of linear interpolation, h²·max|f″|/8).
 */
const MOST_SIGMA_CELLS = 32;

/** How many cells of the grid, a power of two, count as one for a spot of this σ; 1: it is not coarse. */
export const coarsening = (sigmaMm: number, cellMm: number): number =>
  2 ** Math.max(0, Math.ceil(Math.log2(sigmaMm / cellMm / MOST_SIGMA_CELLS)));

/** An empty canvas over the same rectangle, with cells `times` as wide; it may reach beyond by less than one of them. */
export function coarserCanvas({ nx, ny, x0Mm, y0Mm, cellMm }: GridFrame, times: number): Canvas {
  const frame = { nx: Math.ceil(nx / times), ny: Math.ceil(ny / times), x0Mm, y0Mm, cellMm: cellMm * times };
  const size = frame.nx * frame.ny;
  return { ...frame, dose: new Float32Array(size), doseLnDwell: new Float32Array(size), depositedJ: 0 };
}

/** Adds a canvas to one of cells half as wide over the same rectangle, which owns the energy that lies within it. */
export function addCoarse(fine: Canvas, coarse: Canvas): void {
  const { nx, ny, cellMm } = fine;
  let sum = 0;
  for (let j = 0; j < ny; j++) {
    // A fine cell's middle lies a quarter of a coarse cell beside that of the coarse cell it is in.
    const own = j >> 1;
    const next = Math.min(coarse.ny - 1, Math.max(0, own + (j & 1 ? 1 : -1)));
    for (let i = 0; i < nx; i++) {
      const ownX = i >> 1;
      const nextX = Math.min(coarse.nx - 1, Math.max(0, ownX + (i & 1 ? 1 : -1)));
      const [a, b] = [own * coarse.nx + ownX, own * coarse.nx + nextX];
      const [c, d] = [next * coarse.nx + ownX, next * coarse.nx + nextX];
      const add = mixed(coarse.dose, a, b, c, d);
      const at = j * nx + i;
      sum += add;
      fine.dose[at] = fine.dose[at]! + add;
      fine.doseLnDwell[at] = fine.doseLnDwell[at]! + mixed(coarse.doseLnDwell, a, b, c, d);
    }
  }
  fine.depositedJ += sum * cellMm * cellMm;
}

/** Linear between four cells' middles, a quarter of the way from the first. */
const mixed = (values: Float32Array, a: number, b: number, c: number, d: number): number =>
  (9 * values[a]! + 3 * values[b]! + 3 * values[c]! + values[d]!) / 16;

/** Points this near one another, in σ, are laid down as one: the error is (distance/σ)²/24 of what they add. */
const TOGETHER_SIGMA = 0.3;

/** A brush that gathers points of light which lie close together for it. */
export function gathering(brush: Brush, sigmaMm: number): Brush {
  const nearMm = TOGETHER_SIGMA * sigmaMm;
  const now = { x: 0.5, y: 0.5, energyJ: 0.5, energyX: 0.5, energyY: 0.5, energyLnDwell: 0.5 };
  now.energyJ = 0;
  const close = (): void => {
    const { energyJ, energyX, energyY, energyLnDwell } = now;
    now.energyJ = 0;
    if (energyJ > 0) brush.point(energyX / energyJ, energyY / energyJ, energyJ, energyLnDwell / energyJ);
  };
  const point = (x: number, y: number, energyJ: number, lnDwell: number): void => {
    if (now.energyJ > 0 && Math.abs(x - now.x) + Math.abs(y - now.y) > nearMm) close();
    if (now.energyJ === 0) {
      now.x = x;
      now.y = y;
      now.energyX = now.energyY = now.energyLnDwell = 0;
    }
    now.energyJ += energyJ;
    now.energyX += energyJ * x;
    now.energyY += energyJ * y;
    now.energyLnDwell += energyJ * lnDwell;
  };
  return {
    stroke(stroke, lnDwell) {
      const { x0, y0, x1, y1, energyJ } = stroke;
      if (Math.abs(x1 - x0) + Math.abs(y1 - y0) <= nearMm) {
        point((x0 + x1) / 2, (y0 + y1) / 2, energyJ, lnDwell);
        return;
      }
      close();
      brush.stroke(stroke, lnDwell);
    },
    point,
    flush() {
      close();
      brush.flush();
    },
  };
}
