import { describe, expect, test } from 'vitest';
import { surfaceWidthMm } from '../../src/burn/beam-on-wood.ts';
import { depthLaw, excessForDepth, removalJPerMm3 } from '../../src/burn/depth.ts';
import { absorptionAt, needAt, needOf } from '../../src/burn/need.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneRegion } from '../../src/burn/tone.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { effusivity, halfSpaceDoseJPerMm2 } from '../../src/burn/wood-physics.ts';
import { diode } from './beams.ts';

/** The numbers of the depth law and of the need, each told from the law's own answers. */

const poplar = shippedMaterials['poplar plywood']!;
const withMoisture = (percent: number) => ({
  ...poplar,
  moisture_percent: { ...poplar.moisture_percent, value: percent },
});

describe('removal', () => {
  test('at 12 % moisture takes what the profile says', () => {
    expect(removalJPerMm3(withMoisture(12))).toBe(poplar.removal_j_mm3.value);
  });

  // Steam tables: 335 kJ/kg from 20 to 100 °C and 2257 kJ/kg to boil off (values from memory).
  test('wetter wood takes the boiling of its water more, per volume of dry wood', () => {
    const more = removalJPerMm3(withMoisture(32)) - poplar.removal_j_mm3.value;
    const dryKgPerMm3 = (poplar.density_kg_m3.value / 1.32) * 1e-9;
    expect(more / (dryKgPerMm3 * 0.2 * (335e3 + 2257e3))).toBeCloseTo(1, 2);
  });

  test('the dose of the first bit of depth is that, in focus or out of it', () => {
    for (const headZMm of [0, 3, -3]) {
      const law = depthLaw(poplar, { ...diode([0.2, 0.2], 2), headZMm });
      expect(excessForDepth(law, 0.001) / 0.001 / removalJPerMm3(poplar)).toBeCloseTo(1, 2);
    }
  });

  test('walls take half of what they ever take where the kerf is five widths deep', () => {
    // A beam that does not spread, so that only the walls are left.
    const beam = diode([0.2, 0.2], 1e9);
    const law = depthLaw(poplar, beam);
    const slope = (mm: number) => (excessForDepth(law, mm + 0.01) - excessForDepth(law, mm - 0.01)) / 0.02;
    const loss = (mm: number) => slope(mm) / removalJPerMm3(poplar) - 1;
    expect(loss(5 * surfaceWidthMm(beam)) / poplar.wall_loss.value).toBeCloseTo(0.5, 2);
    // a²/(1 + a²) at twice that.
    expect(loss(10 * surfaceWidthMm(beam)) / poplar.wall_loss.value).toBeCloseTo(0.8, 2);
  });
});

describe('need', () => {
  const rows = poplar.absorption;

  test('half-way between two wavelengths by their ratio absorptance is half-way, and depth by its ratio', () => {
    for (let k = 1; k < rows.length; k++) {
      const [below, above] = [rows[k - 1]!, rows[k]!];
      const middle = absorptionAt(poplar, Math.sqrt(below.wavelength_nm * above.wavelength_nm));
      expect(middle.absorptance).toBeCloseTo((below.absorptance.value + above.absorptance.value) / 2, 12);
      expect(middle.depthMm).toBeCloseTo(Math.sqrt(below.depth_mm.value * above.depth_mm.value), 12);
    }
  });

  test('by depth: deeper light must char more, light thrown back must be made up', () => {
    const own = absorptionAt(poplar, poplar.marked_with_nm);
    const infrared = absorptionAt(poplar, 1064);
    expect(needOf(poplar, 1064).byDepth).toBeCloseTo(
      (infrared.depthMm / own.depthMm) * (own.absorptance / infrared.absorptance),
      12,
    );
    expect(needOf(poplar, poplar.marked_with_nm).byDepth).toBe(1);
  });

  test('by dwell: what a half-space conducts away, which grows with the root of time', () => {
    const need = needOf(poplar, poplar.marked_with_nm);
    const own = absorptionAt(poplar, poplar.marked_with_nm);
    const e = effusivity(poplar.density_kg_m3.value, poplar.moisture_percent.value);
    for (const dwellS of [0.01, 0.5, 4]) {
      const conducted = halfSpaceDoseJPerMm2(poplar.char_rise_k.value, dwellS, e) / own.absorptance;
      expect(needAt(need, dwellS)).toBeCloseTo(1 + conducted / poplar.full_char_j_mm2.value, 12);
    }
  });
});

test('tones have their names from 5, 40 and 75 % on, told as whole per cents', () => {
  const around = (tone: number) => [toneRegion(tone - 1e-9), toneRegion(tone)];
  expect([around(0.045), around(0.395), around(0.745)]).toEqual([
    ['no mark', 'tan'],
    ['tan', 'brown'],
    ['brown', 'char'],
  ]);
});

test('a wood’s answer knows the height the head burned at to a hundredth of the Rayleigh length', () => {
  const beam = diode([0.2, 0.2], 2);
  const answer = woodAnswer(poplar, beam);
  const exact = woodAnswer(poplar, { ...beam, spot: { ...beam.spot, focus_z_mm: -1.5 } });
  answer.doseForDepth(4, 0.02, 1.3); // another height, whose law must not do for this one
  expect(answer.doseForDepth(4, 0.02, 1.5) / exact.doseForDepth(4, 0.02, 0)).toBeCloseTo(1, 3);
  expect(answer.depthMm(answer.doseForDepth(4, 0.02, 1.5), 0.02, 1.5)).toBeCloseTo(4, 9);
});
