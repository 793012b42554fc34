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
export function needOf(material: Material, wavelengthNm: number): Need {
  const own = absorptionAt(material, material.marked_with_nm);
  const beam = absorptionAt(material, wavelengthNm);
  const e = effusivity(material.density_kg_m3.value, material.moisture_percent.value);
  const conducted = halfSpaceDoseJPerMm2(material.char_rise_k.value, 1, e);
  return {
    byDepth: (own.absorptance / beam.absorptance) * (beam.depthMm / own.depthMm),
    bySqrtS: conducted / (beam.absorptance * material.full_char_j_mm2.value),
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

/** Absorptance and depth at a wavelength: even over ln λ between rows (depth in its logarithm), level beyond. */
export function absorptionAt(
  material: Material,
  wavelengthNm: number,
): { absorptance: number; depthMm: number } {
  const rows = material.absorption;
  const after = rows.findIndex((row) => row.wavelength_nm >= wavelengthNm);
  const above = after < 0 ? rows.at(-1)! : rows[after]!;
  const below = after < 1 ? above : rows[after - 1]!;
  const span = Math.log(above.wavelength_nm / below.wavelength_nm);
  const part = span > 0 ? Math.log(wavelengthNm / below.wavelength_nm) / span : 0;
  const mix = (from: number, to: number) => from + (to - from) * part;
  return {
    absorptance: mix(below.absorptance.value, above.absorptance.value),
    depthMm: Math.exp(mix(Math.log(below.depth_mm.value), Math.log(above.depth_mm.value))),
  };
}
