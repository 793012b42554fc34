import { type PowerLaw, powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { type PhaseCursor, phasesOf, toNextPhase } from '../motion/phases.ts';
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
  const stroke = blankStroke();
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
    const command = waiting ? 0 : commandAt(told, t - delayS, motion, machine, law);
    const commandSteady = waiting || told.v0 === told.v1;
    const powerSteady = tauS === 0 || Math.abs(power - command) <= settledW;
    const isDark = commandSteady && powerSteady && command === 0;
    const moves = fastest > 0;
    const smooth =
      isDark ||
      (commandSteady && powerSteady && (head.v0 === head.v1 || !moves)) ||
      (!moves && commandSteady);
    // Behind an edge power changes within τ; from there on ever longer steps will do, however short τ is.
    const stepS = Math.min(
      moves ? stepMm / fastest : Infinity,
      tauS > 0 && !powerSteady ? Math.max(tauS, t - lastEdgeS) / 4 : Infinity,
    );
    const isBrief = commandSteady && !powerSteady && moves && fastest <= briefMmPerS;
    if (isBrief && t + BOTH_END * tauS <= edgeS) {
      const lacksW = command - power;
      const firstS = FIRST_ENDS * tauS;
      const secondS = (BOTH_END - FIRST_ENDS) * tauS;
      hand(head, visitor, stroke, t, firstS, (command - FIRST_PART * lacksW) * firstS);
      hand(head, visitor, stroke, t + firstS, secondS, (command - SECOND_PART * lacksW) * secondS);
      t += firstS + secondS;
      power = command;
      continue;
    }
    const endS = smooth || t + stepS * 1.001 >= edgeS ? edgeS : t + stepS;
    const dtS = endS - t;
    if (!(dtS > 0)) {
      t = endS;
      continue;
    }

    const middle = commandSteady ? command : commandAt(told, t + dtS / 2 - delayS, motion, machine, law);
    onPower?.(t, power);
    const decay = tauS > 0 ? Math.exp(-dtS / tauS) : 0;
    const energyJ = middle * dtS + (power - middle) * tauS * (1 - decay);
    power = middle + (power - middle) * decay;
    if (power < settledW && middle === 0) power = 0;
    hand(head, visitor, stroke, t, dtS, energyJ);
    t = endS;
  }
  // What is left in the diode when the program has ended goes into the last point.
  onPower?.(t, power);
  if (power > 0) {
    const { x, y, z, lastMove: move } = head;
    visitor.rest({ x0: x, y0: y, x1: x, y1: y, z, energyJ: power * tauS, startS: t, durationS: tauS, move });
  }
}

/** Hands out what comes within a time of the phase under way. */
function hand(
  head: PhaseCursor,
  visitor: BeamVisitor,
  stroke: Stroke,
  startS: number,
  durationS: number,
  energyJ: number,
): void {
  if (!(energyJ > 0)) return;
  const { alive, x, y, z, ux, uy, uz } = head;
  const from = Math.max(0, startS - head.startS);
  const slope = alive && head.endS > head.startS ? (head.v1 - head.v0) / (head.endS - head.startS) : 0;
  const speed = alive ? head.v0 + slope * from : 0;
  const fromMm = from * (head.v0 + (slope * from) / 2);
  const toMm = fromMm + durationS * (speed + (slope * durationS) / 2);
  stroke.x0 = x + ux * fromMm;
  stroke.y0 = y + uy * fromMm;
  stroke.x1 = x + ux * toMm;
  stroke.y1 = y + uy * toMm;
  stroke.z = z + (uz * (fromMm + toMm)) / 2;
  stroke.energyJ = energyJ;
  stroke.startS = startS;
  stroke.durationS = durationS;
  stroke.move = head.lastMove;
  if (alive && Math.max(head.v0, head.v1) > 0) visitor.stroke(stroke);
  else visitor.rest(stroke);
}
