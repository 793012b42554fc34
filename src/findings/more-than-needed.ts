import type { Motion } from '../motion/motion.ts';
import { spanS } from '../motion/timeline.ts';
import type { Operation } from '../program/program.ts';
import type { LeastPlace } from '../sure/place.ts';
import { partWords } from '../sure/words.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { feedWords, multipleWords, numberWords, timesWords, timeWords } from '../words.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence, OperationEvidence } from './evidence/evidence.ts';
import { atFeed } from './evidence/reach.ts';
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
  return cuts.flatMap(({ each, path, least, comesThrough }) => {
    if (!path.weakest || path.uncut || comesThrough.chanceThrough < evidence.sure) return [];
    const times = path.weakest.margin + 1;
    if (times < FAR_MORE || lingersOn(evidence, each)) return [];
    const plan = planOf(evidence, each, least!);
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

/** Fewest passes first: each one chars the walls again. null where nothing but passes of the same speed would do. */
function planOf(evidence: Evidence, each: OperationEvidence, least: LeastPlace): Plan | null {
  const { motion, machine, sureness } = evidence;
  const { operation, fullSpeedMmPerS } = each;
  const { passes: now, firstMove, lastMove } = operation;
  // Fewer passes only where they do at the present speed; the faster the fewer are left over.
  let passes = 1;
  while (passes < now && sureness.speedForSure(least, passes) < 1) passes++;
  const top = Math.min(machine.max_speed_mm_s[0], machine.max_speed_mm_s[1]);
  const speed = Math.min(top, fullSpeedMmPerS * sureness.speedForSure(least, passes) * BELOW);
  const enough = Math.max(fullSpeedMmPerS, speed);
  const then = atFeed(evidence, operation, mmPerMinToMmPerS(plainFeed(enough)));
  // A feed beyond what its strokes let the head come up to would change nothing.
  const reached = Math.min(enough, fastestMmPerS(evidence, operation, then));
  const feedMmPerMin = plainFeed(Math.max(fullSpeedMmPerS, reached));
  const nowS = spanS(motion, firstMove, lastMove);
  const thenS = spanS(then, firstMove, lastMove) * (passes / now);
  return thenS < nowS ? { passes, feedMmPerMin, nowS, thenS } : null;
}

/** The fastest that the head gets where the operation burns. */
function fastestMmPerS(
  { energies }: Evidence,
  { firstMove, lastMove }: Operation,
  { peakMmPerS }: Motion,
): number {
  let fastest = 0;
  for (let i = firstMove; i <= lastMove; i++)
    if (energies.nominalMmPerS[i] !== 0) fastest = Math.max(fastest, peakMmPerS[i]!);
  return fastest;
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
