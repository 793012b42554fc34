import type { DrawSvg, Picture } from '../../src/picture/picture.ts';
import { textWidthPx } from '../../src/picture/text.ts';
import { latin1Of } from '../../src/recognise/latin1.ts';
import { imageOf } from './draw-on.ts';

/** A browser draws an SVG only in its own time, a picture wants it at once: so it is begun anew once that is there. */

/**
 * Paints with drawings by the browser. A drawing is the first thing that a sheet asks for: what is given up there is little.
 * @throws {Error} where the browser cannot draw one.
 */
export async function withDrawings(paint: (drawSvg: DrawSvg) => Picture): Promise<Picture> {
  const drawn = new Map<string, Picture>();
  for (;;) {
    let wanting: string | null = null;
    const drawSvg = (svg: string): Picture => {
      const picture = drawn.get(svg);
      if (picture) return picture;
      wanting = svg;
      throw new Error('this is not drawn yet');
    };
    try {
      return paint(drawSvg);
    } catch (error) {
      if (wanting === null) throw error;
      drawn.set(wanting, await drawnBy(wanting));
    }
  }
}

function sizeOf(svg: string): { readonly width: number; readonly height: number } {
  const side = (name: string) =>
    Math.ceil(Number(new RegExp(`<svg[^>]* ${name}="([\\d.]+)"`).exec(svg)?.[1]));
  return { width: side('width'), height: side('height') };
}

/**
 * The typeface whose widths pictures are laid out by is not the browser's: each text is drawn as wide as it was laid
 * out, in what sans serif there is.
 */
const fittedTexts = (svg: string): string =>
  svg.replace(
    /<text ([^>]*)font-size="([\d.]+)"([^>]*)>([^<]*)<\/text>/g,
    (whole: string, before: string, size: string, after: string, text: string) => {
      const plain = text.replace(/&(amp|lt|gt|quot|#39);/g, (_, name: string) => PLAIN[name] ?? '');
      const bold = after.includes('font-weight="600"');
      const widthPx = textWidthPx(plain, Number(size), bold);
      return widthPx > 0
        ? `<text textLength="${widthPx.toFixed(1)}" lengthAdjust="spacingAndGlyphs" ${before}font-size="${size}"${after}>${text}</text>`
        : whole;
    },
  );

const PLAIN: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', '#39': "'" };

async function drawnBy(svg: string): Promise<Picture> {
  const url = URL.createObjectURL(new Blob([fittedTexts(svg)], { type: 'image/svg+xml' }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const { width, height } = sizeOf(svg);
    const context = canvasOf(width, height);
    context.drawImage(image, 0, 0, width, height);
    const { data } = context.getImageData(0, 0, width, height);
    // A canvas hands out straight alpha, pictures are laid over with premultiplied.
    for (let k = 0; k < data.length; k += 4) {
      const share = data[k + 3]! / 255;
      if (share === 1) continue;
      for (let c = 0; c < 3; c++) data[k + c] = data[k + c]! * share;
    }
    return { width, height, data };
  } finally {
    URL.revokeObjectURL(url);
  }
}

function canvasOf(width: number, height: number): CanvasRenderingContext2D {
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error('the browser has no room for a picture of this size');
  return context;
}

/** A picture as a PNG file. */
export async function pngOf(picture: Picture): Promise<Blob> {
  const context = canvasOf(picture.width, picture.height);
  context.putImageData(imageOf(picture), 0, 0);
  return new Promise((resolve, reject) =>
    context.canvas.toBlob(
      (blob) => (blob ? resolve(blob) : reject(new Error('the browser made no PNG file of it'))),
      'image/png',
    ),
  );
}

/** The file as a data URI. */
export async function dataUriOf(png: Blob): Promise<string> {
  const bytes = new Uint8Array(await png.arrayBuffer());
  return `data:image/png;base64,${btoa(latin1Of(bytes))}`;
}
