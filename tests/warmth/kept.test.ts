import { expect, test } from 'vitest';
import { keptOf, keptOfStroke, restBelowCap, strokeBelowCap } from '../../src/warmth/kept.ts';

/** Means over the spot by adding up slices of it. */
function slices(peak: number, isRest: boolean): number {
  let [below, all] = [0, 0];
  for (let k = 0; k < 20_000; k++) {
    const u = (k + 0.5) * 4e-4;
    const h = peak * Math.exp((-u * u) / 2);
    below += (isRest ? u : 1) * Math.min(h, 1);
    all += (isRest ? u : 1) * h;
  }
  return below / all;
}

test('what stays below the cap, over the width of a stroke and the round of a rest, as slices add up', () => {
  for (const peak of [0.1, 1, 1.01, 1.7, 5, 60]) {
    expect(strokeBelowCap(peak)).toBeCloseTo(slices(peak, false), 5);
    expect(restBelowCap(peak)).toBeCloseTo(slices(peak, true), 5);
  }
});

test('a light firing leaves its share, a heavy one hardly more than the cap over its width', () => {
  const kept = keptOf({ share: 0.31, mostJPerMm2: 0.075 });
  expect(keptOfStroke(kept, 0.24)).toBeCloseTo(0.31, 6);
  expect(keptOfStroke(kept, 0.26)).toBeLessThan(0.3099);
  // Ten and a hundred times the cap's dose: what stays grows as √ln, 2.1 and 3.0 σ to either side.
  const stays = (times: number) => times * keptOfStroke(kept, (times * 0.075) / 0.31);
  expect(stays(100) / stays(10)).toBeLessThan(1.45);
  expect(stays(100)).toBeGreaterThan(stays(10));
});
