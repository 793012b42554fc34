import type { SpeedPower } from '../burn/speed-power.ts';
import type { ComesThrough, Sureness } from './come-through.ts';
import type { Engraved } from './engraved.ts';
import type { LeastPlace } from './place.ts';

/** The middle of a long line, or the deepest lines of an area of rows, as chances are asked of it. */
export function placeAt(answers: SpeedPower, speedMmPerS: number, watts: number): LeastPlace {
  const { passes, headZMm = 0 } = answers.work;
  const outcome = answers.outcome(speedMmPerS, watts);
  const { dwellS, needTimes, firings } = outcome;
  const doseJPerMm2 = outcome.seenJPerMm2 * outcome.deepTimes;
  return {
    doseJPerMm2,
    dwellS,
    headZMm,
    passes,
    perPassJPerMm2: doseJPerMm2 / passes,
    needTimes,
    firings,
    isFilled: answers.isArea,
  };
}

/** What becomes of a setting that is not meant to cut, and between what on such boards. */
export const engravedAt = (
  answers: SpeedPower,
  sureness: Sureness,
  speedMmPerS: number,
  watts: number,
): Engraved => {
  const { isArea: isFilled, work } = answers;
  const outcome = answers.outcome(speedMmPerS, watts);
  const { seenJPerMm2: doseJPerMm2, deepTimes, dwellS, needTimes, firings } = outcome;
  const { headZMm = 0 } = work;
  return sureness.engraved({ doseJPerMm2, deepTimes, dwellS, headZMm, needTimes, firings, isFilled });
};

/** How sure a setting is to cut through; null where the thickness is not known. */
export const comesThroughAt = (
  answers: SpeedPower,
  sureness: Sureness,
  speedMmPerS: number,
  watts: number,
): ComesThrough | null =>
  answers.work.thicknessMm === null ? null : sureness.comesThrough(placeAt(answers, speedMmPerS, watts));

/**
 * The fastest speed that cuts through for sure, mm/s; 0 where none does, or the thickness is not known.
 * @param nearMmPerS a speed not far from it, where one is known: then it is sooner found.
 */
export function fastestForSure(
  answers: SpeedPower,
  sureness: Sureness,
  watts: number,
  nearMmPerS = 1,
): number {
  const { thicknessMm, passes } = answers.work;
  if (thicknessMm === null || !(watts > 0)) return 0;
  let near = nearMmPerS;
  const askedFor = (needTimes: number): number => {
    const asked = near * sureness.speedForSure({ ...placeAt(answers, near, watts), needTimes }, passes);
    if (asked > 0 && asked < Infinity) near = asked;
    return asked;
  };
  // How warm rows leave the wood hangs on their speed: the need that is supposed and the one that is met there become
  // one by the secant.
  const met = (speedMmPerS: number): number => answers.outcome(speedMmPerS, watts).needTimes;
  let supposed = met(nearMmPerS);
  let speed = askedFor(supposed);
  let off = met(speed) - supposed;
  let slope = -1;
  for (let k = 0; k < MOST_STEPS && speed > 0 && speed < Infinity && Math.abs(off) > AGREED; k++) {
    const next = supposed - off / slope;
    speed = askedFor(next);
    const offNext = met(speed) - next;
    slope = Math.min(FLATTEST, (offNext - off) / (next - supposed));
    supposed = next;
    off = offNext;
  }
  return speed;
}

/** Steps in which a speed and the need it meets agree, to so small a part; lines need none. */
const MOST_STEPS = 8;
const AGREED = 0.003;
/** How steeply what is met may leave what is supposed, at least. */
const FLATTEST = -0.25;
