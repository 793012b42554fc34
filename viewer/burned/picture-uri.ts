import type { Picture } from '../../src/picture/picture.ts';
import { drawOn } from '../words/draw-on.ts';

/** A small picture as a data URI, JPEG: a few kilobytes. */
export function pictureUri(picture: Picture): string {
  const canvas = document.createElement('canvas');
  drawOn(canvas, picture);
  return canvas.toDataURL('image/jpeg', 0.72);
}
