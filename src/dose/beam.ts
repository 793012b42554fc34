import { type PowerLaw, powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { cruiseMm, rampMm } from '../motion/trapezoid.ts';
import { POWER_OFF, POWER_PROPORTIONAL } from '../program/program.ts';
import { fires, restCommandW } from './command.ts';
import { walkLagging } from './lagging.ts';

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
 * Hands every piece of the job's beam to `visitor`.
 * @param stepMm the longest stretch over which the visitor lets uneven line energy be averaged (about half
 *   a σ of the spot). Where line energy is even, strokes are as long as the phase of the move.
 */
export function walkBeam(motion: Motion, machine: Machine, stepMm: number, visitor: BeamVisitor): void {
  const { rise_time_ms, beam_delay_ms } = machine.laser;
  if (rise_time_ms > 0 || beam_delay_ms !== 0) walkLagging(motion, machine, stepMm, visitor);
  else walkPrompt(motion, machine, stepMm, visitor);
}

/** A ramp is cut so that speed changes by no more than this part within a piece … */
const SPEED_GRAIN = 0.01;
/** … or, where line energy is even on the ramp (proportional power), into this many, to tell dwell well. */
const EVEN_RAMP_PIECES = 4;
/** A slope in z is cut so that focus changes little within a piece, mm of z. */
const SLOPE_GRAIN_MM = 0.1;

/** The move under way, as scalars in one object, so that nothing is allocated per move. */
interface Stretch {
  x: number;
  y: number;
  z: number;
  ux: number;
  uy: number;
  uz: number;
  s: number;
  /** Programmed feed under proportional power, mm/s; 0 under constant power. */
  feed: number;
  /** Power at full speed, W. */
  fullW: number;
  /** Line energy is the same at any speed. */
  even: boolean;
  move: number;
}

/** The walk for power that follows its command at once. */
function walkPrompt(motion: Motion, machine: Machine, stepMm: number, visitor: BeamVisitor): void {
  const { moves } = motion.program;
  const { xMm, yMm, zMm, s, powerMode, rapid, feedMmPerS } = moves;
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS, rests } = motion;
  const law = powerLaw(machine.laser);
  const stretch: Stretch = {
    x: 0.5,
    y: 0.5,
    z: 0.5,
    ux: 0.5,
    uy: 0.5,
    uz: 0.5,
    s: 0.5,
    feed: 0.5,
    fullW: 0.5,
    even: false,
    move: 0,
  };
  let rest = 0;
  let x0 = 0;
  let y0 = 0;
  let z0 = 0;
  for (let i = 0; i <= moves.count; i++) {
    for (; rest < rests.count && rests.beforeMove[rest] === i; rest++) {
      const watts = restCommandW(rest, motion, machine, law);
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
      stretch.x = x0;
      stretch.y = y0;
      stretch.z = z0;
      stretch.ux = (x1 - x0) / length;
      stretch.uy = (y1 - y0) / length;
      stretch.uz = (z1 - z0) / length;
      stretch.s = s[i]!;
      stretch.feed = powerMode[i] === POWER_PROPORTIONAL ? feedMmPerS[i]! : 0;
      stretch.fullW = law.watts(stretch.s, 1);
      // A rapid may outrun the feed in force: then duty clamps, and line energy is not even.
      stretch.even = stretch.feed > 0 && peak <= stretch.feed && law.isLinear(stretch.s);
      stretch.move = i;
      const upMm = rampMm(accel, entry, peak);
      const downMm = rampMm(accel, exit, peak);
      const levelMm = cruiseMm(length, upMm, downMm);
      if (upMm > 0) handRamp(stretch, 0, upMm, entry, peak, law, stepMm, visitor);
      if (levelMm > 0) handCruise(stretch, upMm, levelMm, peak, law, visitor);
      if (downMm > 0) handRamp(stretch, length - downMm, downMm, peak, exit, law, stepMm, visitor);
    }
    x0 = x1;
    y0 = y1;
    z0 = z1;
  }
}

function handCruise(
  at: Stretch,
  fromMm: number,
  lengthMm: number,
  speed: number,
  law: PowerLaw,
  visitor: BeamVisitor,
): void {
  const watts = at.feed > 0 ? law.watts(at.s, speed / at.feed) : at.fullW;
  const pieces = Math.max(1, Math.ceil((lengthMm * Math.abs(at.uz)) / SLOPE_GRAIN_MM));
  const pieceMm = lengthMm / pieces;
  for (let k = 0; k < pieces; k++)
    handPiece(at, fromMm + k * pieceMm, fromMm + (k + 1) * pieceMm, watts, pieceMm / speed, visitor);
}

/** A ramp from speed v0 to v1 over `lengthMm`, cut into pieces of equal duration. */
function handRamp(
  at: Stretch,
  fromMm: number,
  lengthMm: number,
  v0: number,
  v1: number,
  law: PowerLaw,
  stepMm: number,
  visitor: BeamVisitor,
): void {
  const durationS = (2 * lengthMm) / (v0 + v1);
  const faster = Math.max(v0, v1);
  const change = Math.abs(v1 - v0);
  const wanted = at.even
    ? (change / faster) * EVEN_RAMP_PIECES
    : Math.min((faster * durationS) / stepMm, change / (SPEED_GRAIN * Math.min(v0, v1)));
  const pieces = Math.max(1, Math.ceil(Math.max(wanted, (lengthMm * Math.abs(at.uz)) / SLOPE_GRAIN_MM)));
  const dtS = durationS / pieces;
  let fromHereMm = fromMm;
  for (let k = 0; k < pieces; k++) {
    const middle = v0 + ((v1 - v0) * (k + 0.5)) / pieces; // the piece's mean speed, exactly
    const toMm = k === pieces - 1 ? fromMm + lengthMm : fromHereMm + middle * dtS;
    const watts = at.feed > 0 ? law.watts(at.s, middle / at.feed) : at.fullW;
    handPiece(at, fromHereMm, toMm, watts, dtS, visitor);
    fromHereMm = toMm;
  }
}

function handPiece(
  at: Stretch,
  fromMm: number,
  toMm: number,
  watts: number,
  durationS: number,
  visitor: BeamVisitor,
): void {
  if (watts <= 0) return;
  visitor.stroke(
    at.x + at.ux * fromMm,
    at.y + at.uy * fromMm,
    at.x + at.ux * toMm,
    at.y + at.uy * toMm,
    at.z + (at.uz * (fromMm + toMm)) / 2,
    watts * durationS,
    durationS,
    at.move,
  );
}
