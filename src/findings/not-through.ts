import { cutSpeedMmPerS } from '../burn/settings-for.ts';
import { beamOf } from '../burn/speed-power.ts';
import { feedWords, lengthWords, numberWords, percentWords, timesWords } from '../words.ts';
import { NEARLY_ALL, TAKEN_FOR_A_CUT, uncutShare } from './evidence/cut-forecast.ts';
import { type CutPath, dosePerPass } from './evidence/cut-path.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence, OperationEvidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { CUTTING_CAUTION, mmWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** More passes than this are no plan: every one chars the walls again. Then the speed comes down too. */
const MOST_PASSES = 12;
const WANTED_PASSES = 4;
/** A whole pass is rounded up from this little below: where a cut just comes through, it may not. */
const SPARE = 0.02;

/**
 * `not-through`: an operation that is meant to cut does not reach the back everywhere. Says where, and how many
 * passes would do. One finding per operation.
 */
export function findNotThrough(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  return cuts.flatMap((cut) => (cut.path.uncut ? [finding(evidence, cut)] : []));
}

/** What would cut, and how to say it. */
interface Plan {
  /** Passes in all that would do at the present speed; ∞: no number does. */
  readonly passes: number;
  readonly change: string | null;
  readonly words: string;
}

function planOf(evidence: Evidence, each: OperationEvidence, path: CutPath): Plan {
  const { operation, fullSpeedMmPerS } = each;
  const { material, machine, law, stock } = evidence;
  const thicknessMm = stock!.thicknessMm!;
  const { doseJPerMm2, headZMm, neededJPerMm2 } = path.weakest!;
  const beam = beamOf(machine, headZMm);
  const watts = law.watts(operation.sMax, 1);
  const perPass = dosePerPass(evidence, each, path.weakest!);
  const more = (neededJPerMm2 - doseJPerMm2) / perPass;
  const passes = more < Infinity ? operation.passes + Math.max(1, Math.ceil(more + SPARE)) : Infinity;
  if (passes <= MOST_PASSES) {
    return { passes, change: `passes ${passes}`, words: `Burn it ${timesWords(passes)} in all.` };
  }
  const speed = cutSpeedMmPerS(watts, thicknessMm, material, beam, WANTED_PASSES);
  if (!(speed > 0)) {
    const words = `No number of passes cuts ${mmWords(thicknessMm)} with this beam; use thinner stock or more power.`;
    return { passes, change: null, words };
  }
  const feed = plainFeed(Math.min(speed * 0.95, fullSpeedMmPerS));
  const asItIs = passes < Infinity ? `, or ${timesWords(passes)} as it is` : '';
  return {
    passes,
    change: `speed ${feed}, passes ${WANTED_PASSES}`,
    words: `Burn it ${timesWords(WANTED_PASSES)} at ${numberWords(feed, 4)} mm/min${asItIs}.`,
  };
}

/** How to say that it was taken wrongly. */
const orEngraved = (n: number): string => `If it is to engrave only, say so with the change “${n}: engrave”.`;

function finding(evidence: Evidence, { each, path, isAssumed }: Cut): Finding {
  const { operation } = each;
  const { n, passes } = operation;
  const thicknessMm = evidence.stock!.thicknessMm!;
  const { worst, places } = path.uncut!;
  const share = uncutShare(path);
  const plan = planOf(evidence, each, path);
  const along = `along ${lengthWords(path.uncutMm)} (${percentWords(round(share, 3))} of it)`;
  return {
    kind: 'not-through',
    severity: 'warning',
    line: worst.line,
    atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
    operation: n,
    message:
      `The outline${isAssumed ? `, ${TAKEN_FOR_A_CUT},` : ''} ${share > NEARLY_ALL && share < 1 ? 'cuts through nearly nowhere' : `does not cut through ${share < 1 ? along : 'anywhere'}`}: burned ${timesWords(passes)} at ` +
      `${feedWords(operation.feedMmPerS)} it reaches ${mmWords(path.shallowestMm)} of ${mmWords(thicknessMm)} at the ` +
      'shallowest.',
    remedy: [plan.words, isAssumed ? orEngraved(n) : null, plan.change ? CUTTING_CAUTION : null]
      .filter((words) => words !== null)
      .join(' '),
    measure: {
      uncut_mm: round(path.uncutMm, 2),
      share: round(share),
      depth_mm: round(path.shallowestMm),
      thickness_mm: thicknessMm,
      dose_j_mm2: round(path.weakest!.doseJPerMm2),
      passes,
      assumed_cut: isAssumed ? 'yes' : 'no',
      passes_needed: plan.passes < Infinity ? plan.passes : 'none',
      places,
    },
    advice: plan.change ? { operation: n, change: `${n}: ${plan.change}` } : null,
  };
}
