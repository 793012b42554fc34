import type { Stock } from '../board.ts';
import type { Operation } from '../program/program.ts';
import type { EngravingForecast } from './evidence/engravings.ts';

/** From this depth on an outline could be meant to cut: a tenth of the thinnest board of 1 mm, mm. */
const COULD_CUT_FROM_MM = 0.1;

/** What of a forecast tells whether cuts were left unjudged. */
export interface Judged {
  readonly stock: Stock | null;
  readonly operations: readonly { readonly operation: Pick<Operation, 'n' | 'kind' | 'intent'> }[];
  readonly engravings: readonly Pick<EngravingForecast, 'operation' | 'depthHighMm'>[];
}

/**
 * What was not judged and what to give so that it is, for the head of what is told of a job: as long as nobody said how
 * thick the board is, an outline that could be meant to cut is looked at as an engraving, and no finding says so.
 *
 * @returns one sentence; null where all was judged, or nothing goes deep enough to be meant to cut.
 */
export function notJudged({ stock, operations, engravings }: Judged): string | null {
  if ((stock?.thicknessMm ?? null) !== null) return null;
  const depthMm = new Map(engravings.map((each) => [each.operation, each.depthHighMm]));
  const couldCut = operations.some(
    ({ operation: { n, kind, intent } }) =>
      kind === 'outline' &&
      intent !== 'engrave' &&
      (intent === 'cut' || (depthMm.get(n) ?? 0) >= COULD_CUT_FROM_MM),
  );
  return couldCut
    ? 'Cutting through and the order of cuts were not judged, as the board’s thickness is not known: say how thick it is.'
    : null;
}
