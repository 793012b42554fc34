import { boardsWords } from '../sure/words.ts';
import { feedWords, lengthWords, percentWords, timesWords } from '../words.ts';
import { type Order, orderOnceThrough } from './cut-before-engraved.ts';
import { marginWords, NEARLY_ALL, TAKEN_FOR_A_CUT, uncutShare } from './evidence/cut-forecast.ts';
import type { CutPath, CutPlace } from './evidence/cut-path.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { CUTTING_CAUTION, depthOfWords, round } from './phrases.ts';
import { planThrough } from './through-plan.ts';

/**
 * `not-through`: an operation that is meant to cut does not come through on 19 of 20 such boards. Says where, and which
 * passes or speed would do. One finding per operation.
 */
export function findNotThrough(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const short = cuts.flatMap((cut) => {
    const { weakest } = cut.path;
    return weakest && cut.comesThrough.chanceThrough < evidence.sure ? [{ cut, weakest }] : [];
  });
  if (short.length === 0) return [];
  const orderOf = orderOnceThrough(evidence, cuts);
  return short.map(({ cut, weakest }) => finding(evidence, cut, weakest, orderOf(cut.each.operation.n)));
}

/** How to say that it was taken wrongly. */
const orEngraved = (n: number): string => `If it is to engrave only, say so with the change “${n}: engrave”.`;

/** What is to be expected if machine, wood and board are what they are said to be, and on how many they are. */
function messageOf({ stock, sureness }: Evidence, { each, path, isAssumed, comesThrough }: Cut): string {
  const { operation } = each;
  const { chanceThrough } = comesThrough;
  const name = `The outline${isAssumed ? `, ${TAKEN_FOR_A_CUT},` : ''}`;
  const burned = `burned ${timesWords(operation.passes)} at ${feedWords(operation.feedMmPerS)}`;
  const boards = boardsWords(chanceThrough, sureness.sure);
  if (!path.uncut) {
    const may = chanceThrough < 0.5 ? 'more likely stays uncut than not' : 'may not cut through';
    return `${name} ${may}: ${burned} it has ${marginWords(path.weakest!.margin)}, and comes through on ${boards}.`;
  }
  return (
    `${name} ${uncutWords(path)}: ${burned} it reaches ` +
    `${depthOfWords(path.shallowestMm, stock!.thicknessMm!)} at the shallowest, and comes through on ${boards}.`
  );
}

function uncutWords(path: CutPath): string {
  const share = uncutShare(path);
  if (share > NEARLY_ALL && share < 1) return 'cuts through nearly nowhere';
  const along = `along ${lengthWords(path.uncutMm)} (${percentWords(round(share, 3))} of it)`;
  return `does not cut through ${share < 1 ? along : 'anywhere'}`;
}

function finding(evidence: Evidence, cut: Cut, weakest: CutPlace, order: Order | null): Finding {
  const { each, path, isAssumed, comesThrough } = cut;
  const { n, passes } = each.operation;
  const { places } = evidence.lines;
  const { at } = weakest;
  const line = evidence.program.moves.line[places.move[at]!]!;
  const atMm = [round(places.xMm[at]!, 3), round(places.yMm[at]!, 3)] as const;
  const worst = path.uncut?.worst;
  const plan = planThrough(evidence, cut);
  return {
    kind: 'not-through',
    severity: 'warning',
    line: worst?.line ?? line,
    atMm: worst ? [round(worst.xMm, 3), round(worst.yMm, 3)] : atMm,
    operation: n,
    message: messageOf(evidence, cut),
    remedy: [
      plan.words,
      plan.change ? (order?.words ?? null) : null,
      isAssumed ? orEngraved(n) : null,
      plan.change ? CUTTING_CAUTION : null,
    ]
      .filter((words) => words !== null)
      .join(' '),
    measure: {
      uncut_mm: round(path.uncutMm, 2),
      share: round(uncutShare(path)),
      depth_mm: round(path.shallowestMm),
      thickness_mm: evidence.stock!.thicknessMm!,
      dose_j_mm2: round(weakest.doseJPerMm2),
      passes,
      assumed_cut: isAssumed ? 'yes' : 'no',
      chance_through: round(comesThrough.chanceThrough, 3),
      passes_needed: comesThrough.passesForSure ?? 'none',
      places: path.uncut?.places ?? [[...atMm, line]],
    },
    advice: plan.change
      ? {
          operation: n,
          change: `${n}: ${[plan.change, ...(order?.settings ? [order.settings] : [])].join(', ')}`,
        }
      : null,
  };
}
