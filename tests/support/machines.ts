import { type Machine, readMachine } from '../../src/machine/profile.ts';

type Overrides = {
  laser?: Partial<Machine['laser']>;
  spot?: Partial<Machine['spot']>;
} & Partial<Omit<Machine, 'laser' | 'spot'>>;

/** A round-spot 8 W machine with the same limits on x and y; what a test cares about is overridden. */
export function machineWith(overrides: Overrides = {}): Machine {
  const { laser, spot, ...rest } = overrides;
  return readMachine({
    name: 'test gantry',
    work_area_mm: [400, 400],
    max_speed_mm_s: [1000, 1000, 100],
    acceleration_mm_s2: [500, 500, 500],
    cornering: { rule: 'junction-deviation', deviation_mm: 0.01 },
    lookahead_moves: null,
    laser: { optical_power_w: 8, s_max: 1000, ...laser },
    spot: { width_mm: [0.2, 0.2], ...spot },
    ...rest,
  });
}
