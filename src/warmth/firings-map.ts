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
      const at = place(frame, xMm[k]!, yMm[k]!);
      share(energy, at, energyJ[k]!);
      share(energyWarmth, at, energyJ[k]! * warmthK[k]!);
      share(squares, at, energyJ[k]! * ownJPerMm2[k]! * narrower);
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

/** The four cells around a point: the lower left one's column and row, and how far right and up of its middle. */
const at = { i: 0, j: 0, right: 0.5, up: 0.5 };

function place({ x0Mm, y0Mm, cellMm }: GridFrame, xMm: number, yMm: number): typeof at {
  const x = (xMm - x0Mm) / cellMm - 0.5;
  const y = (yMm - y0Mm) / cellMm - 0.5;
  at.i = Math.floor(x);
  at.j = Math.floor(y);
  at.right = x - at.i;
  at.up = y - at.j;
  return at;
}

function share(sums: Sums, { i, j, right, up }: typeof at, amount: number): void {
  put(sums, i, j, amount * (1 - right) * (1 - up));
  put(sums, i + 1, j, amount * right * (1 - up));
  put(sums, i, j + 1, amount * (1 - right) * up);
  put(sums, i + 1, j + 1, amount * right * up);
}

function put({ nx, ny, data }: Sums, i: number, j: number, amount: number): void {
  if (i < 0 || j < 0 || i >= nx || j >= ny) return;
  const k = j * nx + i;
  data[k] = data[k]! + amount;
}

/** ∫ dose² over each coarse cell, shared out as points are. */
function squaresOf(dose: Grid, frame: GridFrame): Sums {
  const sums = startSums(frame);
  const { nx, ny, x0Mm, y0Mm, cellMm, data } = dose;
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const h = data[j * nx + i]!;
      if (h === 0) continue;
      share(
        sums,
        place(frame, x0Mm + (i + 0.5) * cellMm, y0Mm + (j + 0.5) * cellMm),
        h * h * cellMm * cellMm,
      );
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
