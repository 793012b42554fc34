import { expect, test } from 'vitest';
import { colourDifference, labOf } from '../../src/burn/colour.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { createEye, PLAINLY_DIFFERENT } from '../../src/findings/evidence/visible-difference.ts';
import { seeded } from '../support/random.ts';

test('sees the same difference as the exact colours, for every wood', () => {
  const random = seeded(11);
  for (const material of Object.values(shippedMaterials)) {
    const eye = createEye(material, 450);
    for (let k = 0; k < 300; k++) {
      const [a, b] = [0.02 * 400 ** random(), 0.02 * 400 ** random()];
      const [ta, tb] = [0.001 * 200 ** random(), 0.001 * 200 ** random()];
      const exact = colourDifference(
        labOf(toneOf(a, ta, material, 450), material),
        labOf(toneOf(b, tb, material, 450), material),
      );
      expect(Math.abs(eye.difference(a, ta, b, tb) - exact)).toBeLessThan(0.1);
    }
  }
});

test('black on black shows nothing, a first brown on bare wood does, and a black line shows by its rim', () => {
  const eye = createEye(shippedMaterials['poplar plywood']!, 450);
  expect(eye.difference(5, 0.01, 50, 0.01)).toBeLessThan(PLAINLY_DIFFERENT);
  expect(eye.lineDifference(5, 0.01, 50, 0.01)).toBeLessThan(PLAINLY_DIFFERENT);
  expect(eye.difference(0.4, 0.005, 0, 0.005)).toBeGreaterThan(PLAINLY_DIFFERENT);
  expect(eye.difference(0, 1, 0, 0.001)).toBe(0);
  // Nearly black in the middle either way, but the rim of the fainter line is still brown.
  expect(eye.difference(1, 0.005, 4, 0.005)).toBeLessThan(PLAINLY_DIFFERENT);
  expect(eye.lineDifference(1, 0.005, 4, 0.005)).toBeGreaterThan(PLAINLY_DIFFERENT);
});
