import type { Material } from '../../src/burn/material.ts';
import { labOf } from '../../src/burn/respond.ts';
import type { TonePath } from '../../src/picture/tone.ts';

/** A material's way from bare to char, as the pictures take it. */
export const tonePathOf = (material: Material): TonePath =>
  Array.from({ length: 41 }, (_, k) => ({ tone: k / 40, lab: labOf(k / 40, material) }));
