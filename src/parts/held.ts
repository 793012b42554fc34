import { eachPiece, pathAnswerOf, pieceDepthMm } from '../findings/evidence/cut-path.ts';
import { findLoops, isInside, type Loop } from '../findings/evidence/loops.ts';
import type { Forecast } from '../forecast.ts';

/** A closed outline that is meant to be cut and does not come free. */
export interface HeldOutline {
  readonly operation: number;
  readonly loop: Loop;
  readonly lengthMm: number;
  /** So much of its length still holds. */
  readonly heldMm: number;
  /** How deep it goes there where it is shallowest, mm. */
  readonly shallowestMm: number;
  /** Where: points along the path, x and y in mm by turns, one list for each stretch. */
  readonly stretches: readonly Float64Array[];
}

/** The outlines that still hold somewhere, in the order burned; none where no cut was looked for. */
export function heldOutlines(forecast: Forecast): HeldOutline[] {
  const { program, motion, stock, lines, cuts } = forecast;
  const answer = pathAnswerOf(forecast);
  const thicknessMm = stock?.thicknessMm ?? 0;
  const { xMm, yMm } = lines.places;
  return cuts
    .filter(({ through }) => !through)
    .flatMap((cut) => {
      const operation = program.operations.find(({ n }) => n === cut.operation)!;
      return findLoops(program, operation, motion.lengthMm).map((loop) => {
        const held = { lengthMm: 0, heldMm: 0, shallowestMm: thicknessMm };
        const stretches: number[][] = [];
        let endedAt = -1;
        eachPiece(answer, thicknessMm, loop.firstMove, loop.lastMove, (piece) => {
          held.lengthMm += piece.lengthMm;
          if (piece.best.margin >= 0) return;
          held.heldMm += piece.lengthMm;
          held.shallowestMm = Math.min(held.shallowestMm, pieceDepthMm(answer, piece, thicknessMm));
          if (piece.from !== endedAt) stretches.push([xMm[piece.from]!, yMm[piece.from]!]);
          for (let k = piece.from + 1; k <= piece.to; k++) stretches.at(-1)!.push(xMm[k]!, yMm[k]!);
          endedAt = piece.to;
        });
        return { operation: cut.operation, loop, ...held, stretches: stretches.map(asPoints) };
      });
    })
    .filter(({ heldMm }) => heldMm > 0);
}

const asPoints = (points: readonly number[]): Float64Array => Float64Array.from(points);

/** The innermost of the outlines around a place; null: none is. */
export function heldAround(
  { program }: Pick<Forecast, 'program'>,
  outlines: readonly HeldOutline[],
  xMm: number,
  yMm: number,
): HeldOutline | null {
  let innermost: HeldOutline | null = null;
  for (const outline of outlines)
    if (isInside(program, outline.loop, xMm, yMm, 0) && (!innermost || isWithin(outline, innermost)))
      innermost = outline;
  return innermost;
}

const isWithin = ({ loop: a }: HeldOutline, { loop: b }: HeldOutline): boolean =>
  a.maxXMm - a.minXMm < b.maxXMm - b.minXMm;
