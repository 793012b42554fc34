import type { Forecast } from '../../src/forecast.ts';
import type { BoardFace } from '../../src/own-board/own-board.ts';
import { forecastPage } from '../../src/page/forecast-page.ts';
import { closeUpsOf } from '../../src/picture/close-ups.ts';
import { burnPictureOf, dosePictureOf } from '../../src/picture/of-forecast.ts';
import type { DrawSvg, Picture } from '../../src/picture/picture.ts';
import { shownFace } from '../state/face.ts';
import { dataUriOf, pngOf, withDrawings } from '../words/draw-pictures.ts';

/** A picture of a forecast, drawn once for itself and for the report. */
function drawnOnce(paint: (made: Forecast, title: string, draw: DrawSvg, face: BoardFace | null) => Picture) {
  const known = new WeakMap<Forecast, { title: string; face: BoardFace | null; png: Blob }>();
  return async (made: Forecast, title: string): Promise<Blob> => {
    const face = shownFace.peek();
    const before = known.get(made);
    if (before?.title === title && before.face === face) return before.png;
    const png = await pngOf(await withDrawings((draw) => paint(made, title, draw, face)));
    known.set(made, { title, face, png });
    return png;
  };
}

export const burnPng = drawnOnce(burnPictureOf);
export const dosePng = drawnOnce(dosePictureOf);

/** The report as one page, as `--html` writes it. */
export async function reportHtml(made: Forecast, title: string): Promise<Blob> {
  const [burn, dose] = [
    await dataUriOf(await burnPng(made, title)),
    await dataUriOf(await dosePng(made, title)),
  ];
  const closeUps = await Promise.all(
    closeUpsOf(made).map(async (picture) => picture && dataUriOf(await pngOf(picture))),
  );
  const html = forecastPage(made, title, { burn, dose, closeUps });
  return new Blob([html], { type: 'text/html' });
}
