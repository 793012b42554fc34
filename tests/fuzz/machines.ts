import fc from 'fast-check';
import type { MachineFile } from '../../src/machine/profile.ts';

/** Machine profiles for property tests: any that the schema lets through, the absurd ones too. */

/** Numbers of every size within bounds: evenly spread over their logarithm, the bounds themselves among them. */
const ofAnySize = (least: number, most: number): fc.Arbitrary<number> =>
  fc
    .integer({ min: 0, max: 1000 })
    .map((n) =>
      Math.min(most, Math.max(least, Math.exp(Math.log(least) + (n / 1000) * Math.log(most / least)))),
    );
const orZero = (number: fc.Arbitrary<number>): fc.Arbitrary<number> => fc.oneof(number, fc.constant(0));
const signed = (number: fc.Arbitrary<number>): fc.Arbitrary<number> =>
  fc.tuple(number, fc.boolean()).map(([value, minus]) => (minus ? -value : value));
const or = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: null });

const speed = ofAnySize(0.001, 1e5);
const acceleration = ofAnySize(0.01, 1e7);
const widths = fc
  .tuple(
    ofAnySize(0.005, 100),
    fc.integer({ min: 10, max: 200 }).map((n) => n / 10),
    fc.boolean(),
  )
  .map(([width, ratio, other]): [number, number] => {
    const second = Math.min(100, width * ratio);
    return other ? [second, width] : [width, second];
  });

export const anyMachine: fc.Arbitrary<MachineFile> = fc.record(
  {
    name: fc.string({ maxLength: 20 }),
    work_area_mm: fc.tuple(ofAnySize(0.001, 1e5), ofAnySize(0.001, 1e5)),
    max_speed_mm_s: fc.tuple(speed, speed, speed),
    acceleration_mm_s2: fc.tuple(acceleration, acceleration, acceleration),
    cornering: fc.oneof(
      fc.record({
        rule: fc.constant('junction-deviation' as const),
        deviation_mm: orZero(ofAnySize(1e-9, 1e9)),
      }),
      fc.record({ rule: fc.constant('speed-step' as const), step_mm_s: orZero(ofAnySize(1e-9, 1e9)) }),
    ),
    lookahead_moves: or(fc.oneof(fc.integer({ min: 1, max: 10_000 }), fc.integer({ min: 1, max: 40 }))),
    arc_tolerance_mm: ofAnySize(1e-5, 10),
    dwell_unit: fc.constantFrom('s', 'ms'),
    link: or(
      fc.record({
        baud: ofAnySize(1, 1e9),
        ack_bytes: fc.integer({ min: 0, max: 1000 }),
        lines_per_second: or(ofAnySize(0.01, 1e7)),
      }),
    ),
    laser: fc.record(
      {
        optical_power_w: ofAnySize(1e-6, 1e4),
        wavelength_nm: ofAnySize(100, 20_000),
        s_max: ofAnySize(0.001, 1e9),
        power_levels: or(fc.integer({ min: 1, max: 1_000_000 })),
        threshold_fraction: orZero(ofAnySize(1e-9, 0.999)),
        rise_time_ms: orZero(ofAnySize(0.001, 1e4)),
        beam_delay_ms: orZero(signed(ofAnySize(1e-9, 1000))),
        m4_power: fc.constantFrom('proportional', 'constant'),
        fires_on_rapids: fc.boolean(),
        power_words: fc.constantFrom('auto', 'M3', 'M106'),
      },
      { requiredKeys: ['optical_power_w'] },
    ),
    spot: fc.record(
      {
        shape: fc.constantFrom('gaussian', 'uniform-ellipse', 'uniform-rectangle'),
        width_mm: widths,
        rotation_deg: fc.oneof(fc.constantFrom(0, 45, 90), fc.integer({ min: -360, max: 360 })),
        focus_z_mm: orZero(signed(ofAnySize(1e-6, 1e5))),
        rayleigh_mm: or(ofAnySize(0.01, 1e6)),
      },
      { requiredKeys: [] },
    ),
    notes: fc.array(fc.string({ maxLength: 20 }), { maxLength: 3 }),
  },
  { requiredKeys: ['laser'] },
);
