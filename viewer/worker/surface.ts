import type { Burn } from '../../src/burn/burn.ts';
import type { Grid, GridFrame } from '../../src/grid.ts';
import { doseCode } from './dose-code.ts';
import { halvable } from './halvings.ts';

/**
 * What the wood's surface comes to, four bytes a texel: tone, depth / `deepestMm`, share of it that has a dose
 * worth showing, and dose on a logarithmic scale, times that share: so that a thin line seen from afar, averaged
 * with the bare wood beside it, still knows its own dose. One texture holds all that the stage's shader draws
 * from.
 */
export interface Surface {
  readonly frame: GridFrame;
  readonly rgba: Uint8Array;
  /** The deepest it is burned anywhere, mm. */
  readonly deepestMm: number;
  /** The greatest dose, for legends. */
  readonly topDoseJPerMm2: number;
}

/** Fainter doses than this are not shown in maps, J/mm². */
export const SHOWN_FROM_J_PER_MM2 = 0.03;

/** A scale of depth spans at least this, mm. */
const LEAST_DEPTH_MM = 0.1;

/** Packs a burn; where it has more than `most` cells, squares of cells are averaged. */
export function surfaceOf(burn: Burn, dose: Grid, most: number): Surface {
  const { nx, ny, cellMm, x0Mm, y0Mm } = burn.frame;
  let times = 1;
  while (Math.ceil(nx / times) * Math.ceil(ny / times) > most || Math.max(nx, ny) / times > 8192) times++;
  const w = halvable(nx / times);
  const h = halvable(ny / times);
  let deepest = 0;
  let topDose = 0;
  for (let k = 0; k < dose.data.length; k++) {
    if (burn.depthMm[k]! > deepest) deepest = burn.depthMm[k]!;
    if (dose.data[k]! > topDose) topDose = dose.data[k]!;
  }
  const deepestMm = Math.max(LEAST_DEPTH_MM, deepest);
  const rgba = new Uint8Array(4 * w * h);
  for (let j = 0, to = 0; j < h; j++) {
    const jEnd = Math.min(ny, (j + 1) * times);
    for (let i = 0; i < w; i++, to += 4) {
      let tone = 0;
      let depth = 0;
      let touched = 0;
      let code = 0;
      let energy = 0;
      let count = 0;
      const iEnd = Math.min(nx, (i + 1) * times);
      for (let jj = j * times; jj < jEnd; jj++) {
        for (let ii = i * times; ii < iEnd; ii++, count++) {
          const k = jj * nx + ii;
          tone += burn.tone[k]!;
          depth += burn.depthMm[k]!;
          energy += dose.data[k]!;
          if (dose.data[k]! < SHOWN_FROM_J_PER_MM2) continue;
          touched++;
          code += doseCode(dose.data[k]!);
        }
      }
      if (energy === 0) continue;
      rgba[to] = Math.round((255 * tone) / count);
      rgba[to + 1] = Math.round((255 * Math.min(deepestMm, depth / count)) / deepestMm);
      rgba[to + 2] = Math.round((255 * touched) / count);
      rgba[to + 3] = Math.round((255 * code) / count);
    }
  }
  const frame = { nx: w, ny: h, x0Mm, y0Mm, cellMm: cellMm * times };
  return { frame, rgba, deepestMm, topDoseJPerMm2: topDose };
}
