import { describe, expect, test } from 'vitest';
import { surfaceWidthMm } from '../../src/burn/beam-on-wood.ts';
import { depthOf } from '../../src/burn/depth.ts';
import { firedNeed } from '../../src/burn/firing.ts';
import { linePeakDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import {
  areaDoseTimesSpeed,
  cutSpeedMmPerS,
  lineDoseTimesSpeed,
  passesToCut,
  speedForDepthMmPerS,
  speedForToneMmPerS,
} from '../../src/burn/settings-for.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { anyWood, between, fc, wood } from './anything.ts';
import { diode } from './beams.ts';

const power = between(0.5, 40);
const width = between(0.05, 0.4);

describe('from what is wanted to settings', () => {
  test('at the speed for a tone a raster has that tone', () => {
    fc.assert(
      fc.property(anyWood, power, width, between(0.05, 0.95), (name, watts, w, tone) => {
        const m = wood(name);
        const beam = diode([w, w]);
        const k = areaDoseTimesSpeed(watts, 0.1);
        const speed = speedForToneMmPerS(tone, k, m, beam);
        expect(toneOf(k / speed, w / speed, m)).toBeCloseTo(tone, 9);
      }),
    );
  });

  test('at the speed for a depth a line is that deep', () => {
    fc.assert(
      fc.property(
        anyWood,
        power,
        width,
        between(0.1, 10),
        fc.integer({ min: 1, max: 9 }),
        (name, watts, w, depth, passes) => {
          const m = wood(name);
          const beam = diode([w, w]);
          const k = lineDoseTimesSpeed(watts, beam);
          const times = firedNeed(passes, 0, m);
          const speed = speedForDepthMmPerS(depth, passes * k, m, beam, { times });
          expect(depthOf(k / speed, w / speed, m, beam, passes)).toBeCloseTo(depth, 5);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('just below the cutting speed one pass does, just above it two', () => {
    const spruce = shippedMaterials.spruce!;
    const beam = diode([0.12, 0.18], 2);
    const limit = cutSpeedMmPerS(10, 4, spruce, beam);
    const passesAt = (speed: number) =>
      passesToCut(linePeakDoseJPerMm2(10, speed, 0.18), surfaceWidthMm(beam) / speed, 4, spruce, beam);
    expect(passesAt(limit)).toBe(1);
    expect(passesAt(limit * 1.001)).toBe(2);
    expect(passesAt(limit * 4.5)).toBe(5);
  });

  test('more power and more passes cut faster, thicker stock slower', () => {
    const m = shippedMaterials['poplar plywood']!;
    const at = (watts: number, thickness: number, passes = 1) =>
      cutSpeedMmPerS(watts, thickness, m, diode(), passes);
    expect(at(20, 4)).toBeGreaterThan(at(10, 4));
    expect(at(10, 4, 2)).toBeGreaterThan(at(10, 4));
    expect(at(10, 6)).toBeLessThan(at(10, 4));
  });

  test('what cannot be done has no speed and no number of passes', () => {
    const m = shippedMaterials['poplar plywood']!;
    expect(cutSpeedMmPerS(0, 4, m, diode())).toBe(0);
    expect(cutSpeedMmPerS(10, 80, m, diode())).toBe(0);
    expect(passesToCut(0, 0.01, 4, m, diode())).toBe(Infinity);
    expect(passesToCut(5, 0.01, 80, m, diode())).toBe(Infinity);
  });

  test('the wider axis of the spot decides', () => {
    expect(lineDoseTimesSpeed(10, diode([0.1, 0.2]))).toBeCloseTo(linePeakDoseJPerMm2(10, 1, 0.2), 12);
  });
});
