import type { Firings } from '../burn/firing.ts';
import type { Dose } from '../dose/dose.ts';
import type { Grid, GridFrame } from '../grid.ts';
import { meanWidthMm } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { sigmaFromWidthMm } from '../units.ts';
import type { HeatOfWood } from './heat-of-wood.ts';
import { walkWarmth } from './walk-warmth.ts';

/**
 * How often and how warm each place was fired. Both are means over about a spot, so their cells are as wide as that.
 *
 * Warmth is the mean over the energy that landed. As how many equal firings the doses h₁, h₂, … of a place count is
 * (Σh)²/Σh²: n for n alike, 1 where one outdoes all others. (Σh)² is the dose map's own; Σh², over the whole width of
 * a stroke of line energy λ, is λ²/(2√π·σ) for each mm of way, whatever lies around it: the energy times the mean
 * dose that this firing alone leaves.
 */
export function firingsOf(dose: Dose, motion: Motion, machine: Machine, heat: HeatOfWood): Firings {
  const { grid } = dose;
  const widthMm = meanWidthMm(machine.spot);
  const frame = coarser(grid, widthMm);
  const energy = startSums(frame);
  const energyWarmth = startSums(frame);
  const squares = startSums(frame);
  // Means over the cells of the dose are those of a spot somewhat wider, by the variance of a cell.
  const sigmaMm = sigmaFromWidthMm(widthMm);
  const narrower = 1 / Math.sqrt(1 + grid.cellMm ** 2 / (12 * sigmaMm * sigmaMm));
  walkWarmth(motion, machine, heat, ({ count, xMm, yMm, energyJ, warmthK, ownJPerMm2 }) => {
    for (let k = 0; k < count; k++) {
      const x = (xMm[k]! - frame.x0Mm) / frame.cellMm - 0.5;
      const y = (yMm[k]! - frame.y0Mm) / frame.cellMm - 0.5;
      const i = Math.floor(x);
      const j = Math.floor(y);
      // Shared out to the four cells around it, by the distance from their middles.
      for (let corner = 0; corner < 4; corner++) {
        const column = i + (corner & 1);
        const row = j + (corner >> 1);
        if (column < 0 || row < 0 || column >= frame.nx || row >= frame.ny) continue;
        const at = row * frame.nx + column;
        const share = (1 - Math.abs(column - x)) * (1 - Math.abs(row - y)) * energyJ[k]!;
        energy.data[at] = energy.data[at]! + share;
        energyWarmth.data[at] = energyWarmth.data[at]! + share * warmthK[k]!;
        squares.data[at] = squares.data[at]! + share * ownJPerMm2[k]! * narrower;
      }
    }
  });
  const whole = squaresOf(grid, frame);
  for (const sums of [energy, energyWarmth, squares, whole]) spread(sums);
  return {
    warmth: gridOf(frame, 'K', (k) => ratio(energyWarmth.data[k]!, energy.data[k]!, 0)),
    count: gridOf(frame, '', (k) => Math.max(1, ratio(whole.data[k]!, squares.data[k]!, 1))),
  };
}

const ratio = (a: number, b: number, otherwise: number): number => (b > 0 ? a / b : otherwise);

const gridOf = (frame: GridFrame, unit: string, value: (k: number) => number): Grid => ({
  ...frame,
  unit,
  data: Float32Array.from({ length: frame.nx * frame.ny }, (_, k) => value(k)),
});

/** The frame in cells about `aboutMm` wide, a whole number of the given ones each. */
function coarser({ nx, ny, x0Mm, y0Mm, cellMm }: GridFrame, aboutMm: number): GridFrame {
  const times = Math.max(1, Math.round(aboutMm / cellMm));
  return { nx: Math.ceil(nx / times), ny: Math.ceil(ny / times), x0Mm, y0Mm, cellMm: times * cellMm };
}

/** A sum for each cell. */
interface Sums extends GridFrame {
  readonly data: Float64Array;
}

const startSums = (frame: GridFrame): Sums => ({ ...frame, data: new Float64Array(frame.nx * frame.ny) });

/**
 * ∫ dose² over each coarse cell, shared out to the four around each fine cell's middle as points are: first along the
 * row, then across.
 */
function squaresOf(dose: Grid, frame: GridFrame): Sums {
  const sums = startSums(frame);
  const { nx, ny, cellMm, data } = dose;
  const scale = cellMm / frame.cellMm;
  // Coarse cells count from the one left of the grid, so that each fine cell has two to share with.
  const first = Int32Array.from({ length: nx }, (_, i) => Math.floor((i + 0.5) * scale + 0.5));
  const right = Float64Array.from(first, (from, i) => (i + 0.5) * scale + 0.5 - from);
  const row = new Float64Array(frame.nx + 2);
  for (let j = 0; j < ny; j++) {
    row.fill(0);
    for (let i = 0; i < nx; i++) {
      const h = data[j * nx + i]!;
      if (h === 0) continue;
      const at = first[i]!;
      row[at] = row[at]! + h * h * (1 - right[i]!);
      row[at + 1] = row[at + 1]! + h * h * right[i]!;
    }
    const y = (j + 0.5) * scale - 0.5;
    const below = Math.floor(y);
    for (const coarse of [below, below + 1]) {
      if (coarse < 0 || coarse >= frame.ny) continue;
      const share = (1 - Math.abs(coarse - y)) * cellMm * cellMm;
      for (let i = 0; i < frame.nx; i++) {
        const at = coarse * frame.nx + i;
        sums.data[at] = sums.data[at]! + share * row[i + 1]!;
      }
    }
  }
  return sums;
}

/** Spreads sums to their neighbours by ¼ ½ ¼ along each axis, so that two that lie half a spot apart meet. */
function spread({ nx, ny, data }: Sums): void {
  const line = new Float64Array(Math.max(nx, ny) + 2);
  const along = (count: number, first: number, stride: number): void => {
    line[0] = 0;
    for (let k = 0; k < count; k++) line[k + 1] = data[first + k * stride]!;
    line[count + 1] = 0;
    for (let k = 0; k < count; k++) {
      data[first + k * stride] = (line[k]! + 2 * line[k + 1]! + line[k + 2]!) / 4;
    }
  };
  for (let j = 0; j < ny; j++) along(nx, j * nx, 1);
  for (let i = 0; i < nx; i++) along(ny, i, nx);
}
