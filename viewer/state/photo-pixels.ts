import { InputError } from '../../src/errors.ts';
import type { Photo } from '../../src/photo/photo.ts';

/** More than this does not fit a page's memory; a photo with more is made smaller as it is decoded. */
const MOST_PIXELS = 24e6;

export interface DecodedPhoto extends Photo {
  /** The same as the browser holds it, to be shown. */
  readonly bitmap: ImageBitmap;
}

/**
 * A photo as the browser decodes it: turned the way its camera says, its colours brought to sRGB.
 * @throws {InputError} for what it cannot decode.
 */
export async function pixelsOf(file: File): Promise<DecodedPhoto> {
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(file);
    const share = Math.sqrt(MOST_PIXELS / (bitmap.width * bitmap.height));
    if (share < 1) {
      const smaller = await createImageBitmap(bitmap, {
        resizeWidth: Math.floor(bitmap.width * share),
        resizeHeight: Math.floor(bitmap.height * share),
        resizeQuality: 'high',
      });
      bitmap.close();
      bitmap = smaller;
    }
  } catch {
    throw new InputError('could not be decoded by this browser; expected a photo as a JPEG or PNG file', {
      source: file.name,
    });
  }
  const { width, height } = bitmap;
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d', { willReadFrequently: true, colorSpace: 'srgb' });
  if (!context) throw new InputError('this browser has no room for the photo; expected a smaller one');
  context.drawImage(bitmap, 0, 0);
  return { width, height, data: context.getImageData(0, 0, width, height).data, bitmap };
}
