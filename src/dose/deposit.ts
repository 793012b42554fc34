import type { GridFrame } from '../grid.ts';
import { defocus, meanWidthMm } from '../laser/spot.ts';
import type { Spot } from '../machine/profile.ts';
import type { Brush, Canvas } from './brush.ts';
import { addCoarse, coarsening, coarserCanvas, gathering } from './coarse.ts';
import type { Dose } from './dose.ts';
import { gaussianAxes, makeGaussianBrush } from './gaussian.ts';
import type { Tally } from './tally.ts';
import { makeUniformBrush } from './uniform.ts';
import type { BeamVisitor } from './visitor.ts';

/** Lets the beam's energy fall on a grid. Pass it to `walkBeam`, then call `finish` once. */
export interface Deposit extends BeamVisitor {
  finish(): Fallen;
}

/** What has fallen on the grid, whatever height it came from. */
export type Fallen = Omit<Dose, 'height'>;

/**
 * The longest stretch over which the deposit may take uneven line energy as even, mm: half the finest σ, or an
 * eighth of a cell where cells are so coarse that nothing finer can be told apart on them.
 */
export const depositStepMm = (spot: Spot, cellMm = 0): number =>
  Math.max(Math.min(...spot.width_mm), cellMm) / 8;

/** A stroke shorter than this goes straight up or down, or the spot does not leave its place. */
const NO_LENGTH_MM = 1e-12;

/** ln of how long a point lies under the spot, s, while it goes by: its width over the speed; at rest the time itself. */
export const lnDwellOf = (spotMm: number, lengthMm: number, durationS: number): number =>
  Math.log(lengthMm < NO_LENGTH_MM ? durationS : (spotMm * durationS) / lengthMm);

/** Spot widths are told apart in steps of 1/400 of themselves, so that a slope in z needs few brushes. */
const FOCUS_GRAINS = 400;
/** No more brushes than this are kept at once. */
const MOST_BRUSHES = 256;

/** A spot less wide than this, in its widths in focus, is laid down exactly, however fine the cells that were asked for. */
const FAR_OUT_OF_FOCUS = 8;

/** How many cells count as one where a spot `scale` times as wide as in focus is laid on the grid. */
const coarseningOf = (spot: Spot, scale: number, cellMm: number): number =>
  scale < FAR_OUT_OF_FOCUS ? 1 : coarsening((meanWidthMm(spot) / 4) * scale, cellMm);

/** The same with the head at height z; 1 unless the spot is huge there. */
export const coarseningAt = (spot: Spot, zMm: number, cellMm: number): number =>
  coarseningOf(spot, defocus(spot, zMm), cellMm);

/**
 * Starts a deposit of the beam with this spot on `frame`.
 * @param tally told of every piece, on the grid or not.
 * @throws {RangeError} when the frame has no cells.
 */
export function startDeposit(spot: Spot, frame: GridFrame, tally: Tally | null = null): Deposit {
  const size = frame.nx * frame.ny;
  if (!(size >= 1))
    throw new RangeError(`invalid frame: ${frame.nx} × ${frame.ny} cells; expected at least one`);
  const canvas: Canvas = {
    ...frame,
    dose: new Float32Array(size),
    doseLnDwell: new Float32Array(size),
    depositedJ: 0,
  };
  /** The canvases by how many cells count as one: 1, 2, 4 and so on. */
  const canvases: Canvas[] = [canvas];
  const canvasOf = (level: number): Canvas => {
    while (canvases.length <= level) canvases.push(coarserCanvas(frame, 2 ** canvases.length));
    return canvases[level]!;
  };
  const brushFor = (scale: number): Brush => {
    const sigmaMm = (meanWidthMm(spot) / 4) * scale;
    const times = coarseningOf(spot, scale, frame.cellMm);
    const on = canvasOf(Math.log2(times));
    const brush =
      spot.shape === 'gaussian'
        ? makeGaussianBrush(on, gaussianAxes(spot, scale))
        : makeUniformBrush(on, spot, scale);
    return times === 1 ? brush : gathering(brush, sigmaMm);
  };
  const flush = (): void => {
    for (const each of brushes.values()) each.flush();
  };

  // One brush per focus, made when first needed; heights that blur alike share one. The fields that change
  // all the time live in one object, as fractions, so that the engine need not allocate to change them.
  const brushes = new Map<number, Brush>();
  const now = { brush: undefined as unknown as Brush, zMm: Number.NaN, spotMm: 0.5, energyJ: 0.5 };
  now.energyJ = 0;
  const focusAt = (zMm: number): void => {
    now.zMm = zMm;
    const grain = Math.round(Math.log(defocus(spot, zMm)) * FOCUS_GRAINS);
    const scale = Math.exp(grain / FOCUS_GRAINS);
    now.spotMm = scale * meanWidthMm(spot);
    const known = brushes.get(grain);
    if (!known && brushes.size >= MOST_BRUSHES) {
      flush();
      brushes.clear();
    }
    now.brush = known ?? brushFor(scale);
    brushes.set(grain, now.brush);
  };

  return {
    stroke(stroke) {
      const { z, energyJ, durationS } = stroke;
      tally?.add(stroke.move, energyJ, durationS);
      if (z !== now.zMm) focusAt(z);
      now.energyJ += energyJ;
      const dx = stroke.x1 - stroke.x0;
      const dy = stroke.y1 - stroke.y0;
      const lengthMm = Math.sqrt(dx * dx + dy * dy);
      const lnDwell = lnDwellOf(now.spotMm, lengthMm, durationS);
      if (lengthMm < NO_LENGTH_MM) now.brush.point(stroke.x0, stroke.y0, energyJ, lnDwell);
      else now.brush.stroke(stroke, lnDwell);
    },
    rest({ x0, y0, z, energyJ, durationS, move }) {
      tally?.add(move, energyJ, durationS);
      if (z !== now.zMm) focusAt(z);
      now.energyJ += energyJ;
      now.brush.point(x0, y0, energyJ, Math.log(durationS));
    },
    finish() {
      flush();
      while (canvases.length > 1) {
        const coarse = canvases.pop()!;
        addCoarse(canvases.at(-1)!, coarse);
      }
      const { energyJ } = now;
      const missing = energyJ - canvas.depositedJ;
      const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
      return {
        grid: { nx, ny, x0Mm, y0Mm, cellMm, unit: 'J/mm²', data: canvas.dose },
        doseLnDwell: canvas.doseLnDwell,
        energyJ,
        outsideJ: missing > energyJ * 1e-9 ? missing : 0,
      };
    },
  };
}
