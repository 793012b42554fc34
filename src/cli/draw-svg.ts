import { createRequire } from 'node:module';
import { Resvg } from '@resvg/resvg-js';
import type { DrawSvg } from '../picture/picture.ts';

const require = createRequire(import.meta.url);
const fontFiles = ['400Regular', '600SemiBold'].map((cut) =>
  require.resolve(`@expo-google-fonts/source-sans-3/${cut}/SourceSans3_${cut}.ttf`),
);

/**
 * Draws an SVG in Node, with the project's own typeface (SIL Open Font License) and no font of the system,
 * so that a picture is the same on every machine. Premultiplied alpha, as {@link DrawSvg} asks.
 */
export const drawSvg: DrawSvg = (svg) => {
  const image = new Resvg(svg, {
    font: { loadSystemFonts: false, fontFiles, defaultFontFamily: 'Source Sans 3' },
    logLevel: 'off',
  }).render();
  const pixels = image.pixels;
  return {
    width: image.width,
    height: image.height,
    data: new Uint8ClampedArray(pixels.buffer, pixels.byteOffset, pixels.length),
  };
};
