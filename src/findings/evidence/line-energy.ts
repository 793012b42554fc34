import type { PowerLaw } from '../../laser/power.ts';
import type { Machine } from '../../machine/profile.ts';
import { alongDirection } from '../../motion/limits.ts';
import type { Motion } from '../../motion/motion.ts';
import { cruiseMm, moveDurationS, rampMm } from '../../motion/trapezoid.ts';
import { burnsAtFeed, speedRatio } from '../../program/beam-on.ts';
import { POWER_PROPORTIONAL } from '../../program/program.ts';

/**
 * How much energy falls on each millimetre of the way, and how much would if the head kept its full speed. In
 * closed form from the motion: constant power P over a ramp from v0 to v1 gives P·(v1 − v0)/a. Power is taken as
 * following its command at once.
 */
export interface LineEnergies {
  /** Full speed of each burning feed move, mm/s: the smaller of feed and the machine's limit; 0 elsewhere. */
  readonly nominalMmPerS: Float64Array;
  /** Length seen from above, mm. */
  flatMm(i: number): number;
  /** J/mm at full speed; where S follows the speed of the head, what was meant ({@link meantJPerMm}). */
  nominalJPerMm(i: number): number;
  /** J/mm where the head goes at `speedMmPerS`. */
  atSpeedJPerMm(i: number, speedMmPerS: number): number;
  /** Energy of the whole move, J. */
  wholeJ(i: number): number;
  /**
   * Energy within `reachMm` of the way behind (`onward`) or before junction i (the start of move i), as a
   * multiple of what full speed gives there; of the part that burns. 0 where the beam is off.
   */
  timesNominal(junction: number, reachMm: number, onward: boolean): number;
}

/** @param known the full speeds, where they are known already. */
export function lineEnergies(
  motion: Motion,
  machine: Machine,
  law: PowerLaw,
  known: Float64Array | null = null,
): LineEnergies {
  const { moves } = motion.program;
  const { count, zMm, s, feedMmPerS, powerMode } = moves;
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS } = motion;
  const { laser } = machine;
  const nominalMmPerS = known ?? fullSpeeds(motion, machine);

  const watts = (i: number, speed: number): number => law.watts(s[i]!, speedRatio(moves, i, speed));
  const atSpeedJPerMm = (i: number, speed: number): number => watts(i, speed) / speed;
  const fullJPerMm = (i: number): number => atSpeedJPerMm(i, nominalMmPerS[i]!);

  const flatMm = (i: number): number => {
    const length = lengthMm[i]!;
    const dz = zMm[i]! - (i > 0 ? zMm[i - 1]! : 0);
    return dz === 0 ? length : Math.sqrt(Math.max(0, length * length - dz * dz));
  };

  /**
   * Speed changes evenly in time, so the energy of a ramp is that of the speeds it runs through. Power is straight over
   * speed but for two bends, at the threshold and at full power, and so is its sum between them.
   */
  const rampJ = (i: number, v0: number, v1: number): number => {
    const [low, high] = [Math.min(v0, v1), Math.max(v0, v1)];
    if (powerMode[i] !== POWER_PROPORTIONAL) return (watts(i, low) * (high - low)) / accelMmPerS2[i]!;
    const fullDutyMmPerS = (feedMmPerS[i]! * laser.s_max) / s[i]!;
    const lit = Math.min(high, Math.max(low, laser.threshold_fraction * fullDutyMmPerS));
    const full = Math.min(high, Math.max(lit, fullDutyMmPerS));
    const rising = (watts(i, lit) + 4 * watts(i, (lit + full) / 2) + watts(i, full)) / 6;
    return (rising * (full - lit) + watts(i, high) * (high - full)) / accelMmPerS2[i]!;
  };

  const wholeJ = (i: number): number => {
    const peak = peakMmPerS[i]!;
    const entry = entryMmPerS[i]!;
    const exit = entryMmPerS[i + 1]!;
    const accel = accelMmPerS2[i]!;
    const length = lengthMm[i]!;
    if (powerMode[i] !== POWER_PROPORTIONAL) {
      return law.watts(s[i]!, 1) * moveDurationS(length, accel, entry, peak, exit);
    }
    const feed = feedMmPerS[i]!;
    if (peak <= feed && law.isLinear(s[i]!)) return (law.watts(s[i]!, 1) / feed) * length;
    const level = cruiseMm(length, rampMm(accel, entry, peak), rampMm(accel, exit, peak));
    return rampJ(i, entry, peak) + rampJ(i, exit, peak) + (level > 0 ? (watts(i, peak) * level) / peak : 0);
  };

  const nominalJPerMm = motion.program.followsSpeed
    ? meantJPerMm(motion, nominalMmPerS, fullJPerMm, (i) => wholeJ(i) / flatMm(i))
    : fullJPerMm;

  /** Energy of the first (`fromStart`) or last `partMm` of the move's own length. */
  const partJ = (i: number, partMm: number, fromStart: boolean): number => {
    const peak = peakMmPerS[i]!;
    const accel = accelMmPerS2[i]!;
    const near = fromStart ? entryMmPerS[i]! : entryMmPerS[i + 1]!;
    const far = fromStart ? entryMmPerS[i + 1]! : entryMmPerS[i]!;
    const ramp = rampMm(accel, near, peak);
    if (partMm <= ramp) return rampJ(i, near, Math.sqrt(near * near + 2 * accel * partMm));
    const levelEnd = lengthMm[i]! - rampMm(accel, far, peak);
    if (partMm <= levelEnd) return rampJ(i, near, peak) + (watts(i, peak) * (partMm - ramp)) / peak;
    const left = Math.max(0, lengthMm[i]! - partMm);
    return wholeJ(i) - rampJ(i, far, Math.sqrt(far * far + 2 * accel * left));
  };

  const timesNominal = (junction: number, reachMm: number, onward: boolean): number => {
    let left = reachMm;
    let energyJ = 0;
    let nominalJ = 0;
    for (let i = onward ? junction : junction - 1; left > 0 && i >= 0 && i < count; i += onward ? 1 : -1) {
      if (nominalMmPerS[i] === 0) break;
      const flat = flatMm(i);
      if (flat <= left) {
        energyJ += wholeJ(i);
        nominalJ += nominalJPerMm(i) * flat;
      } else {
        energyJ += partJ(i, (left * lengthMm[i]!) / flat, onward);
        nominalJ += nominalJPerMm(i) * left;
      }
      left -= flat;
    }
    if (nominalJ > 0) return energyJ / nominalJ;
    return energyJ > 0 ? Infinity : 0;
  };

  return { nominalMmPerS, flatMm, nominalJPerMm, atSpeedJPerMm, wholeJ, timesNominal };
}

/** A head within this part of full speed is at full speed. */
const AT_FULL_SPEED = 0.97;

/**
 * What was meant where S follows the speed of the head: at full speed what S says; where the head is slow what it gets
 * there, but no more than the most that its operation gets at full speed, or where it never comes up to that, where it is
 * fastest.
 */
function meantJPerMm(
  { program: { moves, operations }, lengthMm, startS }: Motion,
  nominalMmPerS: Float64Array,
  fullJPerMm: (i: number) => number,
  gotJPerMm: (i: number) => number,
): (i: number) => number {
  const { operation } = moves;
  /** The mean speed as a part of full speed. */
  const partOf = (i: number) => lengthMm[i]! / (nominalMmPerS[i]! * (startS[i + 1]! - startS[i]!));
  const isFast = (i: number) => partOf(i) >= AT_FULL_SPEED;
  const fastest = new Float64Array(operations.length + 1);
  for (let i = 0; i < moves.count; i++) {
    if (nominalMmPerS[i]! > 0) fastest[operation[i]!] = Math.max(fastest[operation[i]!]!, partOf(i));
  }
  const most = new Float64Array(operations.length + 1);
  for (let i = 0; i < moves.count; i++) {
    const n = operation[i]!;
    const fastFrom = AT_FULL_SPEED * (fastest[n]! < AT_FULL_SPEED ? fastest[n]! : 1);
    if (nominalMmPerS[i] === 0 || partOf(i) < fastFrom) continue;
    most[n] = Math.max(most[n]!, isFast(i) ? fullJPerMm(i) : gotJPerMm(i));
  }
  return (i) =>
    isFast(i) ? fullJPerMm(i) : Math.max(fullJPerMm(i), Math.min(gotJPerMm(i), most[operation[i]!]!));
}

/** Full speed of each burning move, mm/s; 0 where nothing burns. */
function fullSpeeds({ program: { moves }, lengthMm }: Motion, machine: Machine): Float64Array {
  const { count, xMm, yMm, zMm, feedMmPerS } = moves;
  const most = machine.max_speed_mm_s;
  // No direction in the plane is slower than the slower axis, so most feeds need no geometry.
  const slower = Math.min(most[0], most[1]);
  const speeds = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    if (!burnsAtFeed(moves, i)) continue;
    const feed = feedMmPerS[i]!;
    const dz = zMm[i]! - (i > 0 ? zMm[i - 1]! : 0);
    if (feed <= slower && dz === 0) {
      speeds[i] = feed;
      continue;
    }
    const length = lengthMm[i]!;
    const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
    const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
    speeds[i] = Math.min(feed, alongDirection(most, dx / length, dy / length, dz / length));
  }
  return speeds;
}
