import type { Motion } from '../motion/motion.ts';
import { spanS } from '../motion/timeline.ts';
import type { Operation } from '../program/program.ts';
import { partWords } from '../sure/words.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { feedWords, multipleWords, numberWords, timesWords, timeWords } from '../words.ts';
import { leastAlone } from './evidence/cut-alone.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence, OperationEvidence } from './evidence/evidence.ts';
import { shareBeside } from './evidence/on-board.ts';
import { atFeed, fastestMmPerS } from './evidence/reach.ts';
import type { Finding } from './finding.ts';
import { FAR_MORE, lingersOn } from './may-ignite.ts';
import { round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** No cut is advised faster than its chance of coming through is known for: less than a hundredth of the speed below. */
const BELOW = 0.99;

/**
 * `more-than-needed`: a cut that comes through for sure with far more dose than it takes, with the fewest passes and the
 * speed that would do for 19 of 20 such boards. A note. One finding per operation.
 */
export function findMoreThanNeeded(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  return cuts.flatMap(({ each, path, comesThrough }) => {
    if (!path.weakest || path.uncut || comesThrough.chanceThrough < evidence.sure) return [];
    const times = path.weakest.margin + 1;
    if (times < FAR_MORE || lingersOn(evidence, each)) return [];
    // What lies beside the board is not judged, and may be what takes most.
    if (shareBeside(evidence, evidence.isBeside, each.operation) > 0) return [];
    const plan = planOf(evidence, each);
    return plan ? [finding(evidence, each.operation, times, plan)] : [];
  });
}

interface Plan {
  readonly passes: number;
  readonly feedMmPerMin: number;
  /** How long the operation takes now, and would take, s. */
  readonly nowS: number;
  readonly thenS: number;
}

/** A speed is tried so often: one at which the head speeds up for so long that an end gets less is followed by a slower one. */
const MOST_TRIES = 4;

/**
 * Fewest passes first: each one chars the walls again. null where nothing but passes of the same speed would do. What others
 * burn along the cut is left out, lest it hang on them.
 */
function planOf(evidence: Evidence, each: OperationEvidence): Plan | null {
  const { motion, sureness, sure } = evidence;
  const { operation, fullSpeedMmPerS } = each;
  const now = leastAlone(evidence, each, motion, operation.passes);
  if (!now) return null;
  // Fewer passes only where they do at the present speed; the faster the fewer are left over.
  let passes = 1;
  while (passes < operation.passes && sureness.speedForSure(now, passes) < 1) passes++;
  let speedMmPerS = fullSpeedMmPerS * sureness.speedForSure(now, passes) * BELOW;
  for (let k = 0; k < MOST_TRIES; k++) {
    const { plan, then } = planAt(evidence, each, passes, speedMmPerS);
    if (plan.thenS >= plan.nowS) return null;
    const least = leastAlone(evidence, each, then, passes);
    if (!least) return null;
    if (sureness.comesThrough(least).chanceThrough >= sure) return plan;
    speedMmPerS = mmPerMinToMmPerS(plan.feedMmPerMin) * sureness.speedForSure(least, passes) * BELOW;
  }
  return null;
}

/** So many passes at about such a speed, as far as the machine goes and the head comes up to it; no slower than now. */
function planAt(
  evidence: Evidence,
  { operation, fullSpeedMmPerS }: OperationEvidence,
  passes: number,
  speedMmPerS: number,
): { readonly plan: Plan; readonly then: Motion } {
  const { motion, machine } = evidence;
  const { firstMove, lastMove } = operation;
  const top = Math.min(machine.max_speed_mm_s[0], machine.max_speed_mm_s[1]);
  const enough = Math.max(fullSpeedMmPerS, Math.min(top, speedMmPerS));
  const then = atFeed(evidence, operation, mmPerMinToMmPerS(plainFeed(enough)));
  // A feed beyond what its strokes let the head come up to would change nothing.
  const reached = Math.min(enough, fastestMmPerS(evidence, operation, then));
  const feedMmPerMin = plainFeed(Math.max(fullSpeedMmPerS, reached));
  const nowS = spanS(motion, firstMove, lastMove);
  const thenS = spanS(then, firstMove, lastMove) * (passes / operation.passes);
  return { plan: { passes, feedMmPerMin, nowS, thenS }, then };
}

function finding(
  { program: { moves }, sure }: Evidence,
  operation: Operation,
  times: number,
  { passes, feedMmPerMin, nowS, thenS }: Plan,
): Finding {
  const { n, firstMove, feedMmPerS } = operation;
  const feed = numberWords(feedMmPerMin, 4);
  const sameFeed = mmPerMinToMmPerS(feedMmPerMin) === feedMmPerS;
  const change = [
    sameFeed ? '' : `speed ${feedMmPerMin}`,
    passes === operation.passes ? '' : `passes ${passes}`,
  ];
  return {
    kind: 'more-than-needed',
    severity: 'note',
    line: moves.line[firstMove]!,
    atMm: [moves.xMm[firstMove]!, moves.yMm[firstMove]!],
    operation: n,
    message:
      `The cut gets ${multipleWords(round(times, 2), 'the dose it needs')}, also where it gets least: burned ` +
      `${timesWords(operation.passes)} at ${feedWords(feedMmPerS)} it takes ${timeWords(nowS)} and chars its edges more ` +
      'than it must.',
    remedy:
      `${passes === 1 ? 'One pass' : `${passes} passes`} at ${feed} mm/min would do on ${partWords(sure)} such boards: ` +
      `${timeWords(nowS)} would become ${timeWords(thenS)}.`,
    measure: {
      times_needed: round(times, 3),
      passes,
      feed_mm_min: feedMmPerMin,
      now_s: round(nowS, 3),
      then_s: round(thenS, 3),
    },
    advice: { operation: n, change: `${n}: ${change.filter((part) => part !== '').join(', ')}` },
  };
}
