import type { Machine } from '../machine/profile.ts';
import type { Moves } from '../program/program.ts';

/**
 * What each move may do on its own, and how fast the head may pass from one move to the next.
 *
 * A move with unit direction u goes no faster than min_i(max_speed_i / |u_i|) and accelerates with
 * min_i(acceleration_i / |u_i|): the slowest contributing axis rules (common practice among open-source
 * motion controllers).
 */
export interface Limits {
  readonly lengthMm: Float64Array;
  readonly accelMmPerS2: Float64Array;
  /** The smaller of programmed feed and top speed; a rapid's top speed. */
  readonly nominalMmPerS: Float64Array;
  /** Square of the highest speed at which the corner into move i may be taken, (mm/s)²; 0 for the first. */
  readonly cornerSquared: Float64Array;
}

/** min over the axes of limit_i / |d_i| for a direction (dx, dy, dz), not all zero. */
export function alongDirection(
  limit: readonly [number, number, number],
  dx: number,
  dy: number,
  dz: number,
): number {
  return Math.min(
    dx === 0 ? Infinity : limit[0] / Math.abs(dx),
    dy === 0 ? Infinity : limit[1] / Math.abs(dy),
    dz === 0 ? Infinity : limit[2] / Math.abs(dz),
  );
}

/**
 * Square of the junction-deviation speed, (mm/s)²: v² = a·δ·s/(1 − s) with s = sin(θ/2) = √((1 + u_in·u_out)/2)
 * (θ is the interior angle). Infinite straight on, 0 for a full reversal.
 * Source: S. Jeon, a centripetal cornering rule for hobby controllers, 24 Sep 2011.
 */
export function junctionDeviationSquared(cosTurn: number, accelMmPerS2: number, deviationMm: number): number {
  const s = Math.sqrt(Math.max(0, (1 + cosTurn) / 2));
  return s >= 1 ? Infinity : (accelMmPerS2 * deviationMm * s) / (1 - s);
}

/** Corners closer to straight than this (1 − cos of the turn) set no limit: it is rounding, not a corner. */
const STRAIGHT = 1e-12;

/** Works out {@link Limits} for every move. New arrays, owned by the caller. */
export function moveLimits(moves: Moves, machine: Machine): Limits {
  const { count, xMm, yMm, zMm, feedMmPerS, rapid } = moves;
  const lengthMm = new Float64Array(count);
  const accelMmPerS2 = new Float64Array(count);
  const nominalMmPerS = new Float64Array(count);
  const cornerSquared = new Float64Array(count);
  const corner = cornerRule(machine);

  let x = 0,
    y = 0,
    z = 0; // start of the move
  let ux = 0,
    uy = 0,
    uz = 0; // direction of the move before
  for (let i = 0; i < count; i++) {
    const dx = xMm[i]! - x,
      dy = yMm[i]! - y,
      dz = zMm[i]! - z;
    const length = Math.sqrt(dx * dx + dy * dy + dz * dz);
    const vx = dx / length,
      vy = dy / length,
      vz = dz / length;
    const top = alongDirection(machine.max_speed_mm_s, vx, vy, vz);
    const nominal = rapid[i] ? top : Math.min(feedMmPerS[i]!, top);
    lengthMm[i] = length;
    accelMmPerS2[i] = alongDirection(machine.acceleration_mm_s2, vx, vy, vz);
    nominalMmPerS[i] = nominal;
    if (i > 0) {
      const slower = Math.min(nominal, nominalMmPerS[i - 1]!);
      const cosTurn = ux * vx + uy * vy + uz * vz;
      const limit = cosTurn > 1 - STRAIGHT ? Infinity : corner(cosTurn, vx - ux, vy - uy, vz - uz);
      cornerSquared[i] = Math.min(slower * slower, limit);
    }
    x = xMm[i]!;
    y = yMm[i]!;
    z = zMm[i]!;
    ux = vx;
    uy = vy;
    uz = vz;
  }
  return { lengthMm, accelMmPerS2, nominalMmPerS, cornerSquared };
}

/** The profile's corner rule: (cos of the turn, u_out − u_in) ↦ square of the corner speed, (mm/s)². */
export function cornerRule(
  machine: Machine,
): (cosTurn: number, dx: number, dy: number, dz: number) => number {
  const rule = machine.cornering;
  if (rule.rule === 'speed-step') {
    const step: [number, number, number] = [rule.step_mm_s, rule.step_mm_s, rule.step_mm_s];
    return (_cosTurn, dx, dy, dz) => alongDirection(step, dx, dy, dz) ** 2;
  }
  const acceleration = machine.acceleration_mm_s2;
  return (cosTurn, dx, dy, dz) => {
    const size = Math.sqrt(dx * dx + dy * dy + dz * dz);
    const accel = alongDirection(acceleration, dx / size, dy / size, dz / size);
    return junctionDeviationSquared(cosTurn, accel, rule.deviation_mm);
  };
}
