import type { Forecast } from '../../src/forecast.ts';
import { forecastPage } from '../../src/page/forecast-page.ts';
import { closeUpsOf } from '../../src/picture/close-ups.ts';
import { burnPictureOf, dosePictureOf } from '../../src/picture/of-forecast.ts';
import { shownFace } from '../state/face.ts';
import { dataUriOf, pngOf, withDrawings } from '../words/draw-pictures.ts';

const burnOf = (made: Forecast, title: string) =>
  withDrawings((draw) => burnPictureOf(made, title, draw, shownFace.peek()));
const doseOf = (made: Forecast, title: string) => withDrawings((draw) => dosePictureOf(made, title, draw));

export const burnPng = async (made: Forecast, title: string): Promise<Blob> =>
  pngOf(await burnOf(made, title));
export const dosePng = async (made: Forecast, title: string): Promise<Blob> =>
  pngOf(await doseOf(made, title));

/** The report as one page, as `--html` writes it. */
export async function reportHtml(made: Forecast, title: string): Promise<Blob> {
  const [burn, dose] = [
    await dataUriOf(await burnOf(made, title)),
    await dataUriOf(await doseOf(made, title)),
  ];
  const pictures = await Promise.all(closeUpsOf(made).map((picture) => picture && dataUriOf(picture)));
  const html = forecastPage(made, title, { burn, dose, closeUps: pictures });
  return new Blob([html], { type: 'text/html' });
}
