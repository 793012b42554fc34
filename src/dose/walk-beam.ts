import { type PowerLaw, powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { cruiseMm, moveDurationS, rampMm } from '../motion/trapezoid.ts';
import { isLit } from '../program/beam-on.ts';
import { POWER_PROPORTIONAL } from '../program/program.ts';
import { restCommandW } from './command.ts';
import { FOLLOWED_STEPS, walkLagging } from './lagging.ts';
import { type BeamVisitor, blankStroke, type Stroke } from './visitor.ts';

/**
 * Hands every piece of the job's beam to `visitor`, in order of time: mm, s and J. Energies add up to what leaves the
 * lens: on a stretch whose power follows its speed, the integral of the power law over time.
 * @param stepMm the longest stretch over which the visitor lets uneven line energy be averaged (about half
 *   a σ of the spot; twice that where a stroke is moved to where its energy has its middle). Where line energy is even,
 *   strokes are as long as the phase of the move.
 */
export function walkBeam(motion: Motion, machine: Machine, stepMm: number, visitor: BeamVisitor): void {
  const { rise_time_ms, beam_delay_ms } = machine.laser;
  if (rise_time_ms > 0 || beam_delay_ms !== 0) walkLagging(motion, machine, stepMm, visitor);
  else walkPrompt(motion, machine, stepMm, visitor);
}

/** A ramp is cut so that speed changes by no more than this part within a piece. */
const SPEED_GRAIN = 0.01;
/** Where line energy is even, speed tells only how long a point dwells: a ramp is cut into this many at most … */
const EVEN_RAMP_PIECES = 4;
/** … and a move whose speed changes by no more than this part is one piece. */
const EVEN_SPEED_GRAIN = 0.02;
/** A slope in z is cut so that focus changes little within a piece, mm of z. */
const SLOPE_GRAIN_MM = 0.1;

/** The move under way, as scalars in one object, so that nothing is allocated per move. */
interface Stretch {
  readonly law: PowerLaw;
  /** The longest stretch of uneven line energy that is handed out as one piece, mm. */
  readonly stepMm: number;
  readonly visitor: BeamVisitor;
  lengthMm: number;
  accel: number;
  /** Speeds where the move begins, at its fastest, and where it ends, mm/s. */
  entry: number;
  peak: number;
  exit: number;
  x: number;
  y: number;
  z: number;
  ux: number;
  uy: number;
  uz: number;
  /** When the next piece begins, s. */
  tS: number;
  s: number;
  /** Programmed feed under proportional power, mm/s; 0 under constant power. */
  feed: number;
  /** Power at full speed, W. */
  fullW: number;
  /** Line energy is the same at any speed. */
  even: boolean;
  move: number;
  /** The piece being handed out. */
  readonly stroke: Stroke;
}

/** The walk for power that follows its command at once. */
function walkPrompt(motion: Motion, machine: Machine, stepMm: number, visitor: BeamVisitor): void {
  const { moves } = motion.program;
  const { xMm, yMm, zMm, s, powerMode, feedMmPerS } = moves;
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS, startS, rests } = motion;
  const law = powerLaw(machine.laser);
  const stretch: Stretch = {
    law,
    stepMm,
    visitor,
    lengthMm: 0.5,
    accel: 0.5,
    entry: 0.5,
    peak: 0.5,
    exit: 0.5,
    x: 0.5,
    y: 0.5,
    z: 0.5,
    ux: 0.5,
    uy: 0.5,
    uz: 0.5,
    tS: 0.5,
    s: 0.5,
    feed: 0.5,
    fullW: 0.5,
    even: false,
    move: 0,
    stroke: blankStroke(),
  };
  let rest = 0;
  let x0 = 0;
  let y0 = 0;
  let z0 = 0;
  for (let i = 0; i <= moves.count; i++) {
    for (; rest < rests.count && rests.beforeMove[rest] === i; rest++) {
      const watts = restCommandW(rest, motion, machine, law);
      const durationS = rests.durationS[rest]!;
      if (watts > 0) {
        const at = { x0, y0, x1: x0, y1: y0, z: z0 };
        const energyJ = watts * durationS;
        visitor.rest({ ...at, energyJ, startS: rests.startS[rest]!, durationS, move: i - 1 });
      }
    }
    if (i === moves.count) break;
    const x1 = xMm[i]!;
    const y1 = yMm[i]!;
    const z1 = zMm[i]!;
    if (isLit(moves, i, machine.laser.fires_on_rapids)) {
      const length = lengthMm[i]!;
      const peak = peakMmPerS[i]!;
      stretch.lengthMm = length;
      stretch.accel = accelMmPerS2[i]!;
      stretch.entry = entryMmPerS[i]!;
      stretch.peak = peak;
      stretch.exit = entryMmPerS[i + 1]!;
      stretch.x = x0;
      stretch.y = y0;
      stretch.z = z0;
      stretch.ux = (x1 - x0) / length;
      stretch.uy = (y1 - y0) / length;
      stretch.uz = (z1 - z0) / length;
      stretch.tS = startS[i]!;
      stretch.s = s[i]!;
      stretch.feed = powerMode[i] === POWER_PROPORTIONAL ? feedMmPerS[i]! : 0;
      stretch.fullW = law.watts(stretch.s, 1);
      // A rapid may outrun the feed in force: then duty clamps, and line energy is not even.
      stretch.even = stretch.feed > 0 && peak <= stretch.feed && law.isLinear(stretch.s);
      stretch.move = i;
      handMove(stretch);
    }
    x0 = x1;
    y0 = y1;
    z0 = z1;
  }
}

/** A whole move, by its phases; as one piece where line energy is even and speed hardly changes. */
function handMove(at: Stretch): void {
  const { lengthMm, accel, entry, peak, exit } = at;
  if (at.even && peak - Math.min(entry, exit) <= EVEN_SPEED_GRAIN * peak) {
    const meanSpeed = lengthMm / moveDurationS(lengthMm, accel, entry, peak, exit);
    handCruise(at, 0, lengthMm, meanSpeed);
    return;
  }
  const upMm = rampMm(accel, entry, peak);
  const downMm = rampMm(accel, exit, peak);
  const levelMm = cruiseMm(lengthMm, upMm, downMm);
  if (upMm > 0) handRamp(at, 0, upMm, entry, peak);
  if (levelMm > 0) handCruise(at, upMm, levelMm, peak);
  if (downMm > 0) handRamp(at, lengthMm - downMm, downMm, peak, exit);
}

function handCruise(at: Stretch, fromMm: number, lengthMm: number, speed: number): void {
  const watts = at.feed > 0 ? at.law.watts(at.s, speed / at.feed) : at.fullW;
  const pieces = Math.max(1, Math.ceil((lengthMm * Math.abs(at.uz)) / SLOPE_GRAIN_MM));
  const pieceMm = lengthMm / pieces;
  for (let k = 0; k < pieces; k++)
    handPiece(at, fromMm + k * pieceMm, fromMm + (k + 1) * pieceMm, watts, pieceMm / speed);
}

/**
 * A ramp from speed v0 to v1 over `lengthMm`, cut into pieces of equal duration. Under constant power each is moved by
 * a·d²/12, to where its energy has its middle, and may so be longer (`lagging.ts`).
 */
function handRamp(at: Stretch, fromMm: number, lengthMm: number, v0: number, v1: number): void {
  const { law } = at;
  const isConstant = at.feed === 0;
  const stepMm = isConstant ? FOLLOWED_STEPS * at.stepMm : at.stepMm;
  const durationS = (2 * lengthMm) / (v0 + v1);
  const faster = Math.max(v0, v1);
  const change = Math.abs(v1 - v0);
  const wanted = at.even
    ? (change / faster) * EVEN_RAMP_PIECES
    : Math.min((faster * durationS) / stepMm, change / (SPEED_GRAIN * Math.min(v0, v1)));
  const pieces = Math.max(1, Math.ceil(Math.max(wanted, (lengthMm * Math.abs(at.uz)) / SLOPE_GRAIN_MM)));
  const dtS = durationS / pieces;
  const offMm = isConstant ? ((v0 - v1) * dtS) / (12 * pieces) : 0;
  let fromHereMm = fromMm;
  for (let k = 0; k < pieces; k++) {
    const middle = v0 + ((v1 - v0) * (k + 0.5)) / pieces; // the piece's mean speed, exactly
    const toMm = k === pieces - 1 ? fromMm + lengthMm : fromHereMm + middle * dtS;
    const watts = at.feed > 0 ? law.watts(at.s, middle / at.feed) : at.fullW;
    handPiece(at, fromHereMm + offMm, toMm + offMm, watts, dtS);
    fromHereMm = toMm;
  }
}

function handPiece(at: Stretch, fromMm: number, toMm: number, watts: number, durationS: number): void {
  const startS = at.tS;
  at.tS += durationS;
  if (watts <= 0) return;
  const { stroke } = at;
  stroke.x0 = at.x + at.ux * fromMm;
  stroke.y0 = at.y + at.uy * fromMm;
  stroke.x1 = at.x + at.ux * toMm;
  stroke.y1 = at.y + at.uy * toMm;
  stroke.z = at.z + (at.uz * (fromMm + toMm)) / 2;
  stroke.energyJ = watts * durationS;
  stroke.startS = startS;
  stroke.durationS = durationS;
  stroke.move = at.move;
  at.visitor.stroke(stroke);
}
