import { bezier, type Point, type Ring } from './geometry.ts';

/**
 * Leaves from a few numbers. A leaf lies along x, its base at the origin; t runs along it from 0 (base) to
 * 1 (tip) and u across it from −1 to 1 (right and left margin, seen from the base).
 */
export interface Leaf {
  readonly lengthMm: number;
  readonly widthMm: number;
  /** Half width ∝ t^base · (1 − t)^tip: small numbers make that end blunt, large ones draw it out. */
  readonly base: number;
  readonly tip: number;
  /** How far the midrib bows to the left in the middle. */
  readonly bowMm: number;
  readonly veinPairs: number;
  /** Teeth on each side; 0: a smooth margin. */
  readonly teeth: number;
}

/** Steps of a smooth margin for each mm of leaf, and the fewest a small leaf gets. */
const MARGIN_STEPS_PER_MM = 2.5;
const MARGIN_STEPS_MIN = 9;
/** A tooth stands out by this share of the half width. */
const TOOTH_DEPTH = 0.1;
/** The midrib ends short of the tip. */
const MIDRIB_END = 0.9;
const MIDRIB_STEPS_PER_MM = 1.5;
const MIDRIB_STEPS_MAX = 24;

function halfWidthMm({ widthMm, base, tip }: Leaf, t: number): number {
  if (t <= 0 || t >= 1) return 0;
  const widest = base / (base + tip);
  return ((widthMm / 2) * (t ** base * (1 - t) ** tip)) / (widest ** base * (1 - widest) ** tip);
}

/** The height of the midrib at t. */
export const midribMm = ({ bowMm }: Leaf, t: number): number => 4 * bowMm * t * (1 - t);

/** The point (t, u) of a leaf. */
export const leafPoint = (leaf: Leaf, t: number, u: number): Point => [
  t * leaf.lengthMm,
  midribMm(leaf, t) + u * halfWidthMm(leaf, t),
];

/** The margin as one ring, from the base along the right side to the tip and back along the left one. */
export function margin(leaf: Leaf): Ring {
  const side = leaf.teeth > 0 ? toothedSide(leaf.teeth) : smoothSide(leaf.lengthMm);
  return [
    ...side.map(([t, u]) => leafPoint(leaf, t, -u)),
    ...side
      .slice(1, -1)
      .reverse()
      .map(([t, u]) => leafPoint(leaf, t, u)),
  ];
}

/** Steps along one side, closer together near the two ends, where it curves most. */
function smoothSide(lengthMm: number): [t: number, u: number][] {
  const steps = Math.max(MARGIN_STEPS_MIN, Math.round(lengthMm * MARGIN_STEPS_PER_MM));
  return Array.from({ length: steps + 1 }, (_, k) => [(1 - Math.cos((Math.PI * k) / steps)) / 2, 1]);
}

/** Each tooth rises outwards towards the tip, then steps back in. */
function toothedSide(teeth: number): [t: number, u: number][] {
  const at = (k: number) => k / (teeth + 1);
  const side: [number, number][] = [[0, 1]];
  for (let k = 1; k <= teeth; k++) {
    const middle = (at(k - 1) + at(k)) / 2;
    side.push([middle, 1 + TOOTH_DEPTH / 3], [at(k), 1 + TOOTH_DEPTH], [at(k) + 0.004, 1]);
  }
  return [...side, [at(teeth + 0.5), 1], [1, 1]];
}

/** The midrib, from t = `fromT` to a little before the tip. */
export function midrib(leaf: Leaf, fromT = 0): Point[] {
  const steps = Math.min(MIDRIB_STEPS_MAX, Math.ceil(leaf.lengthMm * MIDRIB_STEPS_PER_MM));
  return Array.from({ length: steps + 1 }, (_, k) =>
    leafPoint(leaf, fromT + ((MIDRIB_END - fromT) * k) / steps, 0),
  );
}

/**
 * The side veins of both sides: each leaves the midrib steeply at u = `fromU` and bends towards the tip, up
 * to u = `toU`. Drawn, they stop short of midrib and margin, so that no line meets another.
 */
export function sideVeins(leaf: Leaf, fromU = 0.1, toU = 0.78): Point[][] {
  return Array.from({ length: leaf.veinPairs }, (_, k) => {
    const t = 0.06 + (0.62 * (k + 0.5)) / leaf.veinPairs;
    return [-1, 1].map((side) =>
      bezier(
        leafPoint(leaf, t, side * fromU),
        leafPoint(leaf, t + 0.06, side * 0.6 * toU),
        leafPoint(leaf, t + 0.17, side * toU),
        12,
      ),
    );
  }).flat();
}
