import type { Canvas } from './deposit.ts';
import { phi, psi, REACH_SIGMA } from './normal.ts';

/**
 * A lane is one straight line along x or y on which strokes follow one another: a raster row, the side of a
 * square. A Gaussian factors into its two axes, so all strokes of a lane are first added up along it in one
 * dimension, and only when the beam changes lanes is the sum spread across it: a row of a thousand grey
 * steps costs a thousand short one-dimensional additions and one pass over its cells.
 *
 * Along the lane, even line energy λ from a to b gives cell e … e+h the mean
 * λ/h·[Ψ(e+h−a) − Ψ(e−a) − Ψ(e+h−b) + Ψ(e−b)], Ψ the integral of the normal distribution function.
 */
export interface Lane {
  /** A stroke along x (`alongX`) at y = `acrossMm`, or along y at x = `acrossMm`. */
  stroke(
    alongX: boolean,
    acrossMm: number,
    fromMm: number,
    toMm: number,
    energyJ: number,
    lnDwell: number,
  ): void;
  flush(): void;
}

export function makeLane(canvas: Canvas, sigmaXMm: number, sigmaYMm: number): Lane {
  const { nx, ny, x0Mm, y0Mm, cellMm, dose, doseLnDwell } = canvas;
  // Line energy per cell length along the open lane, J per cell, and the same times ln dwell.
  const energy = new Float64Array(Math.max(nx, ny));
  const energyLnDwell = new Float64Array(Math.max(nx, ny));
  let alongX = true;
  let acrossMm = Number.NaN; // no lane open
  let touchedFrom = 0; // cells touched on the open lane: touchedFrom … touchedTo − 1
  let touchedTo = 0;

  const open = (isAlongX: boolean, across: number): void => {
    flush();
    alongX = isAlongX;
    acrossMm = across;
    touchedFrom = isAlongX ? nx : ny;
    touchedTo = 0;
  };

  const stroke = (
    isAlongX: boolean,
    across: number,
    fromMm: number,
    toMm: number,
    energyJ: number,
    lnDwell: number,
  ): void => {
    if (across !== acrossMm || isAlongX !== alongX) open(isAlongX, across);
    const cells = alongX ? nx : ny;
    const originMm = alongX ? x0Mm : y0Mm;
    const sigma = alongX ? sigmaXMm : sigmaYMm;
    // Positions in σ from the grid's edge.
    const a = (Math.min(fromMm, toMm) - originMm) / sigma;
    const b = (Math.max(fromMm, toMm) - originMm) / sigma;
    const step = cellMm / sigma;
    const k0 = Math.max(0, Math.floor((a - REACH_SIGMA) / step));
    const k1 = Math.min(cells - 1, Math.floor((b + REACH_SIGMA) / step));
    if (k0 > k1) return;
    if (k0 < touchedFrom) touchedFrom = k0;
    if (k1 >= touchedTo) touchedTo = k1 + 1;

    const perSigma = energyJ / (b - a); // energy per σ of path
    let below = psi(k0 * step - a) - psi(k0 * step - b);
    for (let k = k0; k <= k1; k++) {
      const edge = (k + 1) * step;
      const above = psi(edge - a) - psi(edge - b);
      const add = perSigma * (above - below);
      below = above;
      energy[k] = energy[k]! + add;
      energyLnDwell[k] = energyLnDwell[k]! + add * lnDwell;
    }
  };

  /** Spreads the open lane across its width onto the grid, and leaves it empty. */
  const flush = (): void => {
    if (touchedFrom < touchedTo) {
      const cells = alongX ? ny : nx;
      const sigma = alongX ? sigmaYMm : sigmaXMm;
      const centre = (acrossMm - (alongX ? y0Mm : x0Mm)) / sigma;
      const step = cellMm / sigma;
      const m0 = Math.max(0, Math.floor((centre - REACH_SIGMA) / step));
      const m1 = Math.min(cells - 1, Math.floor((centre + REACH_SIGMA) / step));
      const stride = alongX ? 1 : nx;
      const firstEdge = phi(m0 * step - centre);
      let below = firstEdge;
      for (let m = m0; m <= m1; m++) {
        const above = phi((m + 1) * step - centre);
        const scale = (above - below) / (cellMm * cellMm);
        below = above;
        let at = alongX ? m * nx + touchedFrom : touchedFrom * nx + m;
        for (let k = touchedFrom; k < touchedTo; k++, at += stride) {
          dose[at] = dose[at]! + scale * energy[k]!;
          doseLnDwell[at] = doseLnDwell[at]! + scale * energyLnDwell[k]!;
        }
      }
      let sum = 0;
      for (let k = touchedFrom; k < touchedTo; k++) sum += energy[k]!;
      if (m0 <= m1) canvas.depositedJ += sum * (below - firstEdge);
      energy.fill(0, touchedFrom, touchedTo);
      energyLnDwell.fill(0, touchedFrom, touchedTo);
    }
    touchedFrom = 0;
    touchedTo = 0;
    acrossMm = Number.NaN;
  };

  return { stroke, flush };
}
