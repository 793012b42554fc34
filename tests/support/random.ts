/** mulberry32: a small generator with a seed, for loops that must give the same numbers on every run. */
export function seeded(seed: number): () => number {
  // Signed: beyond 2³¹ each state would be a number made anew.
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A whole number in 0 … n − 1. */
export const below = (random: () => number, n: number): number => Math.floor(random() * n);
