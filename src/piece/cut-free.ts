import { quickselect } from 'd3-array';
import { depositLayer } from '../change/layers.ts';
import type { Forecast } from '../forecast.ts';
import { cellAt, frameOver, type GridFrame, grownBounds } from '../grid.ts';
import { flood } from '../parts/flood.ts';
import type { FlatPhoto } from '../photo/flatten.ts';

/**
 * A piece that was taken out of its board and lies alone: what a photo shows beside it is a table, of which the forecast
 * knows nothing, and only what the outermost cut goes round can be looked at.
 */

/** A cut shows where it gets at least this part of what it gets at most. */
const SHOWS = 0.05;
const MARGIN_MM = 1;
/** Cells that the pieces are told apart on, at most, along the longer side. */
const MOST_CELLS = 1200;

/** Which cells of a frame lie on wood that cuts go round, the cuts themselves left out. */
export type InsideCuts = (frame: GridFrame) => Uint8Array;

/** @returns null where no cut goes round anything. */
export function startInsideCuts({ motion, machine, cuts, burnBounds, burn }: Forecast): InsideCuts | null {
  if (cuts.length === 0) return null;
  const members = new Uint8Array(motion.program.operations.length + 1);
  for (const { operation } of cuts) members[operation] = 1;
  const sideMm = Math.max(burnBounds.maxXMm - burnBounds.minXMm, burnBounds.maxYMm - burnBounds.minYMm);
  const own = frameOver(grownBounds(burnBounds, MARGIN_MM), Math.max(burn.frame.cellMm, sideMm / MOST_CELLS));
  const layer = depositLayer(motion, machine, { frame: own, places: null }, members);
  const { nx, ny, data } = layer.dose.grid;
  const most = data.reduce((greatest, each) => Math.max(greatest, each), 0);
  const isCut = new Uint8Array(own.nx * own.ny);
  for (let j = 0, k = 0; j < ny; j++)
    for (let i = 0; i < nx; i++, k++)
      if (data[k]! > SHOWS * most) isCut[(layer.j0 + j) * own.nx + layer.i0 + i] = 1;
  const { label, pieces } = flood(isCut, own.nx, own.ny);
  if (most === 0 || pieces.every(({ isAtBorder }) => isAtBorder)) return null;
  // By label, of which 0 is what is cut away.
  const isWithin = Uint8Array.from([0, ...pieces.map(({ isAtBorder }) => (isAtBorder ? 0 : 1))]);
  return (frame) => {
    const isInside = new Uint8Array(frame.nx * frame.ny);
    for (let j = 0, k = 0; j < frame.ny; j++) {
      const yMm = frame.y0Mm + (j + 0.5) * frame.cellMm;
      for (let i = 0; i < frame.nx; i++, k++) {
        const cell = cellAt(own, frame.x0Mm + (i + 0.5) * frame.cellMm, yMm);
        isInside[k] = cell < 0 ? 0 : isWithin[label[cell]!]!;
      }
    }
    return isInside;
  };
}

/** Bare wood and a table differ by more than this in the logarithm of some channel's light; uneven light does not. */
const ANOTHER = 0.35;
const LEAST_CELLS = 200;

/** Whether what lies bare round a piece is no wood like that within it. */
export function isOnTable({ rgb }: FlatPhoto, isBare: Uint8Array, isInside: Uint8Array): boolean {
  const lights = new Float32Array(isBare.length);
  return [0, 1, 2].some((c) => {
    const [inside, beside] = [1, 0].map((side) => {
      let count = 0;
      for (let k = 0; k < isBare.length; k++)
        if (isBare[k] === 1 && isInside[k] === side && rgb[3 * k + c]! >= 0)
          lights[count++] = rgb[3 * k + c]!;
      const middle = count >> 1;
      return count < LEAST_CELLS ? null : quickselect(lights.subarray(0, count), middle)[middle]!;
    });
    return (
      inside != null && beside != null && Math.abs(Math.log((beside + 1e-3) / (inside + 1e-3))) > ANOTHER
    );
  });
}
