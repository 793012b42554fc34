import type { Forecast } from '../forecast.ts';
import type { BoardFace } from '../own-board/own-board.ts';
import type { Picture } from './picture.ts';
import { tonePathOf } from './tone.ts';
import { woodRaster } from './wood.ts';

const WIDTH_PX = 320;
const HEIGHT_PX = 200;
/** How much of the board a close-up shows across, mm. */
export const CLOSE_UP_ACROSS_MM = 9;

/** A close-up of the place of each finding, in their order, cut from the burn picture; null where it has no place. */
export function closeUpsOf(
  { burn, findings, material }: Pick<Forecast, 'burn' | 'findings' | 'material'>,
  face: BoardFace | null = null,
): (Picture | null)[] {
  const path = tonePathOf(material);
  const pxPerMm = WIDTH_PX / CLOSE_UP_ACROSS_MM;
  return findings.map(({ atMm }) => {
    if (atMm === null) return null;
    const view = {
      leftMm: atMm[0] - CLOSE_UP_ACROSS_MM / 2,
      bottomMm: atMm[1] - HEIGHT_PX / pxPerMm / 2,
      pxPerMm,
      widthPx: WIDTH_PX,
      heightPx: HEIGHT_PX,
    };
    return woodRaster(burn, view, path, 1, face);
  });
}
