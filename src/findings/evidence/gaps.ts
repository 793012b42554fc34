import { linePeakDoseJPerMm2 } from '../../burn/line-dose.ts';
import { widthAcrossMm, widthAlongMm } from '../../laser/spot.ts';
import type { LaserSource } from '../../machine/profile.ts';
import type { Moves } from '../../program/program.ts';
import { plainSettings } from '../settings-words.ts';
import { pointInside } from './dark-places.ts';
import { doseAt, doseForToneOn, type Evidence, type OperationEvidence, startOf } from './evidence.ts';
import { needBeside, paceMmPerS } from './pace.ts';
import { type Gathered, gatherPlaces } from './places.ts';
import { MARK_TONE } from './visible-difference.ts';

/**
 * Where proportional power leaves the wood bare: a diode emits nothing up to its threshold, so below some speed the
 * beam is dark, and for a while above it too faint to mark.
 */

/** Gaps narrower than this many spot widths drown in the light from either side. A judgement. */
const SEEN_WIDTHS = 1;
/** Advice keeps gaps below this many. */
const AIM_WIDTHS = 0.7;

export interface Gaps {
  /** Told by their length. */
  readonly gathered: Gathered;
  readonly longestMm: number;
  /** The longest lies where a stroke begins or ends. */
  readonly atEnd: boolean;
  /** Length left bare in all these gaps, mm; and in those where strokes begin or end. */
  readonly bareMm: number;
  readonly endMm: number;
  /** Below this speed the longest gap's move leaves no mark, mm/s. */
  readonly bareBelowMmPerS: number;
  /** The speed below which nothing may stay bare, lest a gap be seen, mm/s. */
  readonly safeMmPerS: number;
}

/** The duty up to which nothing is emitted: the diode's threshold, or half a step of its power levels. */
const darkDuty = ({ threshold_fraction, power_levels }: LaserSource): number =>
  Math.max(threshold_fraction, power_levels === null ? 0 : 0.5 / power_levels);

/**
 * The gaps that proportional power leaves in an operation, whatever its power mode is now; null where there is none to
 * see.
 * @param scale what its S are multiplied by.
 */
export function gapsUnderProportional(evidence: Evidence, each: OperationEvidence, scale = 1): Gaps | null {
  const { machine, motion, energies, program } = evidence;
  if (darkDuty(machine.laser) === 0) return null;
  const { nominalMmPerS } = energies;
  const { entryMmPerS, peakMmPerS, lengthMm, accelMmPerS2 } = motion;
  const { line } = program.moves;
  const { firstMove, lastMove } = each.operation;
  const bareBelow = bareSpeeds(evidence, each, scale);
  const isReal = each.operation.powerMode === 'proportional' && scale === 1;
  const markJPerMm2 = doseForToneOn(evidence, each, MARK_TONE);
  const places = gatherPlaces(0);
  let worst = { mm: 0, atEnd: false, below: 0 };
  let bareMm = 0;
  let endMm = 0;
  let safeMmPerS = Infinity;
  // The gap under way: its length, the move it begins on, its slowest junction, whether it begins a stroke.
  let mm = 0;
  let from = 0;
  let slowest = 0;
  let begins = false;
  let below = 0;

  const widen = (byMm: number, move: number, junction: number, isStart: boolean, speed: number): void => {
    if (mm === 0) {
      from = move;
      slowest = junction;
      begins = isStart;
      below = speed;
    }
    if (entryMmPerS[junction]! < entryMmPerS[slowest]!) slowest = junction;
    mm += byMm;
  };
  /** @param endsOn the move on which a stroke ends with it; −1: the stroke goes on. */
  const close = (endsOn: number): void => {
    const gapMm = mm;
    mm = 0;
    const widthMm = spotAlongMm(evidence, from);
    if (gapMm < SEEN_WIDTHS * widthMm) return;
    const atEnd = begins || endsOn >= 0;
    const move = begins ? from : endsOn >= 0 ? endsOn : slowest;
    const at = atEnd
      ? pointInside(evidence, move, begins, Math.min(gapMm, lengthMm[move]!) / 2)
      : startOf(evidence, slowest);
    // Something else may burn there.
    if (isReal && doseAt(evidence, ...at) >= markJPerMm2) return;
    const speed = entryMmPerS[slowest]!;
    const allowedMm = (AIM_WIDTHS * widthMm) / (atEnd ? 1 : 2);
    safeMmPerS = Math.min(safeMmPerS, Math.sqrt(speed * speed + 2 * accelMmPerS2[from]! * allowedMm));
    bareMm += gapMm;
    if (atEnd) endMm += gapMm;
    places.add(gapMm, 0, at, { line: line[move]!, move });
    places.lift();
    if (gapMm > worst.mm) worst = { mm: gapMm, atEnd, below };
  };

  for (let i = firstMove; i <= lastMove; i++) {
    if (nominalMmPerS[i] === 0) continue;
    const isStart = i === firstMove || nominalMmPerS[i - 1] === 0;
    const entry = entryMmPerS[i]!;
    const exit = entryMmPerS[i + 1]!;
    // At full speed all along, as most moves of a raster, nothing is bare.
    const bare = entry < nominalMmPerS[i]! || exit < nominalMmPerS[i]! ? bareBelow(i) : 0;
    if (peakMmPerS[i]! <= bare) {
      widen(lengthMm[i]!, i, entry < exit ? i : i + 1, isStart, bare);
    } else {
      const squareAccel = 2 * accelMmPerS2[i]!;
      if (entry < bare) widen((bare * bare - entry * entry) / squareAccel, i, i, isStart, bare);
      if (mm > 0) close(-1);
      if (exit < bare) widen((bare * bare - exit * exit) / squareAccel, i, i + 1, false, bare);
    }
    const isEnd = i === lastMove || nominalMmPerS[i + 1] === 0;
    if (isEnd && mm > 0) close(i);
  }
  const gathered = places.finish();
  if (!gathered) return null;
  return {
    gathered,
    longestMm: worst.mm,
    atEnd: worst.atEnd,
    bareMm,
    endMm,
    bareBelowMmPerS: worst.below,
    safeMmPerS,
  };
}

function spotAlongMm({ machine, program: { moves } }: Evidence, i: number): number {
  const { ux, uy } = directionOf(moves, i);
  return widthAlongMm(machine.spot, ux, uy, moves.zMm[i]!);
}

function directionOf({ xMm, yMm }: Moves, i: number): { readonly ux: number; readonly uy: number } {
  const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
  const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
  const length = Math.sqrt(dx * dx + dy * dy) || 1;
  return { ux: dx / length, uy: dy / length };
}

/**
 * For each move the speed up to which it leaves no mark under proportional power. At speed v the dose is
 * D·K·(d/F − t/v), d the duty at the feed F, t the threshold, K the power of full duty over 1 − t and D the dose over line
 * energy; so it reaches the mark's dose M at v = t/(d/F − M/(D·K)). 0 where full speed marks nothing either: that is
 * told by other findings.
 */
function bareSpeeds(evidence: Evidence, each: OperationEvidence, scale: number): (i: number) => number {
  const { machine, energies, program } = evidence;
  const { laser } = machine;
  const { feedMmPerS, s } = program.moves;
  const t = laser.threshold_fraction;
  const level = laser.power_levels === null ? 0 : 0.5 / laser.power_levels;
  const markAt = markLine(evidence, each);
  return (i) => {
    const dutyPerSpeed = (scale * s[i]!) / laser.s_max / feedMmPerS[i]!;
    const mark = markAt(i);
    if (!(dutyPerSpeed - t / energies.nominalMmPerS[i]! > mark)) return 0;
    return Math.max(t / (dutyPerSpeed - mark), level / dutyPerSpeed);
  };
}

/**
 * M/(D·K) for move i: the duty per mm/s that gives the mark's dose. Lines by their own direction under an oblong spot,
 * rows by what they give together.
 */
function markLine(evidence: Evidence, each: OperationEvidence): (i: number) => number {
  const { machine, program } = evidence;
  const { spot, laser } = machine;
  const perDuty = laser.optical_power_w / (1 - laser.threshold_fraction);
  const wanted = doseForToneOn(evidence, each, MARK_TONE) / perDuty;
  if (each.rows) {
    const mark = wanted / each.straight.dosePerLineEnergy;
    return () => mark;
  }
  return (i) => {
    const { ux, uy } = directionOf(program.moves, i);
    const acrossMm = widthAcrossMm(spot, ux, uy, program.moves.zMm[i]!);
    return wanted / (linePeakDoseJPerMm2(1, 1, acrossMm, spot.shape) * each.operation.passes);
  };
}

/** The speed and the dose its tone takes are found in turn; they settle fast, as dwell counts for little. */
const ROUNDS = 4;

/** Settings under which proportional power leaves no gap to see. */
export interface Gapless {
  /** A lower feed, and the power that keeps the line as dark as it is. */
  readonly feedMmPerMin: number;
  readonly powerPercent: number;
  /** At the present feed, the least S that would do, and the dose it gives as a multiple of what it is; null: none does. */
  readonly leastS: number | null;
  readonly timesDarker: number;
}

/**
 * What closes the gaps of an operation. With line energy kept, c = d/F − t/F, the bare speed is
 * t/(c + t/F − M/(D·K)): the lower the feed, the lower it is.
 */
export function gaplessSettings(
  evidence: Evidence,
  each: OperationEvidence,
  { safeMmPerS, gathered }: Gaps,
): Gapless {
  const { laser } = evidence.machine;
  const { sMax, powerMode } = each.operation;
  const t = laser.threshold_fraction;
  // Constant power gives what S says at the speed that is run, not at a feed beyond what the head comes up to.
  const full =
    powerMode === 'constant'
      ? paceMmPerS(evidence, each)
      : Math.min(each.fullSpeedMmPerS, each.operation.feedMmPerS);
  const feedMmPerS = powerMode === 'constant' ? full : each.operation.feedMmPerS;
  const lit = Math.min(1, sMax / laser.s_max) / feedMmPerS - t / full;
  const mark = markLine(evidence, each)(gathered.worst.move);
  const level = laser.power_levels === null ? 0 : 0.5 / laser.power_levels;
  // At each speed the line must get what gives its tone there, and the slower it is the more that is.
  let speed = full;
  for (let k = 0; k < ROUNDS; k++) {
    const least = t / safeMmPerS - needBeside(evidence, full, speed) * (lit - mark);
    speed = Math.min(full, least > 0 ? t / least : full);
  }
  const wanted = needBeside(evidence, full, speed) * lit;
  const needed = feedMmPerS * Math.max(t / safeMmPerS + mark, level / safeMmPerS);
  return {
    ...plainSettings(speed, (mmPerS) => t + wanted * mmPerS, t),
    leastS: needed <= 1 ? Math.ceil(needed * laser.s_max) : null,
    timesDarker: (needed / feedMmPerS - t / full) / lit,
  };
}
