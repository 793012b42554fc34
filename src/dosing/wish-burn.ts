import type { Burn } from '../burn/burn.ts';
import type { Material } from '../burn/material.ts';
import { type Bounds, type GridFrame, holdsPoint } from '../grid.ts';
import type { Moves } from '../program/program.ts';
import { burnedBounds, stripsBounds } from './laid-picture.ts';
import type { TrueTones } from './true-tones.ts';
import { lightnessOf } from './wish.ts';

/**
 * What was wished, as if it had been burned: the tones that the rows were meant to get, all else as it is. Where their
 * beam was off the wood stays bare.
 * @param burn of the job with its tones set; its maps are not written into.
 */
export function wishBurn(
  { changed: { program }, strips: { wishedL, widthMm }, operations }: TrueTones,
  burn: Burn,
  material: Material,
): Burn {
  const { moves } = program;
  const { toneOfL, bareL } = lightnessOf(material);
  const tone = burn.tone.slice();
  const depthMm = burn.depthMm.slice();
  for (const n of operations) {
    const operation = program.operations.find((each) => each.n === n)!;
    const { firstMove, lastMove } = operation;
    const rowMm = widthMm.subarray(firstMove, lastMove + 1).reduce((most, each) => Math.max(most, each), 0);
    const paint = (k: number, l: number) =>
      cellsOf(burn.frame, moves, k, rowMm, (cell) => {
        tone[cell] = toneOfL(l);
        depthMm[cell] = 0;
      });
    const picture = burnedBounds(moves, [operation], rowMm);
    // First what stays bare, so that nothing of it covers what is burned.
    for (let k = firstMove; k <= lastMove; k++)
      if (Number.isNaN(wishedL[k]!) && moves.rapid[k] === 0 && holdsPoint(picture, ...middleOf(moves, k)))
        paint(k, bareL);
    for (let k = firstMove; k <= lastMove; k++) if (!Number.isNaN(wishedL[k]!)) paint(k, wishedL[k]!);
  }
  return { ...burn, tone, depthMm };
}

/** Where the rows lie that were meant so. */
export const wishBounds = ({ changed, strips, operations }: TrueTones): Bounds =>
  stripsBounds(changed.program, operations, strips.widthMm);

const middleOf = ({ xMm, yMm }: Moves, k: number): [number, number] => [
  ((xMm[k - 1] ?? 0) + xMm[k]!) / 2,
  ((yMm[k - 1] ?? 0) + yMm[k]!) / 2,
];

/** Visits the cells whose middles lie within half of `widthMm` of move k, between its ends. */
function cellsOf(
  { x0Mm, y0Mm, cellMm, nx, ny }: GridFrame,
  { xMm, yMm }: Moves,
  k: number,
  widthMm: number,
  visit: (cell: number) => void,
): void {
  const fromX = k > 0 ? xMm[k - 1]! : 0;
  const fromY = k > 0 ? yMm[k - 1]! : 0;
  const [dx, dy] = [xMm[k]! - fromX, yMm[k]! - fromY];
  const length = Math.hypot(dx, dy);
  if (length === 0) return;
  const half = widthMm / 2 + cellMm / 4; // rows next to each other leave no cell out
  const span = (from: number, to: number, origin: number, count: number) => [
    Math.max(0, Math.floor((Math.min(from, to) - half - origin) / cellMm)),
    Math.min(count - 1, Math.ceil((Math.max(from, to) + half - origin) / cellMm)),
  ];
  const [firstI, lastI] = span(fromX, xMm[k]!, x0Mm, nx) as [number, number];
  const [firstJ, lastJ] = span(fromY, yMm[k]!, y0Mm, ny) as [number, number];
  for (let j = firstJ; j <= lastJ; j++) {
    const y = y0Mm + (j + 0.5) * cellMm - fromY;
    for (let i = firstI; i <= lastI; i++) {
      const x = x0Mm + (i + 0.5) * cellMm - fromX;
      const along = (x * dx + y * dy) / length;
      const aside = (y * dx - x * dy) / length;
      if (along >= 0 && along <= length && Math.abs(aside) <= half) visit(j * nx + i);
    }
  }
}
