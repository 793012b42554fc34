import type { ToneErrors } from '../compare/tone-wish.ts';
import type { Strips } from './picture-rows.ts';

/** Differences are counted in bins this wide, up to all of L*. */
const BIN_L = 0.005;
const MOST_L = 100;

/** Mean and 95 % of |ΔL*|, weighed by length. */
export function errorsOf(seenL: Float64Array, { wishedL, lengthMm }: Strips): ToneErrors {
  const bins = new Float64Array(MOST_L / BIN_L + 1);
  let [sum, all] = [0, 0];
  for (let k = 0; k < seenL.length; k++) {
    const mm = lengthMm[k]!;
    const deltaL = Math.abs(seenL[k]! - wishedL[k]!);
    if (mm === 0 || Number.isNaN(deltaL)) continue;
    const bin = Math.min(bins.length - 1, Math.round(deltaL / BIN_L));
    bins[bin] = bins[bin]! + mm;
    sum += deltaL * mm;
    all += mm;
  }
  if (all === 0) return { meanDeltaL: 0, mostDeltaL: 0 };
  let most = 0;
  for (let passed = bins[0]!; passed < 0.95 * all && most + 1 < bins.length; passed += bins[most]!) most++;
  return { meanDeltaL: sum / all, mostDeltaL: most * BIN_L };
}
