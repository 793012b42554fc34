import type { ToneErrors } from '../compare/tone-wish.ts';
import type { Strips } from './picture-rows.ts';

/** Mean and 95 % of |ΔL*|, weighed by length. */
export function errorsOf(seenL: Float64Array, { wishedL, lengthMm }: Strips): ToneErrors {
  const errors: { readonly deltaL: number; readonly mm: number }[] = [];
  let [sum, all] = [0, 0];
  for (let k = 0; k < seenL.length; k++) {
    const mm = lengthMm[k]!;
    const deltaL = Math.abs(seenL[k]! - wishedL[k]!);
    if (mm === 0 || Number.isNaN(deltaL)) continue;
    errors.push({ deltaL, mm });
    sum += deltaL * mm;
    all += mm;
  }
  errors.sort((a, b) => a.deltaL - b.deltaL);
  let passed = 0;
  const most = errors.find(({ mm }) => (passed += mm) >= 0.95 * all);
  return { meanDeltaL: all > 0 ? sum / all : 0, mostDeltaL: most?.deltaL ?? 0 };
}
