import { cellAt } from '../grid.ts';
import { headZMm } from '../program/operations.ts';
import { depthSpanWords } from '../sure/words.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { numberWords, percentWords } from '../words.ts';
import {
  depthSpan,
  type Evidence,
  middleOf,
  type OperationEvidence,
  spanMeasure,
} from './evidence/evidence.ts';
import { comesUpTo } from './evidence/reach.ts';
import type { Finding } from './finding.ts';
import { mmWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** Deeper than a quarter, a thin board loses its stiffness and warps: a choice, to be changed by option. */
export const DEEPEST_ENGRAVING = 0.25;

const MOST_SAMPLES = 4000;
const FEWEST_SAMPLES = 10;
/** Told by the depth that only this part of the places exceeds: single spots are told by other findings. */
const DEEPEST_SHARE = 0.05;
/** The remedy aims a little below the limit. */
const AIM = 0.9;

/**
 * `too-deep`: engraving deeper than the chosen part of the stock; a stop where it comes out at the back. One finding
 * per operation. Nothing without a thickness.
 */
export function findTooDeep(evidence: Evidence): Finding[] {
  const thicknessMm = evidence.stock?.thicknessMm ?? null;
  if (thicknessMm === null) return [];
  return evidence.operations
    .filter(({ rows }) => rows !== null)
    .flatMap((each) => {
      const deep = deepest(evidence, each);
      return deep && deep.depthMm > evidence.deepestEngraving * thicknessMm
        ? [finding(evidence, each, deep, thicknessMm)]
        : [];
    });
}

interface Deep {
  readonly depthMm: number;
  readonly cell: number;
  readonly move: number;
  /** The part of the places that is through. */
  readonly throughShare: number;
}

/** Looks at the middle of rows, evenly over the operation. */
function deepest(evidence: Evidence, { operation }: OperationEvidence): Deep | null {
  const { energies, dose, burn } = evidence;
  const { firstMove, lastMove } = operation;
  const stride = Math.max(1, Math.floor((lastMove - firstMove) / MOST_SAMPLES));
  const found: { depthMm: number; cell: number; move: number }[] = [];
  let through = 0;
  for (let at = firstMove; at <= lastMove; at += stride) {
    let i = at;
    while (i <= lastMove && i < at + stride && energies.nominalMmPerS[i] === 0) i++;
    if (i > lastMove || i === at + stride) continue;
    const cell = cellAt(dose.grid, ...middleOf(evidence, i));
    if (cell < 0) continue;
    if (burn.through?.[cell]) through++;
    found.push({ depthMm: burn.depthMm[cell]!, cell, move: i });
  }
  if (found.length < FEWEST_SAMPLES) return null;
  found.sort((a, b) => b.depthMm - a.depthMm);
  return { ...found[Math.floor(found.length * DEEPEST_SHARE)]!, throughShare: through / found.length };
}

function finding(
  evidence: Evidence,
  each: OperationEvidence,
  { depthMm, cell, move, throughShare }: Deep,
  thicknessMm: number,
): Finding {
  const { dose, wood, machine, deepestEngraving, program, energies } = evidence;
  const { operation, fullSpeedMmPerS, straightNeedTimes } = each;
  const { n, sMax } = operation;
  const there = dose.grid.data[cell]!;
  const dwellS = Math.exp(dose.doseLnDwell[cell]! / there);
  const span = { ...depthSpan(evidence, each, { doseJPerMm2: there, dwellS }), depthMm };
  const limitMm = deepestEngraving * thicknessMm;
  const wanted = wood.doseForDepth(AIM * limitMm, dwellS, headZMm(program, operation), straightNeedTimes);
  const less = Math.min(1, wanted / there);
  const faster = plainFeed(fullSpeedMmPerS / less);
  const power = Math.max(
    0.1,
    Math.floor((1000 * less * Math.min(sMax, machine.laser.s_max)) / machine.laser.s_max) / 10,
  );
  const bySpeed = comesUpTo(evidence, each, move, mmPerMinToMmPerS(faster));
  const change = bySpeed ? `speed ${faster}` : `power ${power}%`;
  const out = throughShare > 0;
  const { moves } = program;
  const [xMm, yMm] = middleOf(evidence, move);
  return {
    kind: 'too-deep',
    severity: out ? 'stop' : 'warning',
    line: moves.line[move]!,
    atMm: [round(xMm, 3), round(yMm, 3)],
    operation: n,
    message: out
      ? `The engraving burns through the board: ${numberWords(there, 2)} J/mm² reach deeper than its ${mmWords(thicknessMm)}.`
      : `The engraving goes ${depthSpanWords(span, 'mm deep')}, more than ${percentWords(deepestEngraving)} of the ` +
        `${mmWords(thicknessMm)} board: it weakens it and may warp it.`,
    remedy: bySpeed
      ? `Engrave at ${numberWords(faster, 4)} mm/min, which comes to about ${mmWords(AIM * limitMm)}.`
      : `Engrave with ${numberWords(power, 3)} % power, which comes to about ${mmWords(AIM * limitMm)}.`,
    measure: {
      depth_mm: round(depthMm),
      ...spanMeasure(span),
      limit_mm: round(limitMm),
      thickness_mm: thicknessMm,
      dose_j_mm2: round(there),
      wanted_j_mm2: round(wanted),
      through_share: round(throughShare),
      full_speed_mm_s: round(energies.nominalMmPerS[move]!),
    },
    advice: { operation: n, change: `${n}: ${change}` },
  };
}
