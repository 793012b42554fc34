import { beamSpread } from '../laser/spot.ts';

/**
 * What the wood must know of the beam. The spot has the fields of a machine profile's `spot`, so a profile's
 * spot fits as it is.
 */
export interface BeamOnWood {
  readonly spot: {
    readonly shape: 'gaussian' | 'uniform-ellipse' | 'uniform-rectangle';
    /** In focus, along the spot's own axes, mm. */
    readonly width_mm: readonly [number, number];
    readonly focus_z_mm: number;
    readonly rayleigh_mm: number | null;
  };
  readonly wavelengthNm: number;
  /**
   * Height z of the head while it burns, mm; default 0. Below `focus_z_mm` the focus lies inside the wood,
   * by the difference; without `rayleigh_mm` it lies on the surface at any height.
   */
  readonly headZMm?: number;
}

/**
 * Half-angle of the cone of light, rad, that stands in when a profile gives no Rayleigh length: a lens some
 * twelve times as far from the work as the beam on it is wide. A value from memory, and a guess.
 */
const CONE_RAD = 0.04;

/** √(width_x · width_y) in focus, mm: the one width where direction does not matter. */
const meanFocusWidthMm = ({ spot }: BeamOnWood): number => Math.sqrt(spot.width_mm[0] * spot.width_mm[1]);

/**
 * The Rayleigh length, mm: the profile's, or where it gives none half the spot's mean width over
 * {@link CONE_RAD}. A beam that never widens would cut anything.
 */
export const rayleighMm = (beam: BeamOnWood): number =>
  beam.spot.rayleigh_mm ?? meanFocusWidthMm(beam) / 2 / CONE_RAD;

/** How far above the focus the surface lies, mm; 0 without a Rayleigh length, when every height counts as in focus. */
export const surfaceOffMm = ({ spot, headZMm = 0 }: BeamOnWood): number =>
  spot.rayleigh_mm === null ? 0 : headZMm - spot.focus_z_mm;

/**
 * Width at `depthMm` below the surface over width in focus. On the surface it is `defocus`, which the dose is
 * spread by, so that dose and depth go by one beam.
 */
export const widening = (beam: BeamOnWood, depthMm: number): number =>
  beamSpread(surfaceOffMm(beam) + depthMm, rayleighMm(beam));

/** Mean width of the spot on the surface, mm. */
export const surfaceWidthMm = (beam: BeamOnWood): number => meanFocusWidthMm(beam) * widening(beam, 0);
