import type { Forecast } from '../forecast.ts';
import type { BoardFace } from '../own-board/own-board.ts';
import type { Picture } from './picture.ts';
import { tonePathOf } from './tone.ts';
import { woodRaster } from './wood.ts';

/** How large a close-up is, px. */
export const CLOSE_UP_PX = { width: 320, height: 200 } as const;
/** How much of the board a close-up shows across, mm. */
export const CLOSE_UP_ACROSS_MM = 9;

/** A close-up of a place, cut from the burn picture. */
export function closeUpAt(
  [xMm, yMm]: readonly [number, number],
  { burn, material }: Pick<Forecast, 'burn' | 'material'>,
  face: BoardFace | null = null,
): Picture {
  const { width, height } = CLOSE_UP_PX;
  const pxPerMm = width / CLOSE_UP_ACROSS_MM;
  const view = {
    leftMm: xMm - CLOSE_UP_ACROSS_MM / 2,
    bottomMm: yMm - height / pxPerMm / 2,
    pxPerMm,
    widthPx: width,
    heightPx: height,
  };
  return woodRaster(burn, view, tonePathOf(material), 1, face);
}

/** A close-up of the place of each finding, in their order; null where it has no place. */
export const closeUpsOf = (
  forecast: Pick<Forecast, 'burn' | 'findings' | 'material'>,
  face: BoardFace | null = null,
): (Picture | null)[] => forecast.findings.map(({ atMm }) => atMm && closeUpAt(atMm, forecast, face));
