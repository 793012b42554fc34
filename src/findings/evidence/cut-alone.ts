import { bisectLeft } from 'd3-array';
import { needOfFirings, savedByWarmth } from '../../burn/firing.ts';
import { doseAlong } from '../../dose/land.ts';
import type { LinePlaces } from '../../dose/line-places.ts';
import { litOnly } from '../../dose/lit-only.ts';
import type { Motion } from '../../motion/motion.ts';
import { spanS } from '../../motion/timeline.ts';
import type { LeastPlace } from '../../sure/place.ts';
import { followCut } from './cut-path.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';

/**
 * The place of a cut that would get least if the head ran as `motion` says and nothing else burned there: so it comes through
 * whatever becomes of the others. It takes a walk of the beam along the cut.
 * @param passes how many of those that the operation has are burned then.
 * @returns null where nothing of it burns.
 */
export function leastAlone(
  evidence: Evidence,
  { operation }: OperationEvidence,
  motion: Motion,
  passes: number,
): LeastPlace | null {
  const { firstMove, lastMove, passes: now, n } = operation;
  const {
    machine,
    dose: { grid, height },
    lines,
  } = evidence;
  const from = bisectLeft(lines.places.move, firstMove);
  const to = bisectLeft(lines.places.move, lastMove + 1);
  const places = partOf(lines.places, from, to);
  const { operation: of } = motion.program.moves;
  const alone = doseAlong(
    { places, heights: [height.lowestMm, height.highestMm] },
    litOnly(motion, (move) => move >= 0 && of[move] === n),
    machine,
    grid.cellMm,
  );
  // A faster head leaves less warmth behind, by as much as it leaves less dose at least; and none is counted on where the
  // path is burned once, so that only its own corners and what was burned before it have warmed it. More passes than now fire it as much more often.
  const timesS = spanS(motion, firstMove, lastMove) / spanS(evidence.motion, firstMove, lastMove);
  const warmer = motion === evidence.motion ? 1 : passes === 1 ? 0 : Math.min(1, timesS);
  const cost = evidence.material.firing_cost.value;
  const needTimes = lines.needTimes?.subarray(from, to).map((times, k) => {
    if (warmer === 1 && passes <= now) return times;
    const count = lines.firings![from + k]!;
    const saved = warmer * savedByWarmth(times, count, cost);
    return needOfFirings(count * Math.max(1, passes / now), saved, cost);
  });
  const told = { ...evidence, lines: { places, dose: alone, ...(needTimes && { needTimes }) } };
  const { weakest } = followCut(told, firstMove, lastMove);
  if (!weakest) return null;
  const perPassJPerMm2 = weakest.doseJPerMm2 / now;
  return {
    ...weakest,
    passes,
    perPassJPerMm2,
    doseJPerMm2: passes * perPassJPerMm2,
    firings: lines.firings ? passes : null,
  };
}

/** The places from … to − 1. */
const partOf = ({ xMm, yMm, move, begins, judgedMm }: LinePlaces, from: number, to: number): LinePlaces => ({
  count: to - from,
  xMm: xMm.subarray(from, to),
  yMm: yMm.subarray(from, to),
  move: move.subarray(from, to),
  begins: begins.subarray(from, to),
  judgedMm: judgedMm.subarray(from, to),
});
