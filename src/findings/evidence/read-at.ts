import type { GridFrame } from '../../grid.ts';

/**
 * The value at a point, straight between the four nearest cell centres, so that what is read does not depend on which
 * side of a cell's edge the point falls; 0 off the grid.
 * @param data one value per cell, in the grid's own order.
 */
export function readAt(
  { nx, ny, x0Mm, y0Mm, cellMm }: GridFrame,
  data: Float32Array,
  xMm: number,
  yMm: number,
): number {
  const x = (xMm - x0Mm) / cellMm - 0.5; // in cells from the first centre
  const y = (yMm - y0Mm) / cellMm - 0.5;
  if (!(x >= -0.5 && y >= -0.5 && x < nx - 0.5 && y < ny - 0.5)) return 0;
  const i = Math.min(Math.max(0, nx - 2), Math.max(0, Math.floor(x)));
  const j = Math.min(Math.max(0, ny - 2), Math.max(0, Math.floor(y)));
  const right = Math.min(1, Math.max(0, x - i));
  const up = Math.min(1, Math.max(0, y - j));
  const k = j * nx + i;
  const dx = nx > 1 ? 1 : 0;
  const dy = ny > 1 ? nx : 0;
  const low = data[k]! + (data[k + dx]! - data[k]!) * right;
  const high = data[k + dy]! + (data[k + dx + dy]! - data[k + dy]!) * right;
  return low + (high - low) * up;
}
