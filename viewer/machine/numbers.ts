import type { Machine } from '../../src/machine/profile.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../../src/units.ts';
import {
  AXES,
  type Axis,
  type MachineNumber,
  withAxis,
  withLaser,
  withSpot,
} from '../bench/MachineField.tsx';

/** The numbers of a machine that only its own page asks for. */

export const topSpeed = (axis: Axis): MachineNumber => ({
  label: `top speed along ${AXES[axis]}`,
  unit: 'mm/min',
  min: 60,
  max: 120_000,
  step: 100,
  digits: 6,
  get: (machine) => mmPerSToMmPerMin(machine.max_speed_mm_s[axis]),
  set: (machine, feed) => ({
    ...machine,
    max_speed_mm_s: withAxis(machine.max_speed_mm_s, axis, mmPerMinToMmPerS(feed)),
  }),
});

/** Of width and depth the second has the unit. */
export const bed = (axis: Axis): MachineNumber => ({
  label: axis === 0 ? 'bed width' : 'bed depth',
  ...(axis === 1 ? { unit: 'mm' } : {}),
  min: 20,
  max: 10_000,
  step: 10,
  get: (machine) => machine.work_area_mm[axis],
  set: (machine, mm) => ({ ...machine, work_area_mm: withAxis(machine.work_area_mm, axis, mm) }),
});

export const CORNER_STEP: MachineNumber = {
  label: 'step of speed at corners',
  unit: 'mm/s',
  min: 0,
  max: 100,
  step: 0.5,
  get: ({ cornering }) => (cornering.rule === 'speed-step' ? cornering.step_mm_s : 0),
  set: (machine, step_mm_s) => ({ ...machine, cornering: { rule: 'speed-step', step_mm_s } }),
};

export const CORNER_DEVIATION: MachineNumber = {
  label: 'deviation at corners',
  unit: 'mm',
  min: 0,
  max: 1,
  step: 0.005,
  get: ({ cornering }) => (cornering.rule === 'junction-deviation' ? cornering.deviation_mm : 0),
  set: (machine, deviation_mm) => ({ ...machine, cornering: { rule: 'junction-deviation', deviation_mm } }),
};

export const MOVES_AHEAD: MachineNumber = {
  label: 'moves known ahead',
  min: 1,
  max: 1000,
  step: 1,
  whole: true,
  get: (machine) => machine.lookahead_moves ?? 1,
  set: (machine, lookahead_moves) => ({ ...machine, lookahead_moves }),
};

export const FULL_S: MachineNumber = {
  label: 'S of full power',
  min: 1,
  max: 100_000,
  step: 5,
  digits: 6,
  get: ({ laser }) => laser.s_max,
  set: (machine, s_max) => withLaser(machine, { s_max }),
};

export const WAVELENGTH: MachineNumber = {
  label: 'wavelength',
  unit: 'nm',
  min: 200,
  max: 12_000,
  step: 5,
  digits: 5,
  get: ({ laser }) => laser.wavelength_nm,
  set: (machine, wavelength_nm) => withLaser(machine, { wavelength_nm }),
};

export const THRESHOLD: MachineNumber = {
  label: 'threshold of the diode',
  unit: '%',
  min: 0,
  max: 90,
  step: 0.5,
  get: ({ laser }) => laser.threshold_fraction * 100,
  set: (machine, percent) => withLaser(machine, { threshold_fraction: percent / 100 }),
};

export const LAG: MachineNumber = {
  label: 'lag of the beam',
  unit: 'ms',
  min: 0,
  max: 100,
  step: 0.1,
  get: ({ laser }) => laser.rise_time_ms,
  set: (machine, ms) => withLaser(machine, { rise_time_ms: ms < 0.001 ? 0 : ms }),
};

export const DELAY: MachineNumber = {
  label: 'delay of the beam',
  unit: 'ms',
  min: -100,
  max: 100,
  step: 0.1,
  get: ({ laser }) => laser.beam_delay_ms,
  set: (machine, beam_delay_ms) => withLaser(machine, { beam_delay_ms }),
};

export const FOCUS: MachineNumber = {
  label: 'height of the focus',
  unit: 'mm',
  min: -200,
  max: 200,
  step: 0.1,
  get: ({ spot }) => spot.focus_z_mm,
  set: (machine, focus_z_mm) => withSpot(machine, { focus_z_mm }),
};

export const WIDENS: MachineNumber = {
  label: 'distance from focus where the spot is 1.4 times as wide',
  unit: 'mm',
  min: 0.05,
  max: 100,
  step: 0.1,
  get: ({ spot }) => spot.rayleigh_mm ?? 1,
  set: (machine, rayleigh_mm) => withSpot(machine, { rayleigh_mm }),
};

export const BAUD: MachineNumber = {
  label: 'speed of the serial line',
  unit: 'baud',
  min: 1200,
  max: 4_000_000,
  step: 9600,
  digits: 7,
  get: ({ link }) => link?.baud ?? 0,
  set: (machine, baud) => (machine.link ? { ...machine, link: { ...machine.link, baud } } : machine),
};

const plusMinus = (label: string, key: keyof Machine['plus_minus']): MachineNumber => ({
  label,
  unit: '%',
  min: 0,
  max: 50,
  step: 1,
  get: (machine) => machine.plus_minus[key],
  set: (machine, percent) => ({ ...machine, plus_minus: { ...machine.plus_minus, [key]: percent } }),
});
export const POWER_PLUS_MINUS = plusMinus('uncertainty of the power', 'optical_power_percent');
export const SPOT_PLUS_MINUS = plusMinus('uncertainty of the spot', 'spot_width_percent');
