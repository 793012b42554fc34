import type { Picture } from '../../src/picture/picture.ts';

/** A picture as a canvas takes it. */
export const imageOf = ({ width, height, data }: Picture): ImageData =>
  new ImageData(data as Uint8ClampedArray<ArrayBuffer>, width, height);

/** Draws a picture on a canvas, which takes its size. */
export function drawOn(canvas: HTMLCanvasElement, picture: Picture): void {
  canvas.width = picture.width;
  canvas.height = picture.height;
  canvas.getContext('2d')!.putImageData(imageOf(picture), 0, 0);
}
