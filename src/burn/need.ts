import type { Material } from './material.ts';
import { effusivity, halfSpaceDoseJPerMm2 } from './wood-physics.ts';

/**
 * What light and dwell do to the dose a tone needs: need = byDepth + bySqrtS·√(dwell in s), as a multiple of
 * the dose at the profile's wavelength and short dwell. The first term is the layer the light reaches, which
 * must be charred through; the second is heat that conduction carries off meanwhile.
 */
export interface Need {
  readonly byDepth: number;
  readonly bySqrtS: number;
}

/** @param wavelengthNm of the beam. */
export const needOf = (material: Material, wavelengthNm: number): Need =>
  startNeed(material, wavelengthNm)(material);

/** The same for many woods whose absorption is told at the same wavelengths: between which of them a beam lies is asked once. */
export function startNeed(
  { absorption, marked_with_nm }: Material,
  wavelengthNm: number,
): (material: Material) => Need {
  const [ownMix, beamMix] = [mixAt(absorption, marked_with_nm), mixAt(absorption, wavelengthNm)];
  return (material) => needBy(material, ownMix, beamMix);
}

function needBy(material: Material, own: Mix, beam: Mix): Need {
  const e = effusivity(material.density_kg_m3.value, material.moisture_percent.value);
  const conducted = halfSpaceDoseJPerMm2(material.char_rise_k.value, 1, e);
  const absorptance = absorptanceBy(material, beam);
  return {
    byDepth:
      (absorptanceBy(material, own) / absorptance) * (depthBy(material, beam) / depthBy(material, own)),
    bySqrtS: conducted / (absorptance * material.full_char_j_mm2.value),
  };
}

export const needAt = (need: Need, dwellS: number): number => need.byDepth + need.bySqrtS * Math.sqrt(dwellS);

/** Dwells at which published thresholds were measured, s (Kudela 2019; Glasstone & Dolan 1977). */
const MEASURED_DWELL_S = [0.17, 3.2] as const;

/** One sentence when the dwell (or a range of them) reaches outside what was measured; else null. */
export function dwellNotice(shortestS: number, longestS: number = shortestS): string | null {
  const [low, high] = MEASURED_DWELL_S;
  if (shortestS >= low && longestS <= high) return null;
  const words = (s: number) =>
    s < 1 ? `${Number((s * 1000).toPrecision(2))} ms` : `${Number(s.toPrecision(2))} s`;
  const [from, to] = [words(shortestS), words(longestS)];
  const range = from === to ? from : `${from} to ${to}`;
  return (
    `The beam stays on a point for ${range}; published thresholds were measured at ${low} to ${high} s, ` +
    'so tones and depths here are carried beyond what was measured.'
  );
}

/** Two rows of an absorption by their places, and how far from the one to the other a wavelength lies: 0 … 1. */
interface Mix {
  readonly below: number;
  readonly above: number;
  readonly part: number;
}

function mixAt(rows: Material['absorption'], wavelengthNm: number): Mix {
  const after = rows.findIndex((row) => row.wavelength_nm >= wavelengthNm);
  const above = after < 0 ? rows.length - 1 : after;
  const below = after < 1 ? above : after - 1;
  const from = rows[below]!.wavelength_nm;
  const span = Math.log(rows[above]!.wavelength_nm / from);
  return { below, above, part: span > 0 ? Math.log(wavelengthNm / from) / span : 0 };
}

function absorptanceBy({ absorption }: Material, { below, above, part }: Mix): number {
  const from = absorption[below]!.absorptance.value;
  return from + (absorption[above]!.absorptance.value - from) * part;
}

function depthBy({ absorption }: Material, { below, above, part }: Mix): number {
  const [from, to] = [absorption[below]!.depth_mm.value, absorption[above]!.depth_mm.value];
  if (part === 0 || from === to) return from;
  return part === 1 ? to : from * (to / from) ** part;
}

/** Absorptance and depth at a wavelength: even over ln λ between rows (depth in its logarithm), level beyond. */
export function absorptionAt(
  material: Material,
  wavelengthNm: number,
): { absorptance: number; depthMm: number } {
  const mix = mixAt(material.absorption, wavelengthNm);
  return { absorptance: absorptanceBy(material, mix), depthMm: depthBy(material, mix) };
}
