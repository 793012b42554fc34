import type { Forecast } from '../../src/forecast.ts';
import type { Picture } from '../../src/picture/picture.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { woodRaster } from '../../src/picture/wood.ts';

const WIDTH_PX = 320;
const HEIGHT_PX = 200;
/** How much of the board a close-up shows across, mm. */
const ACROSS_MM = 9;

/** A close-up of the place of each finding, cut from the burn picture; null where it has no place. */
export function closeUpsOf(made: Forecast): (Picture | null)[] {
  const path = tonePathOf(made.material);
  const pxPerMm = WIDTH_PX / ACROSS_MM;
  return made.findings.map(({ atMm }) => {
    if (atMm === null) return null;
    const view = {
      leftMm: atMm[0] - ACROSS_MM / 2,
      bottomMm: atMm[1] - HEIGHT_PX / pxPerMm / 2,
      pxPerMm,
      widthPx: WIDTH_PX,
      heightPx: HEIGHT_PX,
    };
    return woodRaster(made.burn, view, path);
  });
}
