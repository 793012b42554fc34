import { phi } from '../../dose/normal.ts';
import { doseAtPoints } from '../../dose/point-dose.ts';
import { cellAt, type GridFrame } from '../../grid.ts';
import type { Spot } from '../../machine/profile.ts';
import { sigmaFromWidthMm } from '../../units.ts';
import type { Evidence } from './evidence.ts';
import { doseAtPlace, type OnLine } from './on-line.ts';

/**
 * What points get from all that the job burns, in closed form and not from cells, whose mean is less than the middle of a
 * row and hangs on how they lie about it. Takes a walk of the beam: ask for all points at once, and only where
 * {@link mostDose} leaves it open.
 */
export function doseOnPath(
  { motion, machine, dose, firedAt }: Pick<Evidence, 'motion' | 'machine' | 'dose' | 'firedAt'>,
  atMm: readonly (readonly [xMm: number, yMm: number])[],
): OnLine[] {
  const points = {
    count: atMm.length,
    xMm: Float64Array.from(atMm, ([x]) => x),
    yMm: Float64Array.from(atMm, ([, y]) => y),
  };
  const { lowestMm, highestMm } = dose.height;
  const heights = [lowestMm, highestMm] as const;
  const fallen = { dose: doseAtPoints(points, motion, machine, heights, dose.grid.cellMm) };
  return atMm.map((at, k) => ({ ...doseAtPlace(fallen, k), ...firedAt(...at) }));
}

/**
 * How much a point that the beam passes gets at most, J/mm², by the cells about it.
 * @returns 0 off the grid.
 */
export function mostDose(
  { dose: { grid }, machine: { spot } }: Pick<Evidence, 'dose' | 'machine'>,
  xMm: number,
  yMm: number,
): number {
  const cell = cellAt(grid, xMm, yMm);
  return cell < 0 ? 0 : mostOverCells(spot, grid.cellMm) * greatestAbout(grid, grid.data, cell);
}

/**
 * No lone dot gets more in its middle than so many times the mean of the greatest cell about it: it lies at worst in the
 * corner of four, which have a quarter of it each. Wider spots, lines and fills get less, and so do evenly lit spots.
 */
function mostOverCells(spot: Spot, cellMm: number): number {
  const cellSigmas = cellMm / sigmaFromWidthMm(Math.min(...spot.width_mm));
  const alongAxis = cellSigmas / Math.sqrt(2 * Math.PI) / (phi(cellSigmas) - 0.5);
  return alongAxis ** 2;
}

/** The greatest of a cell and the eight around it. */
function greatestAbout({ nx, ny }: GridFrame, data: Float32Array, cell: number): number {
  const [i, j] = [cell % nx, Math.floor(cell / nx)];
  let most = 0;
  for (let y = Math.max(0, j - 1); y <= Math.min(ny - 1, j + 1); y++) {
    for (let x = Math.max(0, i - 1); x <= Math.min(nx - 1, i + 1); x++) {
      most = Math.max(most, data[y * nx + x]!);
    }
  }
  return most;
}
