import type { Moves } from '../program/program.ts';

/** Samples along a strip and across it, at most. */
const MOST_SAMPLES = 64;

/**
 * Visits places spread evenly over the strip that one move of a row makes: as long as the move, as wide as rows lie
 * apart (mm), about `grainMm` from one to the next.
 */
export function strip(
  moves: Moves,
  k: number,
  widthMm: number,
  grainMm: number,
  visit: (xMm: number, yMm: number) => void,
): void {
  const x0 = k > 0 ? moves.xMm[k - 1]! : 0;
  const y0 = k > 0 ? moves.yMm[k - 1]! : 0;
  const dx = moves.xMm[k]! - x0;
  const dy = moves.yMm[k]! - y0;
  const length = Math.sqrt(dx * dx + dy * dy);
  const samples = (mm: number) => Math.min(MOST_SAMPLES, Math.max(1, Math.round(mm / grainMm)));
  const along = samples(length);
  const across = samples(widthMm);
  for (let i = 0; i < along; i++) {
    const x = x0 + (dx * (i + 0.5)) / along;
    const y = y0 + (dy * (i + 0.5)) / along;
    for (let j = 0; j < across; j++) {
      const asideMm = widthMm * ((j + 0.5) / across - 0.5);
      visit(x - (dy * asideMm) / length, y + (dx * asideMm) / length);
    }
  }
}
