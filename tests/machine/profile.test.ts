import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/errors.ts';
import { readMachine } from '../../src/machine/profile.ts';

/** The sentence a profile is refused with. */
function refusal(profile: unknown): string {
  try {
    readMachine(profile, 'gantry.json');
  } catch (error) {
    if (error instanceof InputError) return error.toString();
    throw error;
  }
  throw new Error(`taken without complaint: ${JSON.stringify(profile)}`);
}

const withLaser = (laser: object) => ({ laser: { optical_power_w: 5, ...laser } });
const withField = (fields: object) => ({ ...fields, ...withLaser({}) });

describe('a machine profile', () => {
  test('needs nothing but the optical power', () => {
    expect(readMachine(withLaser({}))).toMatchObject({
      work_area_mm: [400, 400],
      lookahead_moves: 16,
      link: null,
      laser: { s_max: 1000, wavelength_nm: 450, m4_power: 'proportional' },
      spot: { width_mm: [0.1, 0.1], rayleigh_mm: null },
      notes: [],
    });
  });

  test.each([
    [{}, /^gantry\.json: found nothing for laser; expected an object$/],
    [[], /found \[\] for the profile; expected an object$/],
    [null, /found null for the profile; expected an object$/],
    ['5 W', /found "5 W" for the profile; expected an object$/],
    [withLaser({ optical_power_w: '5' }), /found "5" for laser\.optical_power_w; expected a number$/],
    [withLaser({ optical_power_w: 0 }), /found 0 for laser\.optical_power_w; expected a value above 0$/],
    [
      withLaser({ optical_power_w: 1e-300 }),
      /found 1e-300 for laser\.optical_power_w; expected a value of at least 0\.000001$/,
    ],
    // JSON has no NaN and no infinities, but a caller may hand them in.
    [withLaser({ optical_power_w: Number.NaN }), /found NaN for laser\.optical_power_w; expected a number$/],
    [
      withLaser({ optical_power_w: Infinity }),
      /found Infinity for laser\.optical_power_w; expected a number$/,
    ],
    [
      withLaser({ wavelength_nm: 0.45 }),
      /found 0\.45 for laser\.wavelength_nm; expected a value of at least 100$/,
    ],
    [
      withLaser({ rise_time_ms: 1e-9 }),
      /found 1e-9 for laser\.rise_time_ms; expected 0, or at least 0\.001$/,
    ],
    [
      withLaser({ watts: 5 }),
      /found the unknown field laser\.watts; expected only the fields of a machine profile \(in laser: optical_power_w, .*\bs_max\b.*\)$/,
    ],
    [
      withField({ max_speed_mm_s: [100, 100] }),
      /found \[100,100\] for max_speed_mm_s; expected a list of at least 3$/,
    ],
    [
      withField({ max_speed_mm_s: [100, 0, 10] }),
      /found 0 for max_speed_mm_s number 2; expected a value of at least 0\.001$/,
    ],
    [
      withField({ acceleration_mm_s2: [1e308, 1, 1] }),
      /found 1e\+308 for acceleration_mm_s2 number 1; expected a value of at most 1000000000000$/,
    ],
    [withField({ lookahead_moves: 1.5 }), /found 1\.5 for lookahead_moves; expected a whole number$/],
    [
      withField({ cornering: { rule: 'round' } }),
      /for cornering\.?\w*; expected a rule that is "junction-deviation" or "speed-step"$/,
    ],
    [withField({ dwell_unit: 'min' }), /found "min" for dwell_unit; expected one of "s", "ms"$/],
    [
      withField({ spot: { width_mm: [0.01, 1] } }),
      /found \[0\.01,1\] for spot\.width_mm; expected widths no more than 20 times apart$/,
    ],
    [
      withField({ spot: { rayleigh_mm: 0 } }),
      /found 0 for spot\.rayleigh_mm; expected a value of at least 0\.01$/,
    ],
  ])('%j', (profile, sentence) => {
    expect(refusal(profile)).toMatch(sentence);
  });

  test('what was found is shown shortened, however large', () => {
    const long = 'x'.repeat(1_000_000);
    for (const profile of [
      long,
      withField({ name: long }),
      withField({ [long]: 1 }),
      withField(Object.fromEntries(Array.from({ length: 10_000 }, (_, k) => [`field${k}`, k]))),
      withField({ max_speed_mm_s: Array(10_000).fill(1) }),
      withField({ dwell_unit: Object.fromEntries(Array.from({ length: 10_000 }, (_, k) => [k, k])) }),
    ]) {
      expect(refusal(profile).length).toBeLessThan(250);
      expect(refusal(profile)).not.toMatch(/\n/);
    }
  });

  test('what only a program can hand in is named by its kind', () => {
    const ring: Record<string, unknown> = {};
    ring.ring = ring;
    expect(refusal(withField({ name: ring }))).toMatch(/found an object for name/);
    expect(refusal(withField({ name: 5n }))).toMatch(/found a bigint for name; expected a string$/);
    expect(refusal(withField({ name: () => 5 }))).toMatch(/found a function for name; expected a string$/);
  });
});
