import { guessNote } from '../../burn/guesses.ts';
import { doseAcross } from '../../burn/ripple.ts';
import { seenAsArea } from '../../burn/seen-area.ts';
import { askedOnce } from '../../lately.ts';
import { headZMm } from '../../program/operations.ts';
import { leftBySwatch, type Shares, sharesOf, type Unsure } from '../../sure/contributions.ts';
import type { Engraved, EngravedPlace } from '../../sure/engraved.ts';
import { depthRangeWords, OF_LINES, shadeRangeWords } from '../../sure/words.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';
import { litSamples } from './lit-samples.ts';
import { middleSpeed } from './middle-speed.ts';
import { besideSentence, partBesideSentence, shareBeside } from './on-board.ts';
import { isOfLines } from './row-lines.ts';
import { dwellUnderSpotS } from './spot-widths.ts';
import { isMostlySlow } from './survey.ts';

/** What becomes of an operation that is not meant to cut, on its straight parts, and how sure that is. */
export interface EngravingForecast extends Engraved {
  readonly operation: number;
  /** The part of its path that lies beside the board, 0 … 1; all else here is told of wood beneath it. */
  readonly besideShare: number;
  /** Whether its S varies: then this is the middle of its shades, half its lit length being darker. */
  readonly hasShades: boolean;
  /** Whether it is lines side by side, too far apart to be seen as one area: this is what they come out as, not the area. */
  readonly isOfLines: boolean;
  /** Whether what is not known of the wood is partly a guess, which a swatch would narrow. */
  readonly isGuess: boolean;
  /** Which inputs make up what is not known of the tone, by shares of its variance, the greatest first. */
  readonly because: Shares;
  /** The part of the tone's range that a burned swatch would leave. */
  readonly leftBySwatch: number;
}

/** … of every operation that burns and is no cut; cuts are known to the evidence by then. */
export function engravingForecasts(evidence: Evidence, cuts: ReadonlySet<number>): EngravingForecast[] {
  const isGuess = guessNote(evidence.material) !== null;
  // Places that are alike share what is unsure of them.
  const inShares = askedOnce((unsure: Unsure) => ({
    because: sharesOf(unsure),
    leftBySwatch: leftBySwatch(unsure),
  }));
  return evidence.operations
    .filter(({ operation: { n }, straightJPerMm2 }) => straightJPerMm2 > 0 && !cuts.has(n))
    .map((each) => {
      const { n, sMin, sMax } = each.operation;
      const hasShades = sMin !== sMax;
      const place = engravedPlace(evidence, each);
      return {
        operation: n,
        besideShare: shareBeside(evidence, evidence.isBeside, each.operation),
        hasShades,
        isOfLines: isOfLines(evidence.program, each.operation, each.rows, evidence.machine.spot),
        isGuess,
        ...evidence.sureness.engraved(place),
        ...inShares(evidence.sureness.toneUnsure(place)),
      };
    });
}

/**
 * The place by which an operation is told: on its long straight parts, of shades the middle one; where its head hardly ever
 * comes up to speed there are none, and the place stands for them that half of its way is slower than.
 */
export function engravedPlace(evidence: Evidence, each: OperationEvidence): EngravedPlace {
  const { machine, program, survey } = evidence;
  const { operation, rows, overSeen, straightDwellS, straightNeedTimes, straightFirings } = each;
  const hasShades = operation.sMin !== operation.sMax;
  const atFullSpeedJPerMm2 = hasShades ? middleDose(evidence, each) : each.straightJPerMm2;
  const zMm = headZMm(program, operation);
  const slow = isMostlySlow(survey, operation.n) ? middleSpeed(evidence, operation) : null;
  const readJPerMm2 = (slow?.timesFull ?? 1) * atFullSpeedJPerMm2;
  const dwellS = slow ? dwellUnderSpotS(machine.spot, slow.mmPerS, zMm) : straightDwellS;
  const across = doseAcross(machine.spot, rows, zMm);
  const dose =
    across && each.straight.crest !== null
      ? seenAsArea(across, readJPerMm2 / each.straight.crest / straightNeedTimes, {
          dwellS,
          material: evidence.material,
          wavelengthNm: machine.laser.wavelength_nm,
        })
      : { doseJPerMm2: readJPerMm2 / overSeen / straightNeedTimes, deepTimes: 1 };
  return {
    doseJPerMm2: dose.doseJPerMm2 * straightNeedTimes,
    deepTimes: dose.deepTimes,
    dwellS,
    headZMm: zMm,
    needTimes: straightNeedTimes,
    firings: straightFirings,
    isFilled: across !== null,
  };
}

/** The dose that half of the lit length gets more than, J/mm². */
function middleDose(evidence: Evidence, each: OperationEvidence): number {
  const samples = litSamples(evidence, each).sort((a, b) => a.fullJPerMm2 - b.fullJPerMm2);
  const half = samples.reduce((sum, { mm }) => sum + mm, 0) / 2;
  let sum = 0;
  for (const { mm, fullJPerMm2 } of samples) if ((sum += mm) >= half) return fullJPerMm2;
  return each.straightJPerMm2;
}

/** *Operation 1 comes out brown, between tan and dark brown until a swatch narrows it; 0.08 mm deep, 0 to 0.2 mm.* */
export function engravingSentence(engraving: EngravingForecast): string {
  const { operation, hasShades, isOfLines: lines, isGuess: guess, besideShare } = engraving;
  if (besideShare === 1) return besideSentence(operation);
  const comes = hasShades ? 'comes out in shades, the middle one' : 'comes out';
  const beside = besideShare > 0 ? ` ${partBesideSentence(besideShare)}` : '';
  return `Operation ${operation} ${comes} ${shadeRangeWords(engraving, guess)}${lines ? OF_LINES : ''}${depthRangeWords(engraving)}.${beside}`;
}
