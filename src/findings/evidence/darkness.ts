import { depthSpanWords } from '../../sure/words.ts';
import { numberWords } from '../../words.ts';
import { manyTimes, round } from '../phrases.ts';
import { DARK, warmTimes } from './dark-places.ts';
import {
  depthSpan,
  doseOn,
  type Evidence,
  engravedMm,
  type OperationEvidence,
  spanMeasure,
} from './evidence.ts';
import { type Gathered, gatherPlaces, type Spotted } from './places.ts';
import { PLAINLY_DIFFERENT } from './visible-difference.ts';

/** Places that burn too dark, and those of them that go right through the board. */
export interface DarkPlaces {
  readonly all: Gathered;
  readonly throughCount: number;
}

/** Gathers dark places, and apart from them those that are through. */
export function gatherDarkPlaces(evidence: Evidence, each: OperationEvidence, apartMm: number) {
  const all = gatherPlaces(apartMm);
  const through = gatherPlaces(apartMm);
  const thicknessMm = evidence.stock?.thicknessMm ?? Infinity;
  return {
    /** @param at the place, and the line and the move it is told by. */
    add(darker: number, alongMm: number, at: Omit<Spotted, 'worse'>): void {
      const { xMm, yMm, move, times } = at;
      all.add(darker, alongMm, [xMm, yMm], at, times);
      const { doseJPerMm2, dwellS, needTimes } = doseOn(evidence, each, move, xMm, yMm);
      const deep = engravedMm(evidence, each, doseJPerMm2, dwellS, needTimes);
      if (deep >= thicknessMm) through.add(darker, alongMm, [xMm, yMm], at, times);
    },
    lift(): void {
      all.lift();
      through.lift();
    },
    finish(): DarkPlaces | null {
      const gathered = all.finish();
      const worstThrough = through.finish();
      // Where some go right through the board, the worst is one of them: others may be darker beside what lies about them.
      const worst = worstThrough?.worst ?? gathered?.worst;
      return gathered && { all: { ...gathered, worst: worst! }, throughCount: worstThrough?.count ?? 0 };
    },
  };
}

/** What dose and depth are at the worst of dark places, and what they would be; and the difference in words. */
export function darkness(evidence: Evidence, each: OperationEvidence, { all, throughCount }: DarkPlaces) {
  const { xMm, yMm, worse, move } = all.worst;
  const place = doseOn(evidence, each, move, xMm, yMm);
  const { doseJPerMm2: there, dwellS, needTimes } = place;
  const warm = warmTimes(evidence, each, place);
  const times = worse / warm;
  const usual = there / times;
  const depthMm = engravedMm(evidence, each, there, dwellS, needTimes);
  const usualDepthMm = engravedMm(evidence, each, usual, each.straightDwellS);
  // What others burned there lies in both.
  const line = each.straight.dosePerLineEnergy * evidence.energies.nominalJPerMm(all.worst.move);
  const ground = each.rows ? 0 : Math.max(0, usual - line);
  const looks =
    evidence.eye.lineDifference(
      there / needTimes,
      dwellS,
      usual / each.straightNeedTimes,
      each.straightDwellS,
      ground / each.straightNeedTimes,
    ) >= PLAINLY_DIFFERENT;
  const through = throughCount === 0 ? '' : `, ${throughCount} of them right through the board`;
  const deeper = depthMm - usualDepthMm >= TOLD_MM || throughCount > 0;
  const thereSpan = deeper ? depthSpan(evidence, each, place) : null;
  const usualSpan = () => depthSpan(evidence, each, { doseJPerMm2: usual, dwellS: each.straightDwellS });
  const depthWords =
    thereSpan &&
    `, ${depthSpanWords(thereSpan, 'mm deep')} instead of ${depthSpanWords(usualSpan())}${through}`;
  return {
    there,
    usual,
    times,
    /** `dark`, or where it is black all along and only deeper, `deep`. */
    word: looks ? 'dark' : 'deep',
    /** What the usual dose is, where more than the line makes it up. */
    besides: ground > ROUNDING * usual ? ' with what else burns there' : '',
    depthWords: `${depthWords ?? ''}${warmWords(times, warm)}`,
    measure: {
      times_straight: round(times, 3),
      dose_j_mm2: round(there),
      straight_j_mm2: round(usual),
      depth_mm: round(depthMm),
      ...(thereSpan ? spanMeasure(thereSpan) : {}),
      straight_depth_mm: round(usualDepthMm),
      through_count: throughCount,
      warm_times: round(warm),
    },
  };
}

/** Heat that stays adds to what the head's braking does where a dose counts for so much more than usual. */
const WARM = 1.15;

/**
 * Which of two causes darkens: the dose is told anyway, warmth where it counts, or where the dose alone would not do; but
 * not where it is no more than along the straight line.
 */
const warmWords = (times: number, warm: number): string =>
  warm <= 1.0005 || (warm < WARM && times >= DARK)
    ? ''
    : `, on wood still so warm that it counts as ${numberWords(warm, 3)} times as much: ${manyTimes(times * warm)} in all`;

/** Less is the rounding of a quotient. */
const ROUNDING = 1e-6;

/** A difference in depth worth a word. */
const TOLD_MM = 0.1;
