import { distanceTo, type Placement, type Point, unplace } from './geometry.ts';
import { type Leaf, midrib, midribMm, sideVeins } from './leaf.ts';

/**
 * The shaded leaf of the sign: a leaf modelled as a little landscape and lit from the upper left. Each field
 * between two veins is a pillow, the veins are grooves, and the whole blade arches over its midrib.
 */

const VEIN = { depthMm: 0.7, reachMm: 1.2 };
const MIDRIB = { depthMm: 1, reachMm: 1.4 };
const ARCH_PER_MM = 0.02;
/** Towards the light; z points out of the board. */
const LIGHT = unit3([-0.8, 0.42, 0.8]);
/** Slopes are read over this distance, about one pixel. */
const STEP_MM = 0.15;

/** Tone 0 (leave the wood bare) … 1 (as dark as the picture gets) at a point of the board. */
type Tone = (point: Point) => number;

/** The picture of a leaf that lies at `placement`. Only meaningful inside its margin. */
export function shadedLeaf(leaf: Leaf, placement: Placement): Tone {
  const rib = midrib(leaf);
  const veins = sideVeins(leaf, 0, 1);
  const heightMm = (point: Point): number => {
    const local = unplace(point, placement);
    const toVeinMm = Math.min(...veins.map((vein) => distanceTo(vein, local)));
    const asideMm = local[1] - midribMm(leaf, local[0] / leaf.lengthMm);
    return pillow(toVeinMm, VEIN) + pillow(distanceTo(rib, local), MIDRIB) - ARCH_PER_MM * asideMm ** 2;
  };
  return (point) => {
    const here = heightMm(point);
    const slopeX = (heightMm([point[0] + STEP_MM, point[1]]) - here) / STEP_MM;
    const slopeY = (heightMm([point[0], point[1] + STEP_MM]) - here) / STEP_MM;
    const facing = dot3(unit3([-slopeX, -slopeY, 1]), LIGHT);
    return Math.min(1, Math.max(0, 1.1 - 1.05 * facing));
  };
}

/** Rises from a vein and levels off. */
const pillow = (distanceMm: number, { depthMm, reachMm }: typeof VEIN): number =>
  depthMm * (1 - Math.exp(-((distanceMm / reachMm) ** 1.3)));

type Vector3 = readonly [number, number, number];
const dot3 = (a: Vector3, b: Vector3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
function unit3(a: Vector3): Vector3 {
  const length = Math.hypot(...a);
  return [a[0] / length, a[1] / length, a[2] / length];
}
