import { type PowerLaw, powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { rampUpMm } from '../motion/trapezoid.ts';
import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL } from '../program/program.ts';

/**
 * Walks the beam along the job and hands out its energy as simple pieces, in order of time: straight
 * strokes over which energy is spread evenly, and rests at a point. Everything that follows where energy
 * lands (the deposit on the grid, tallies, arrival times) is a visitor of this one walk, so they agree.
 */
export interface BeamVisitor {
  /** `energyJ` spread evenly from (x0, y0) to (x1, y1) at height z, within `durationS`, on move `move`. */
  stroke(
    x0: number,
    y0: number,
    x1: number,
    y1: number,
    z: number,
    energyJ: number,
    durationS: number,
    move: number,
  ): void;
  /** `energyJ` at one point while the head rests for `durationS`; `move` is the move that led there (-1: none). */
  rest(x: number, y: number, z: number, energyJ: number, durationS: number, move: number): void;
}

/**
 * Where line energy varies along a ramp it is handed out in pieces, each at most this part of the finest
 * length the visitor cares about, or so short that speed changes by no more than {@link SPEED_GRAIN}.
 */
const SPEED_GRAIN = 0.01;
/** Under proportional power line energy is even along a ramp; it is still cut so that dwell is told well. */
const EVEN_RAMP_PIECES = 4;

/**
 * @param stepMm the longest piece over which uneven line energy may be averaged (about half a σ of the spot).
 */
export function walkBeam(motion: Motion, machine: Machine, stepMm: number, visitor: BeamVisitor): void {
  const law = powerLaw(machine.laser);
  if (machine.laser.rise_time_ms > 0) walkLagging(motion, machine, law, stepMm, visitor);
  else walkPrompt(motion, machine, law, stepMm, visitor);
}

/** Whether the beam is let through for this modal motion: rapids are dark unless the machine fires on them. */
const fires = (rapid: number, machine: Machine): boolean => rapid === 0 || machine.laser.fires_on_rapids;

/** Power that follows its command at once. */
function walkPrompt(
  motion: Motion,
  machine: Machine,
  law: PowerLaw,
  stepMm: number,
  visitor: BeamVisitor,
): void {
  const { moves } = motion.program;
  const { xMm, yMm, zMm, s, powerMode, rapid, feedMmPerS } = moves;
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS, rests } = motion;
  const ramp = makeRamp(law, stepMm, visitor);
  let rest = 0;
  let x0 = 0;
  let y0 = 0;
  let z0 = 0;
  for (let i = 0; i <= moves.count; i++) {
    for (; rest < rests.count && rests.beforeMove[rest] === i; rest++) {
      if (rests.powerMode[rest] !== POWER_CONSTANT || !fires(rests.rapid[rest]!, machine)) continue;
      const watts = law.watts(rests.s[rest]!, 1);
      const durationS = rests.durationS[rest]!;
      if (watts > 0) visitor.rest(x0, y0, z0, watts * durationS, durationS, i - 1);
    }
    if (i === moves.count) break;
    const x1 = xMm[i]!;
    const y1 = yMm[i]!;
    const z1 = zMm[i]!;
    if (powerMode[i] !== POWER_OFF && s[i]! > 0 && fires(rapid[i]!, machine)) {
      const length = lengthMm[i]!;
      const accel = accelMmPerS2[i]!;
      const entry = entryMmPerS[i]!;
      const exit = entryMmPerS[i + 1]!;
      const peak = peakMmPerS[i]!;
      const feed = powerMode[i] === POWER_PROPORTIONAL ? feedMmPerS[i]! : 0;
      const upMm = rampUpMm(accel, entry, peak);
      const downMm = rampUpMm(accel, exit, peak);
      const cruiseMm = length - upMm - downMm;
      ramp.begin(
        x0,
        y0,
        z0,
        (x1 - x0) / length,
        (y1 - y0) / length,
        (z1 - z0) / length,
        s[i]!,
        feed,
        peak <= feed,
        i,
      );
      if (upMm > 0) ramp.change(0, entry, peak, upMm);
      if (cruiseMm > 0) ramp.cruise(upMm, cruiseMm, peak);
      if (downMm > 0) ramp.change(length - downMm, peak, exit, downMm);
    }
    x0 = x1;
    y0 = y1;
    z0 = z1;
  }
}

/** Hands out the pieces of one move after another; holds scalars only, so that nothing is allocated per move. */
function makeRamp(law: PowerLaw, stepMm: number, visitor: BeamVisitor) {
  let x = 0,
    y = 0,
    z = 0,
    ux = 0,
    uy = 0,
    uz = 0,
    s = 0,
    feed = 0,
    move = 0,
    even = false;
  let fullW = 0;

  const piece = (fromMm: number, toMm: number, energyJ: number, durationS: number): void => {
    if (energyJ <= 0) return;
    visitor.stroke(
      x + ux * fromMm,
      y + uy * fromMm,
      x + ux * toMm,
      y + uy * toMm,
      z + (uz * (fromMm + toMm)) / 2,
      energyJ,
      durationS,
      move,
    );
  };

  return {
    /** `feed` 0: constant power. A rapid may outrun the feed in force (`withinFeed` false): then duty clamps. */
    begin(
      x0: number,
      y0: number,
      z0: number,
      dx: number,
      dy: number,
      dz: number,
      sWord: number,
      feedMmPerS: number,
      withinFeed: boolean,
      i: number,
    ): void {
      x = x0;
      y = y0;
      z = z0;
      ux = dx;
      uy = dy;
      uz = dz;
      s = sWord;
      feed = feedMmPerS;
      move = i;
      fullW = law.watts(s, 1);
      even = feed > 0 && withinFeed && law.isLinear(s);
    },

    cruise(fromMm: number, lengthMm: number, speed: number): void {
      const durationS = lengthMm / speed;
      const watts = feed > 0 ? law.watts(s, speed / feed) : fullW;
      piece(fromMm, fromMm + lengthMm, watts * durationS, durationS);
    },

    /** A ramp from speed v0 to v1 over `lengthMm`, cut into pieces of equal duration. */
    change(fromMm: number, v0: number, v1: number, lengthMm: number): void {
      const durationS = (2 * lengthMm) / (v0 + v1);
      const faster = Math.max(v0, v1);
      const slower = Math.min(v0, v1);
      const pieces = even
        ? Math.ceil(((faster - slower) / faster) * EVEN_RAMP_PIECES)
        : Math.max(
            1,
            Math.ceil(Math.min((faster * durationS) / stepMm, (faster - slower) / (SPEED_GRAIN * slower))),
          );
      const dtS = durationS / pieces;
      const dv = (v1 - v0) / pieces;
      let at = fromMm;
      for (let k = 0; k < pieces; k++) {
        const middle = v0 + dv * (k + 0.5); // mean speed of the piece, exactly
        const next = k === pieces - 1 ? fromMm + lengthMm : at + middle * dtS;
        const watts = feed > 0 ? law.watts(s, middle / feed) : fullW;
        piece(at, next, watts * dtS, dtS);
        at = next;
      }
    },
  };
}

/**
 * Power that follows its command as a first-order lag with time constant τ: over a stretch of constant
 * command c from power p, p(t) = c + (p − c)·e^(−t/τ), whose integral is handed out piece by piece. The tail
 * after the beam is told to stop lands wherever the head is by then, on rapids too.
 */
function walkLagging(
  motion: Motion,
  machine: Machine,
  law: PowerLaw,
  stepMm: number,
  visitor: BeamVisitor,
): void {
  const { moves } = motion.program;
  const { rests } = motion;
  const tauS = machine.laser.rise_time_ms / 1000;
  const settled = machine.laser.optical_power_w * 1e-9;
  let power = 0;

  /** Energy emitted over dt at command c; moves `power` on. */
  const emit = (command: number, dtS: number): number => {
    const decay = Math.exp(-dtS / tauS);
    const energyJ = command * dtS + (power - command) * tauS * (1 - decay);
    power = command + (power - command) * decay;
    return energyJ;
  };

  let rest = 0;
  let x = 0,
    y = 0,
    z = 0;
  for (let i = 0; i <= moves.count; i++) {
    for (; rest < rests.count && rests.beforeMove[rest] === i; rest++) {
      const lit = rests.powerMode[rest] === POWER_CONSTANT && fires(rests.rapid[rest]!, machine);
      const command = lit ? law.watts(rests.s[rest]!, 1) : 0;
      const durationS = rests.durationS[rest]!;
      if (command === 0 && power < settled) continue;
      visitor.rest(x, y, z, emit(command, durationS), durationS, i - 1);
    }
    if (i === moves.count) break;
    const x1 = moves.xMm[i]!,
      y1 = moves.yMm[i]!,
      z1 = moves.zMm[i]!;
    const s = moves.powerMode[i] !== POWER_OFF && fires(moves.rapid[i]!, machine) ? moves.s[i]! : 0;
    const proportional = moves.powerMode[i] === POWER_PROPORTIONAL && moves.feedMmPerS[i]! > 0;
    const length = motion.lengthMm[i]!;
    const ux = (x1 - x) / length,
      uy = (y1 - y) / length,
      uz = (z1 - z) / length;

    /** One phase of the move at constant acceleration, from speed v0 to v1. */
    const phase = (fromMm: number, v0: number, v1: number, lengthMm: number): void => {
      if (lengthMm <= 0) return;
      const durationS = (2 * lengthMm) / (v0 + v1);
      const commandAt = (speed: number) =>
        proportional ? law.watts(s, speed / moves.feedMmPerS[i]!) : law.watts(s, 1);
      if (s <= 0 && power < settled) return;
      let at = fromMm;
      let doneS = 0;
      while (doneS < durationS) {
        const speed = v0 + ((v1 - v0) * doneS) / durationS;
        const command = s > 0 ? commandAt(speed) : 0;
        const steady = v0 === v1 && Math.abs(power - command) < settled;
        const leftS = durationS - doneS;
        const stepS = Math.min(tauS / 4, stepMm / Math.max(v0, v1));
        const dtS = steady || leftS < stepS * 1.001 ? leftS : stepS;
        const middle = v0 + ((v1 - v0) * (doneS + dtS / 2)) / durationS;
        const next = dtS === leftS ? fromMm + lengthMm : at + middle * dtS;
        const energyJ = emit(s > 0 ? commandAt(middle) : 0, dtS);
        if (energyJ > 0) {
          visitor.stroke(
            x + ux * at,
            y + uy * at,
            x + ux * next,
            y + uy * next,
            z + (uz * (at + next)) / 2,
            energyJ,
            dtS,
            i,
          );
        }
        at = next;
        doneS = dtS === leftS ? durationS : doneS + dtS;
      }
    };

    const accel = motion.accelMmPerS2[i]!;
    const entry = motion.entryMmPerS[i]!;
    const exit = motion.entryMmPerS[i + 1]!;
    const peak = motion.peakMmPerS[i]!;
    const upMm = rampUpMm(accel, entry, peak);
    const downMm = rampUpMm(accel, exit, peak);
    phase(0, entry, peak, upMm);
    phase(upMm, peak, peak, length - upMm - downMm);
    phase(length - downMm, peak, exit, downMm);
    x = x1;
    y = y1;
    z = z1;
  }
  // What is left in the diode when the program ends goes into the last point.
  if (power >= settled) visitor.rest(x, y, z, power * tauS, tauS, moves.count - 1);
}
