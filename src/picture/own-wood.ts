import type { BoardFace } from '../own-board/own-board.ts';
import { crossingsAt } from '../polygon.ts';
import type { View } from './view.ts';

/** The bed beside a board, as quiet as the paper around it. */
const BESIDE = [221, 215, 203] as const;
/** A burn beside the board is shown, but no more than that. */
const BURNED_BESIDE = 0.45;

/**
 * Paints a burn on the photo of a board: a tone darkens the wood that is there by as much as it darkens that of the table,
 * and full char has no colour but its own.
 * @param table colours by tone, R, G, B each, the first bare.
 */
export function paintOwnWood(
  data: Uint8ClampedArray,
  tone: Float32Array,
  view: View,
  table: Float32Array,
  face: BoardFace,
): void {
  const { widthPx, heightPx, pxPerMm, leftMm, bottomMm } = view;
  const top = table.length / 3 - 1;
  const colour = new Float64Array(3);
  for (let row = 0, k = 0, to = 0; row < heightPx; row++) {
    const yMm = bottomMm + (heightPx - row - 0.5) / pxPerMm;
    const crossings = crossingsAt(face.outline, yMm);
    let passed = 0;
    for (let column = 0; column < widthPx; column++, k++, to += 4) {
      const xMm = leftMm + (column + 0.5) / pxPerMm;
      while (passed < crossings.length && crossings[passed]! <= xMm) passed++;
      const t = Math.min(1, Math.max(0, tone[k]!));
      const isWood = passed % 2 === 1;
      if (isWood) colourAt(face, xMm, yMm, colour);
      const from = Math.round(t * top) * 3;
      for (let c = 0; c < 3; c++) {
        const burned = isWood
          ? (1 - t * t) * colour[c]! * (table[from + c]! / table[c]!) + t * t * table[from + c]!
          : BESIDE[c]! * (1 - BURNED_BESIDE * t);
        data[to + c] = burned;
      }
      data[to + 3] = 255;
    }
  }
}

/** The photo's colour at a place, by straight lines between its pixels. */
function colourAt(
  { x0Mm, y0Mm, stepMm, nx, ny, rgb }: BoardFace,
  xMm: number,
  yMm: number,
  colour: Float64Array,
): void {
  const x = Math.min(nx - 1, Math.max(0, (xMm - x0Mm) / stepMm - 0.5));
  const y = Math.min(ny - 1, Math.max(0, (yMm - y0Mm) / stepMm - 0.5));
  const [i, j] = [Math.min(nx - 2, Math.floor(x)), Math.min(ny - 2, Math.floor(y))];
  const [fx, fy] = [x - i, y - j];
  for (let c = 0; c < 3; c++) {
    const at = 3 * (j * nx + i) + c;
    const low = (1 - fx) * rgb[at]! + fx * rgb[at + 3]!;
    const high = (1 - fx) * rgb[at + 3 * nx]! + fx * rgb[at + 3 * nx + 3]!;
    colour[c] = (1 - fy) * low + fy * high;
  }
}
