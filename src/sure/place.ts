import type { Stock } from '../board.ts';

/** The place of a cut that gets least of what it needs, and what another pass would bring it. */
export interface LeastPlace {
  /** Dose of all passes, J/mm²; dwell, s; height of the head while it burned, mm. */
  readonly doseJPerMm2: number;
  readonly dwellS: number;
  readonly headZMm: number;
  readonly passes: number;
  /** What one pass adds to the dose, J/mm². */
  readonly perPassJPerMm2: number;
  /** How many times the need of one cool firing all of them have (`burn/firing.ts`). */
  readonly needTimes: number;
  /** Whether firings count: each further pass then asks for more. */
  readonly firingsCount: boolean;
  /** Whether rows fill an area there, whose mean dose no spot's width changes; default no: a line. */
  readonly isFilled?: boolean;
}

/** What decides besides machine and wood. */
export type Thickness = Pick<Stock, 'thicknessMm' | 'thicknessPlusMinusMm'>;
