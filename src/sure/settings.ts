import type { SpeedPower } from '../burn/speed-power.ts';
import type { ComesThrough, Sureness } from './come-through.ts';
import type { Engraved } from './engraved.ts';
import type { LeastPlace } from './place.ts';

/** The middle of a long line, or of a filled area, as chances are asked of it. */
export function placeAt(answers: SpeedPower, speedMmPerS: number, watts: number): LeastPlace {
  const { use, passes, headZMm = 0 } = answers.work;
  const { doseJPerMm2, dwellS, needTimes } = answers.outcome(speedMmPerS, watts);
  return {
    doseJPerMm2,
    dwellS,
    headZMm,
    passes,
    perPassJPerMm2: doseJPerMm2 / passes,
    needTimes,
    firingsCount: false,
    isFilled: use.kind === 'rows',
  };
}

/** What becomes of a setting that is not meant to cut, and between what on such boards. */
export const engravedAt = (
  answers: SpeedPower,
  sureness: Sureness,
  speedMmPerS: number,
  watts: number,
): Engraved => {
  const { doseJPerMm2, dwellS, headZMm, needTimes, isFilled = false } = placeAt(answers, speedMmPerS, watts);
  return sureness.engraved({ doseJPerMm2, dwellS, headZMm, needTimes, isFilled });
};

/** How sure a setting is to cut through; null where the thickness is not known. */
export const comesThroughAt = (
  answers: SpeedPower,
  sureness: Sureness,
  speedMmPerS: number,
  watts: number,
): ComesThrough | null =>
  answers.work.thicknessMm === null ? null : sureness.comesThrough(placeAt(answers, speedMmPerS, watts));

/** The fastest speed that cuts through for sure, mm/s; 0 where none does, or the thickness is not known. */
export function fastestForSure(answers: SpeedPower, sureness: Sureness, watts: number): number {
  const { thicknessMm, passes } = answers.work;
  if (thicknessMm === null || !(watts > 0)) return 0;
  return sureness.speedForSure(placeAt(answers, 1, watts), passes);
}
