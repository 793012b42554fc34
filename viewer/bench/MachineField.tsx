import type { Machine } from '../../src/machine/profile.ts';
import { setMachine } from '../state/store.ts';
import { NumberField, type NumberFieldProps } from './NumberField.tsx';

/** A number of a machine: how it is asked for, where it stands, and the machine with another one there. */
export interface MachineNumber extends Omit<NumberFieldProps, 'value' | 'onChange' | 'changed' | 'after'> {
  readonly get: (machine: Machine) => number;
  readonly set: (machine: Machine, value: number) => Machine;
}

interface MachineFieldProps {
  readonly of: Machine;
  /** What it was before it was changed. */
  readonly was: Machine;
  readonly number: MachineNumber;
  readonly after?: string;
}

/** A number of the machine on the bench, as its own control. */
export function MachineField({ of, was, number: { get, set, ...asked }, after = '' }: MachineFieldProps) {
  return (
    <NumberField
      {...asked}
      after={after}
      value={get(of)}
      changed={get(of) !== get(was)}
      onChange={(value) => setMachine(set(of, value))}
    />
  );
}

export type Axis = 0 | 1;
export const AXES = ['x', 'y'] as const;

/** The values with another one along an axis. */
export const withAxis = <Values extends number[]>(values: Values, axis: Axis, value: number): Values =>
  values.with(axis, value) as Values;

export const withLaser = (machine: Machine, with_: Partial<Machine['laser']>): Machine => ({
  ...machine,
  laser: { ...machine.laser, ...with_ },
});

export const withSpot = (machine: Machine, with_: Partial<Machine['spot']>): Machine => ({
  ...machine,
  spot: { ...machine.spot, ...with_ },
});

export const POWER: MachineNumber = {
  label: 'optical power',
  unit: 'W',
  min: 0.1,
  max: 200,
  step: 0.5,
  get: ({ laser }) => laser.optical_power_w,
  set: (machine, optical_power_w) => withLaser(machine, { optical_power_w }),
};

/** Of the two widths the second has the unit. */
export const spotWidth = (axis: Axis): MachineNumber => ({
  label: `spot width along ${AXES[axis]}`,
  ...(axis === 1 ? { unit: 'mm' } : {}),
  min: 0.02,
  max: 5,
  step: 0.01,
  get: ({ spot }) => spot.width_mm[axis],
  set: (machine, mm) => withSpot(machine, { width_mm: withAxis(machine.spot.width_mm, axis, mm) }),
});

export const acceleration = (axis: Axis): MachineNumber => ({
  label: `acceleration along ${AXES[axis]}`,
  unit: 'mm/s²',
  min: 10,
  max: 50_000,
  step: 50,
  digits: 5,
  get: (machine) => machine.acceleration_mm_s2[axis],
  set: (machine, a) => ({ ...machine, acceleration_mm_s2: withAxis(machine.acceleration_mm_s2, axis, a) }),
});
