import { burnAtOnce } from '../../src/change/at-once.ts';
import { keptBase } from './base.ts';
import { depthLayerOf, isCut } from './layers.ts';
import type { Glimpse, Wish } from './messages.ts';
import { surfaceOf } from './surface.ts';

/** A shorter job is forecast as fast as it is glimpsed. */
const GLIMPSED_FROM_MOVES = 30_000;

/** What the wood of a wish comes to, before all else that is asked of it; null where there is nothing to go by yet. */
export function glimpseOf(wish: Wish): Glimpse | null {
  const base = wish.live ? keptBase(wish) : null;
  if (!base || base.whatIf.base.program.moves.count < GLIMPSED_FROM_MOVES) return null;
  const made = burnAtOnce(base.whatIf.base, wish.setup.changes, base.arrival);
  if (!made) return null;
  const { burn, dose } = made;
  const surface = surfaceOf(burn, dose.grid, wish.texels);
  return {
    surface,
    depth: depthLayerOf(burn, dose.grid, base.arrival, surface.deepestMm, null),
    isCut: isCut(burn),
  };
}
