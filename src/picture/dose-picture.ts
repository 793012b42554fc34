import { interpolateInferno } from 'd3-scale-chromatic';
import type { Grid } from '../grid.ts';
import { refuseUnknownOptions } from '../options.ts';
import { boardText, notesBlock, scaleBarBlock, titleBlock } from './blocks.ts';
import { PICTURE_DEFAULTS, PICTURE_OPTIONS, type PictureOptions } from './burn-picture.ts';
import { type ColourScale, heatRaster } from './heat.ts';
import { endColour, legendBlock } from './legend.ts';
import { twoDigits } from './numbers.ts';
import type { DrawSvg, Picture } from './picture.ts';
import { rangeOf } from './range.ts';
import { composeSheet, fontPxFor } from './sheet.ts';
import { channelsOf, colourTable } from './tone.ts';
import { viewOver } from './view.ts';

/** A lesser dose leaves no mark on wood: the picture's scale is chosen from what got more. */
const MARKS_FROM_J_PER_MM2 = 0.05;

/** The dose's colours from none to most: even steps to the eye, lightness rising all the way. */
export const doseTable = (): Float32Array => colourTable((t) => channelsOf(interpolateInferno(t)));

/**
 * The dose on the board as a heat map, y up, with its legend in J/mm². When a few cells got far more than
 * all others, the scale ends below them and says so.
 *
 * @param dose J/mm² per cell.
 * @returns a new picture, row 0 at the top, R, G, B, A a pixel.
 * @throws {RangeError} for a stock without a size.
 * @throws {InputError} for an unknown option.
 */
export function dosePicture(dose: Grid, options: PictureOptions, drawSvg: DrawSvg): Picture {
  refuseUnknownOptions(options, PICTURE_OPTIONS, 'dosePicture');
  const { stock, title, notes = [], stockThicknessMm = null } = options;
  const { longSidePx = PICTURE_DEFAULTS.longSidePx } = options;
  const fontPx = fontPxFor(longSidePx);
  const view = viewOver(stock, dose, longSidePx);
  const { top, max, capped, bendAt } = rangeOf(dose.data, MARKS_FROM_J_PER_MM2);
  const scale: ColourScale = { from: 0, to: top, table: doseTable(), bendAt };
  const patches = capped
    ? [{ colour: endColour(scale), meaning: `more, up to ${twoDigits(max)} J/mm²` }]
    : [];
  const caption = bendAt === null ? 'dose, J/mm²' : 'dose, J/mm², logarithmic';
  return composeSheet(
    {
      fontPx,
      title: titleBlock(title, `dose, board ${boardText(stock, stockThicknessMm)}`, fontPx),
      panels: [
        {
          get raster() {
            return heatRaster(dose.data, dose, view, scale);
          },
          view,
          look: 'map',
          heading: null,
        },
      ],
      panelFlow: 'column',
      footer: {
        key: [
          scaleBarBlock(view.pxPerMm, fontPx),
          legendBlock({ scale, caption, patches, words: null }, fontPx),
        ],
        text: [notesBlock(max > 0 ? notes : ['No energy landed on the board.', ...notes], fontPx)],
      },
    },
    drawSvg,
  );
}
