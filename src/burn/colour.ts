import type { Lab, Material } from './material.ts';
import { FULL_CHAR_TONE } from './tone.ts';

/**
 * The way of a tone through CIELAB. With p running from 0 (bare) to 1 (darkest char):
 *
 *   L* falls by h(p) = p + p² − p³ of the way, so it starts evenly and comes to rest at the darkest;
 *   a*, b* go the same way plus a hump, 27/4·p·(1 − p)², which is highest (1) at p = 1/3;
 *   beyond full char L* rises again, slightly.
 */

/**
 * The colour of a tone in CIELAB (D50): L* 0 … 100, a* and b*. Source of the way: MODEL.md.
 * @param tone 0 bare … 0.9 darkest … 1 beyond; held within that.
 */
export function labOf(tone: number, material: Material): Lab {
  const { bare_lab, char_lab, warmth_ab, lightening_l } = material.colour;
  const within = Math.min(1, Math.max(0, tone));
  const p = Math.min(1, within / FULL_CHAR_TONE);
  const way = p + p * p - p * p * p;
  const hump = 6.75 * p * (1 - p) * (1 - p);
  const beyond = Math.max(0, (within - FULL_CHAR_TONE) / (1 - FULL_CHAR_TONE));
  const mix = (k: 0 | 1 | 2) => bare_lab.value[k] + (char_lab.value[k] - bare_lab.value[k]) * way;
  return [
    mix(0) + lightening_l.value * beyond * beyond * (3 - 2 * beyond),
    mix(1) + warmth_ab.value[0] * hump,
    mix(2) + warmth_ab.value[1] * hump,
  ];
}

/** Smaller differences in L* are none to the eye. */
export const L_SEEN_FROM = 1;

/** CIE 1976 colour difference ΔE*ab, the one the wood literature uses. */
export const colourDifference = (a: Lab, b: Lab): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
