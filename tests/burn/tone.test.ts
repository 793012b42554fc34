import { describe, expect, test } from 'vitest';
import { dwellNotice, needAt, needOf } from '../../src/burn/need.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { doseForTone, FULL_CHAR_TONE, toneOf, toneRegion } from '../../src/burn/tone.ts';
import { anyWood, between, fc, wood } from './anything.ts';

const names = Object.keys(shippedMaterials);
const dose = between(1e-3, 1e3);
const dwell = between(1e-5, 100);
const wavelength = between(355, 12_000);

describe('tone over dose', () => {
  test('never falls, stays in 0…1, bare below the first mark, saturated far above', () => {
    fc.assert(
      fc.property(anyWood, dose, between(1, 3), dwell, wavelength, (name, h, more, t, nm) => {
        const m = wood(name);
        const tone = toneOf(h, t, m, nm);
        expect(tone).toBeGreaterThanOrEqual(0);
        expect(tone).toBeLessThanOrEqual(1);
        expect(toneOf(h * more, t, m, nm)).toBeGreaterThanOrEqual(tone);
      }),
    );
    for (const m of Object.values(shippedMaterials)) {
      expect(toneOf(0, 0.003, m)).toBe(0);
      expect(toneOf(m.first_mark_j_mm2.value, 0.003, m)).toBe(0);
      expect(toneOf(1e4, 0.003, m)).toBe(1);
    }
  });

  test('has no jump: a hundredth more dose changes tone by less than 0.02', () => {
    fc.assert(
      fc.property(anyWood, dose, dwell, (name, h, t) => {
        const m = wood(name);
        expect(toneOf(h * 1.01, t, m) - toneOf(h, t, m)).toBeLessThan(0.02);
      }),
    );
  });

  test('the dose of a tone gives that tone', () => {
    fc.assert(
      fc.property(anyWood, between(0.001, 0.999), dwell, wavelength, (name, tone, t, nm) => {
        const m = wood(name);
        expect(toneOf(doseForTone(tone, t, m, nm), t, m, nm)).toBeCloseTo(tone, 9);
      }),
    );
  });

  test('the profile means what it says: its two doses are the first mark and full char at short dwell', () => {
    for (const m of Object.values(shippedMaterials)) {
      expect(doseForTone(0, 0, m)).toBeCloseTo(m.first_mark_j_mm2.value, 12);
      expect(doseForTone(FULL_CHAR_TONE, 0, m)).toBeCloseTo(m.full_char_j_mm2.value, 12);
    }
  });

  // Zykova et al. 2021, AFXZ 63(2), 85: the template black that shows runs from 2 % to 33 %, a factor of 16.
  test.each(names)(
    '%s: a dead zone and saturation, first mark to full char within a factor of 5 to 16',
    (name) => {
      const m = shippedMaterials[name]!;
      const range = m.full_char_j_mm2.value / m.first_mark_j_mm2.value;
      expect(range).toBeGreaterThan(5);
      expect(range).toBeLessThan(16);
    },
  );

  test('regions carry the names people use', () => {
    expect([0, 0.044, 0.05, 0.39, 0.4, 0.74, 0.75, 1].map(toneRegion)).toEqual([
      'no mark',
      'no mark',
      'tan',
      'tan',
      'brown',
      'brown',
      'char',
      'char',
    ]);
  });
});

describe('what light and dwell ask for', () => {
  test('the dose of a tone rises with dwell, with an exponent between 0 and a half', () => {
    fc.assert(
      fc.property(anyWood, dwell, between(1.01, 10), wavelength, (name, t, longer, nm) => {
        const m = wood(name);
        const before = doseForTone(0.5, t, m, nm);
        const after = doseForTone(0.5, t * longer, m, nm);
        expect(after).toBeGreaterThan(before);
        expect(Math.log(after / before) / Math.log(longer)).toBeLessThan(0.5);
      }),
    );
  });

  /** n of reciprocity failure, need ∝ dwell^n, around one dwell. */
  const slopeOf = (name: string, wavelengthNm: number, dwellS: number): number => {
    const need = needOf(shippedMaterials[name]!, wavelengthNm);
    return Math.log(needAt(need, 1.01 * dwellS) / needAt(need, dwellS)) / Math.log(1.01);
  };

  test('at engraving dwells dose alone counts; at a second conduction does its part (Glasstone & Dolan 7.30, 7.40)', () => {
    for (const name of ['poplar plywood', 'birch plywood', 'basswood', 'spruce', 'beech']) {
      expect(slopeOf(name, 450, 0.002)).toBeLessThan(0.02);
      expect(slopeOf(name, 10_600, 1)).toBeGreaterThan(0.2);
      expect(slopeOf(name, 10_600, 1)).toBeLessThan(0.4);
    }
  });

  test('the dose of a tone falls as more light is absorbed', () => {
    fc.assert(
      fc.property(anyWood, dwell, between(1.01, 1.4), (name, t, more) => {
        const m = wood(name);
        const [first, ...others] = m.absorption;
        const absorptance = { ...first!.absorptance, value: first!.absorptance.value * more };
        // Told for another wavelength, so that the profile's own doses stay what they are.
        const darker = { ...m, marked_with_nm: 10_600, absorption: [{ ...first!, absorptance }, ...others] };
        expect(doseForTone(0.5, t, darker, 450)).toBeLessThan(
          doseForTone(0.5, t, { ...m, marked_with_nm: 10_600 }, 450),
        );
      }),
    );
  });

  // Song et al. 2025, Photonics 12, 300: 450 nm needs least, 1064 nm most.
  test.each(names)('%s: blue marks sooner than green, green than near infrared', (name) => {
    const doses = [450, 532, 808, 1064].map((nm) => doseForTone(0.5, 0.003, shippedMaterials[name]!, nm));
    expect(doses.toSorted((a, b) => a - b)).toEqual(doses);
    expect(doses[3]! / doses[0]!).toBeGreaterThan(2);
  });

  test('beyond the first and last wavelength the row next to it holds', () => {
    const m = shippedMaterials.spruce!;
    expect(doseForTone(0.5, 0.01, m, 405)).toBe(doseForTone(0.5, 0.01, m, 450));
    expect(doseForTone(0.5, 0.01, m, 11_000)).toBeCloseTo(doseForTone(0.5, 0.01, m, 10_600), 12);
  });

  test('denser wood and wetter wood conduct more away', () => {
    const m = shippedMaterials.spruce!;
    const at = (density: number, moisture: number) =>
      doseForTone(0.5, 1, {
        ...m,
        density_kg_m3: { ...m.density_kg_m3, value: density },
        moisture_percent: { ...m.moisture_percent, value: moisture },
      });
    expect(at(700, 12)).toBeGreaterThan(at(470, 12));
    expect(at(470, 20)).toBeGreaterThan(at(470, 12));
  });

  test('a dwell outside what was measured is said, one inside is not', () => {
    expect(dwellNotice(0.0033)).toBe(
      'The beam stays on a point for 3.3 ms; published thresholds were measured at 0.17 to 3.2 s, so tones and depths here are carried beyond what was measured.',
    );
    expect(dwellNotice(0.0238, 0.0242)).toMatch(/for 24 ms;/);
    expect(dwellNotice(0.05, 12)).toMatch(/for 50 ms to 12 s;/);
    expect(dwellNotice(0.2, 3)).toBeNull();
  });
});
