import { describe, expect, test } from 'vitest';
import { type Material, readMaterial } from '../../src/burn/material.ts';
import { relativeUncertainty as uncertaintyOf } from '../../src/sure/contributions.ts';
import { wood } from '../burn/anything.ts';
import { seeded } from '../support/random.ts';
import { benchKnownTo, boardKnownTo, multiple } from './exact.ts';

const known = (value: number, plusMinus: number | null) => ({
  value,
  plus_minus: plusMinus,
  basis: 'measured by this test',
});

/** A wood with one part in a hundred on removal and full char, and nothing else uncertain. */
const sure = (removalPlus: number | null, charPlus: number | null): Material =>
  readMaterial({
    density_kg_m3: known(450, null),
    moisture_percent: known(9, null),
    first_mark_j_mm2: known(0.1, null),
    full_char_j_mm2: known(1, charPlus),
    char_rise_k: known(1000, null),
    removal_j_mm3: known(2.5, removalPlus),
    wall_loss: known(0.5, null),
    absorption: [{ wavelength_nm: 450, absorptance: known(0.5, null), depth_mm: known(0.1, null) }],
  });

/** Of what hangs on the wood alone: machine and board are known exactly. */
const relativeUncertainty = (material: Material, quantity: (material: Material) => number) =>
  uncertaintyOf({ material, machine: benchKnownTo(0, 0), thickness: boardKnownTo(0) }, (of) =>
    quantity(of.material),
  );

describe('the uncertainty of what is worked out from a wood', () => {
  test('adds relative uncertainties in squares, weighted by the exponents of a product', () => {
    // JCGM 100:2008, 5.1.6: for y = c·x1^p1·x2^p2, (u(y)/y)² = Σ (p_i·u(x_i)/x_i)².
    const made = relativeUncertainty(
      sure(0.025, 0.02),
      (m) => m.removal_j_mm3.value / m.full_char_j_mm2.value ** 2,
    );
    expect(made).toBeCloseTo(Math.hypot(0.01, 2 * 0.02), 3);
  });

  test('is not known where nothing that bears on it has one', () => {
    expect(relativeUncertainty(sure(null, null), (m) => m.removal_j_mm3.value)).toBeNull();
    expect(relativeUncertainty(sure(0.1, null), (m) => m.full_char_j_mm2.value)).toBeNull();
    expect(relativeUncertainty(sure(0.1, null), (m) => m.removal_j_mm3.value)).toBeCloseTo(
      Math.sqrt(Math.log(1 + 0.04 ** 2)), // of a lognormal number (any text)
      9,
    );
  });

  test('counts machine and board as well', () => {
    const bench = { material: sure(null, null), machine: benchKnownTo(10, 5), thickness: boardKnownTo(0.08) };
    const made = uncertaintyOf(bench, ({ power, width, thickness }) => (power / width ** 2) * thickness);
    expect(made).toBeCloseTo(Math.hypot(0.1, 2 * 0.05, 0.02), 2);
  });

  test('is near what throwing the dice gives, for a real wood and a curved quantity', () => {
    // Monte Carlo as in JCGM 101:2008: every number log-normal about its value, by its standard uncertainty.
    const poplar = wood('poplar plywood');
    const quantity = (m: Material) =>
      m.first_mark_j_mm2.value ** 0.4 * m.full_char_j_mm2.value ** 0.6 * (1 + m.wall_loss.value);
    const random = seeded(11);
    const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const thrown = (q: { value: number; plus_minus: number | null; basis: string }) => ({
      ...q,
      value: q.value * multiple((q.plus_minus ?? 0) / q.value, normal()),
    });
    const logs = Array.from({ length: 20_000 }, () =>
      Math.log(
        quantity({
          ...poplar,
          first_mark_j_mm2: thrown(poplar.first_mark_j_mm2),
          full_char_j_mm2: thrown(poplar.full_char_j_mm2),
          wall_loss: thrown(poplar.wall_loss),
        }),
      ),
    );
    const mean = logs.reduce((sum, x) => sum + x, 0) / logs.length;
    const spread = Math.sqrt(logs.reduce((sum, x) => sum + (x - mean) ** 2, 0) / logs.length);
    expect(relativeUncertainty(poplar, quantity)! / spread).toBeGreaterThan(0.93);
    expect(relativeUncertainty(poplar, quantity)! / spread).toBeLessThan(1.07);
  });
});
