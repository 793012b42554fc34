import { type PowerLaw, powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { type PhaseCursor, phasesOf, toNextPhase } from '../motion/phases.ts';
import { POWER_PROPORTIONAL } from '../program/program.ts';
import { msToS } from '../units.ts';
import { moveCommandW, restCommandW } from './command.ts';
import { type BeamVisitor, blankStroke, type Stroke } from './visitor.ts';

/** Commanded watts at time `tS` of the phase the cursor is on, which must contain it. */
function commandAt(phase: PhaseCursor, tS: number, motion: Motion, machine: Machine, law: PowerLaw): number {
  if (!phase.alive || phase.startS === phase.endS) return 0;
  if (phase.move < 0) return restCommandW(-1 - phase.move, motion, machine, law);
  const part = Math.min(1, Math.max(0, (tS - phase.startS) / (phase.endS - phase.startS)));
  return moveCommandW(phase.move, phase.v0 + (phase.v1 - phase.v0) * part, motion, machine, law);
}

/**
 * Commanded watts all through the phase the cursor is on; null where they change with speed. The speed of a move under
 * constant power has no say in it.
 */
function steadyCommandW(phase: PhaseCursor, motion: Motion, machine: Machine, law: PowerLaw): number | null {
  const { powerMode } = motion.program.moves;
  const changes = phase.v0 !== phase.v1 && phase.move >= 0 && powerMode[phase.move] === POWER_PROPORTIONAL;
  return changes ? null : commandAt(phase, phase.startS, motion, machine, law);
}

/**
 * What is left of a step of the command, e^(−t/τ), laid out as two even pieces that begin with it: with the same energy
 * and the same three moments of time after it (n! for the n-th). By parts these are those of Gauss–Laguerre quadrature
 * with weight t·e^(−t): its two nodes are where the pieces end (DLMF 18.3, the zeros 3 ∓ √3 of L₂⁽¹⁾), in τ, …
 */
const FIRST_ENDS = 3 - Math.sqrt(3);
const BOTH_END = 3 + Math.sqrt(3);
/** … and these the parts of the step that lack on them. */
const FIRST_PART = 2 / 3;
const SECOND_PART = (2 - Math.sqrt(3)) / 6;
/**
 * So may be done where the head moves by less than this part of the stretch that may be averaged within τ. For half a σ
 * of the spot the dose is then off by less than 2e-5 of the line's: 0.1·(v·τ/σ)⁵, the next moment being 21.6 for 24.
 */
const SHORT = 1 / 3;

/**
 * Once power follows its command, a piece may be so many times as long as the stretch that may be averaged: its energy
 * has the middle that it has in truth, and what even pieces of length L still differ by goes up and down with L. A beam
 * twice as wide at half a σ a step, L = σ, leaves e^(−2π²·σ²/L²) of that, 3e-9 (the Fourier transform of a Gaussian).
 */
export const FOLLOWED_STEPS = 2;
/** It follows once so many τ have gone by since an edge: then 2 % of the step there are left. */
const FOLLOWED_TAUS = 4;
/** Behind an edge a piece takes up to this part of τ, or of the time since: for the strip of time, dose would do with longer ones. */
const LAG_PART = 1 / 2;
/** … or this one where power itself is read, straight from piece to piece. */
const READ_LAG_PART = 1 / 4;

/** A stroke whose energy is off its middle by less than this part of that stretch stays where it is, and meets the next. */
const OFF_PART = 1 / 4096;

/** Below this part of full power the diode counts as dark, or as settled at its command. */
const SETTLED = 1e-9;

/**
 * The walk for power that comes late: the command is that of `beam_delay_ms` ago, and power follows it as a
 * first-order lag with time constant τ: over a stretch of constant command c from power p,
 * p(t) = c + (p − c)·e^(−t/τ), whose integral is handed out piece by piece. What comes after the beam is
 * told to stop lands wherever the head is by then, on rapids too.
 *
 * Two cursors go over the same phases, one for where the head is, one `beam_delay_ms` behind (or ahead) for
 * what the beam is told; a piece never crosses an edge of either.
 *
 * @param onPower told the emitted power at the start of every piece, W; for timelines. Then power is followed however
 *   short τ is.
 */
export function walkLagging(
  motion: Motion,
  machine: Machine,
  stepMm: number,
  visitor: BeamVisitor,
  onPower?: (tS: number, powerW: number) => void,
): void {
  const law = powerLaw(machine.laser);
  const tauS = msToS(machine.laser.rise_time_ms);
  const delayS = msToS(machine.laser.beam_delay_ms);
  const settledW = machine.laser.optical_power_w * SETTLED;
  const head = phasesOf(motion);
  const told = phasesOf(motion);
  toNextPhase(head);
  toNextPhase(told);
  while (told.alive && told.endS <= -delayS) toNextPhase(told); // a beam that leads has missed nothing it could burn

  const briefMmPerS = onPower || tauS === 0 ? 0 : (SHORT * stepMm) / tauS;
  const longerMm = onPower ? stepMm : FOLLOWED_STEPS * stepMm;
  const lagPart = onPower ? READ_LAG_PART : LAG_PART;
  const stroke = blankStroke();
  const piece = blankPiece(tauS, OFF_PART * stepMm);
  let steadyW = steadyCommandW(told, motion, machine, law);
  let power = 0;
  let t = 0;
  let lastEdgeS = 0;
  while (head.alive || told.alive) {
    if (head.alive && t >= head.endS) {
      toNextPhase(head);
      lastEdgeS = t;
      continue;
    }
    if (told.alive && t >= told.endS + delayS) {
      toNextPhase(told);
      steadyW = steadyCommandW(told, motion, machine, law);
      lastEdgeS = t;
      continue;
    }
    const waiting = !told.alive || t < told.startS + delayS;
    const edgeS = Math.min(
      head.alive ? head.endS : Infinity,
      told.alive ? (waiting ? told.startS : told.endS) + delayS : Infinity,
    );
    // How far may one piece go: to the edge if nothing changes, else by small steps of time and way.
    const fastest = head.alive ? Math.max(head.v0, head.v1) : 0;
    const commandSteady = waiting || steadyW !== null;
    const command = waiting ? 0 : (steadyW ?? commandAt(told, t - delayS, motion, machine, law));
    const powerSteady = tauS === 0 || Math.abs(power - command) <= settledW;
    const isDark = commandSteady && powerSteady && command === 0;
    const moves = fastest > 0;
    const smooth =
      isDark ||
      (commandSteady && powerSteady && (head.v0 === head.v1 || !moves)) ||
      (!moves && commandSteady);
    const isBrief = commandSteady && !powerSteady && moves && fastest <= briefMmPerS;
    if (isBrief && t + BOTH_END * tauS <= edgeS) {
      const lacksW = command - power;
      setEven(piece, FIRST_ENDS * tauS, command - FIRST_PART * lacksW);
      hand(head, visitor, stroke, t, piece);
      t += piece.durationS;
      setEven(piece, (BOTH_END - FIRST_ENDS) * tauS, command - SECOND_PART * lacksW);
      hand(head, visitor, stroke, t, piece);
      t += piece.durationS;
      power = command;
      continue;
    }
    const sinceS = t - lastEdgeS;
    const follows = powerSteady || sinceS >= FOLLOWED_TAUS * tauS;
    // Behind an edge power changes within τ; from there on ever longer steps will do, however short τ is.
    const stepS = Math.min(
      moves ? (follows ? longerMm : stepMm) / fastest : Infinity,
      powerSteady ? Infinity : Math.max(tauS, sinceS) * lagPart,
    );
    const endS = smooth || t + stepS * 1.001 >= edgeS ? edgeS : t + stepS;
    const dtS = endS - t;
    if (!(dtS > 0)) {
      t = endS;
      continue;
    }

    const middleW = commandSteady ? command : commandAt(told, t + dtS / 2 - delayS, motion, machine, law);
    onPower?.(t, power);
    piece.durationS = dtS;
    piece.middleW = middleW;
    piece.slopeWPerS = (2 * (middleW - command)) / dtS;
    piece.restW = power - middleW;
    piece.decay = tauS > 0 ? Math.exp(-dtS / tauS) : 0;
    piece.energyJ = middleW * dtS + piece.restW * tauS * (1 - piece.decay);
    hand(head, visitor, stroke, t, piece);
    power = middleW + piece.restW * piece.decay;
    if (power < settledW && middleW === 0) power = 0;
    t = endS;
  }
  // What is left in the diode when the program has ended goes into the last point.
  onPower?.(t, power);
  if (power > 0) {
    const { x, y, z, lastMove: move } = head;
    visitor.rest({ x0: x, y0: y, x1: x, y1: y, z, energyJ: power * tauS, startS: t, durationS: tauS, move });
  }
}

/** Power within a piece, t from its beginning: `middleW` + `slopeWPerS`·(t − d/2) + `restW`·e^(−t/τ). */
interface Piece {
  durationS: number;
  energyJ: number;
  middleW: number;
  slopeWPerS: number;
  restW: number;
  /** e^(−d/τ). */
  decay: number;
  readonly tauS: number;
  /** Energy less far off than this counts as in the middle, mm. */
  readonly nearMm: number;
}

/** A piece to be filled in, fractions as in a stroke. */
const blankPiece = (tauS: number, nearMm: number): Piece => ({
  durationS: 0.5,
  energyJ: 0.5,
  middleW: 0.5,
  slopeWPerS: 0.5,
  restW: 0.5,
  decay: 0.5,
  tauS,
  nearMm,
});

/** Makes it one of even power. */
function setEven(piece: Piece, durationS: number, powerW: number): void {
  piece.durationS = durationS;
  piece.energyJ = powerW * durationS;
  piece.middleW = powerW;
  piece.slopeWPerS = piece.restW = piece.decay = 0;
}

/**
 * How far from a piece's beginning the middle of its energy lies, mm: ∫ P·x dt / ∫ P dt with x = v·t + a·t²/2. A stroke is
 * even along its length, and moved so that its own middle is there it lacks nothing of the first order.
 */
function energyMiddleMm(piece: Piece, speedMmPerS: number, accelMmPerS2: number): number {
  const { durationS: d, energyJ, middleW, slopeWPerS, restW, decay, tauS } = piece;
  const [v, a] = [speedMmPerS, accelMmPerS2];
  const even = middleW * d * d * (v / 2 + (a * d) / 6);
  const sloped = slopeWPerS * d * d * d * (v / 12 + (a * d) / 24);
  if (restW === 0) return (even + sloped) / energyJ;
  // ∫ t·e^(−t/τ) dt and ∫ t²·e^(−t/τ) dt from 0 to d.
  const first = tauS * (tauS - (tauS + d) * decay);
  const second = tauS * (2 * tauS * tauS - (2 * tauS * (tauS + d) + d * d) * decay);
  return (even + sloped + restW * (v * first + (a * second) / 2)) / energyJ;
}

/** Hands out what comes from a time of the phase under way on. */
function hand(head: PhaseCursor, visitor: BeamVisitor, stroke: Stroke, startS: number, piece: Piece): void {
  const { durationS, energyJ } = piece;
  if (!(energyJ > 0)) return;
  const { alive, x, y, z, ux, uy, uz } = head;
  const from = Math.max(0, startS - head.startS);
  const slope = alive && head.endS > head.startS ? (head.v1 - head.v0) / (head.endS - head.startS) : 0;
  const speed = alive ? head.v0 + slope * from : 0;
  const halfMm = (durationS * (speed + (slope * durationS) / 2)) / 2;
  // Where there is next to no energy, rounding has no say in where it lies.
  const offMm = Math.min(halfMm, Math.max(-halfMm, energyMiddleMm(piece, speed, slope) - halfMm));
  const beginMm = from * (head.v0 + (slope * from) / 2);
  const atMm = beginMm + halfMm + (Math.abs(offMm) < piece.nearMm ? 0 : offMm);
  stroke.x0 = x + ux * (atMm - halfMm);
  stroke.y0 = y + uy * (atMm - halfMm);
  stroke.x1 = x + ux * (atMm + halfMm);
  stroke.y1 = y + uy * (atMm + halfMm);
  stroke.z = z + uz * atMm;
  stroke.energyJ = energyJ;
  stroke.startS = startS;
  stroke.durationS = durationS;
  stroke.move = head.lastMove;
  if (alive && Math.max(head.v0, head.v1) > 0) visitor.stroke(stroke);
  else visitor.rest(stroke);
}
