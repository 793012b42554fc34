import type { BeamOnWood } from '../../src/burn/beam-on-wood.ts';

/** A small diode engraver, and the laser of the southern-pine cuts as far as it is known. */

export const diode = (
  widthMm: readonly [number, number] = [0.1, 0.1],
  rayleighMm: number | null = null,
): BeamOnWood => ({
  spot: { shape: 'gaussian', width_mm: widthMm, focus_z_mm: 0, rayleigh_mm: rayleighMm },
  wavelengthNm: 450,
});

/**
 * McMillin & Harry 1971: the spot is taken as wide as the narrowest kerf told of the paper (381 µm), the
 * beam as nearly diffraction-limited (M² 1.2), the focus on the surface: all three assumed.
 */
export const pineCutter = (widthMm = 0.381, mSquared = 1.2): BeamOnWood => ({
  spot: {
    shape: 'gaussian',
    width_mm: [widthMm, widthMm],
    focus_z_mm: 0,
    rayleigh_mm: (Math.PI * (widthMm / 2) ** 2) / (mSquared * 0.0106),
  },
  wavelengthNm: 10600,
});
