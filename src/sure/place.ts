import type { Stock } from '../board.ts';
import type { Fired } from '../burn/firing.ts';

/**
 * The place of a cut that gets least of what it needs, and what another pass would bring it. Where firings are followed, each
 * further pass asks for more.
 */
export interface LeastPlace extends Fired {
  /** Dose of all passes, J/mm²; dwell, s; height of the head while it burned, mm. */
  readonly doseJPerMm2: number;
  readonly dwellS: number;
  readonly headZMm: number;
  readonly passes: number;
  /** What one pass adds to the dose, J/mm². */
  readonly perPassJPerMm2: number;
  /** Whether rows fill an area there, whose mean dose no spot's width changes; default no: a line. */
  readonly isFilled?: boolean;
}

/** What decides besides machine and wood. */
export type Thickness = Pick<Stock, 'thicknessMm' | 'thicknessPlusMinusMm'>;
