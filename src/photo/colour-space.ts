import type { Lab } from '../burn/material.ts';
import type { LinearRgb } from './photo.ts';

/**
 * CIELAB here is that of the material profile and of the pictures: reference white D50, linear sRGB adapted to it
 * by the Bradford method (matrices of B. Lindbloom, *RGB/XYZ Matrices*, as the pictures' colour library has
 * them). The library goes by way of coded colours; a fit asks a hundred thousand times and stays with light.
 */
const WHITE = [0.96422, 1, 0.82521] as const;
const BEND = 6 / 29;

export function linearOfLab([l, a, b]: Lab): LinearRgb {
  const fy = (l + 16) / 116;
  const x = WHITE[0] * unbent(fy + a / 500);
  const y = WHITE[1] * unbent(fy);
  const z = WHITE[2] * unbent(fy - b / 200);
  return [
    Math.max(0, 3.1338561 * x - 1.6168667 * y - 0.4906146 * z),
    Math.max(0, -0.9787684 * x + 1.9161415 * y + 0.033454 * z),
    Math.max(0, 0.0719453 * x - 0.2289914 * y + 1.4052427 * z),
  ];
}

/** The root of luminance that L* is read from. */
const rootOfY = (r: number, g: number, b: number): number =>
  bent((0.2225045 * r + 0.7168786 * g + 0.0606169 * b) / WHITE[1]);

/** The L* of {@link labOfLinear}. */
export const lightnessOfLinear = (r: number, g: number, b: number): number => 116 * rootOfY(r, g, b) - 16;

export function labOfLinear([r, g, b]: LinearRgb): Lab {
  const fx = bent((0.4360747 * r + 0.3850649 * g + 0.1430804 * b) / WHITE[0]);
  const fy = rootOfY(r, g, b);
  const fz = bent((0.0139322 * r + 0.0971045 * g + 0.7141733 * b) / WHITE[2]);
  return [116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)];
}

/** The cube root, straight near black, of CIE 15 (1976 L*a*b*). */
const bent = (t: number): number => (t > BEND ** 3 ? Math.cbrt(t) : t / (3 * BEND * BEND) + 4 / 29);
const unbent = (t: number): number => (t > BEND ? t * t * t : 3 * BEND * BEND * (t - 4 / 29));
