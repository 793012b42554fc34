import { fitPicture } from '../../src/picture/fit-picture.ts';
import type { SwatchFit } from '../../src/swatch/fit/fit.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { pngOf, withDrawings } from '../words/draw-pictures.ts';

/** What a burned swatch told, as a PNG file. @param about the photos' names. */
export const fitPng = async (fit: SwatchFit, swatch: Swatch, about: string): Promise<Blob> =>
  pngOf(await withDrawings((draw) => fitPicture(fit, swatch, about, draw)));
