import type { Burn } from '../burn/burn.ts';
import type { Bounds } from '../grid.ts';
import { refuseUnknownOptions } from '../options.ts';
import type { BoardFace } from '../own-board/own-board.ts';
import { boardText, guessBlock, notesBlock, scaleBarBlock, titleBlock } from './blocks.ts';
import type { DrawSvg, Picture } from './picture.ts';
import { POPLAR_TONE_PATH } from './poplar.ts';
import { composeSheet, fontPxFor } from './sheet.ts';
import type { TonePath } from './tone.ts';
import { viewOver } from './view.ts';
import { woodRaster } from './wood.ts';

/** What the pictures of one forecast have in common. */
export interface PictureOptions {
  /** The board, mm, in the job's coordinates. What was burned beside it is not shown. */
  readonly stock: Bounds;
  readonly stockThicknessMm?: number | null;
  /** The job's name. */
  readonly title: string;
  /** Plain sentences for the foot of the sheet. */
  readonly notes?: readonly string[];
  /** About how many pixels the board's longer side gets. */
  readonly longSidePx?: number;
}

export interface BurnPictureOptions extends PictureOptions {
  /** What about the tone is a guess, in a few words; null or left out: nothing. */
  readonly guess?: string | null;
  readonly tonePath?: TonePath;
  /** How strongly the grain shows: 1 as on poplar, 0 for board and card that have none. */
  readonly grain?: number;
  /** A photo of the board, in the place of drawn wood. */
  readonly face?: BoardFace | null;
}

export const PICTURE_OPTIONS: Readonly<Record<keyof PictureOptions, true>> = {
  stock: true,
  stockThicknessMm: true,
  title: true,
  notes: true,
  longSidePx: true,
};
const BURN_PICTURE_OPTIONS: Readonly<Record<keyof BurnPictureOptions, true>> = {
  ...PICTURE_OPTIONS,
  guess: true,
  tonePath: true,
  grain: true,
  face: true,
};

export const PICTURE_DEFAULTS = { longSidePx: 1800, tonePath: POPLAR_TONE_PATH, grain: 1 } as const;

/**
 * The burn as it will look: the board from above on quiet paper, y up, with millimetres along its edges and
 * a scale bar.
 *
 * @param options the board in mm; see each.
 * @param drawSvg draws text and lines: any SVG rasteriser that gives premultiplied alpha.
 * @returns a new picture, row 0 at the top, R, G, B, A a pixel.
 * @throws {RangeError} for a stock without a size, or a tone path that is none.
 * @throws {InputError} for an unknown option.
 */
export function burnPicture(burn: Burn, options: BurnPictureOptions, drawSvg: DrawSvg): Picture {
  refuseUnknownOptions(options, BURN_PICTURE_OPTIONS, 'burnPicture');
  const { stock, title, notes = [], guess = null, stockThicknessMm = null, face = null } = options;
  const { longSidePx, tonePath, grain } = { ...PICTURE_DEFAULTS, ...options };
  const fontPx = fontPxFor(longSidePx);
  const view = viewOver(stock, burn.frame, longSidePx);
  return composeSheet(
    {
      fontPx,
      title: titleBlock(title, `burn forecast, board ${boardText(stock, stockThicknessMm)}`, fontPx),
      panels: [
        {
          get raster() {
            return woodRaster(burn, view, tonePath, grain, face);
          },
          view,
          // A board of another outline has no side along the edge of the picture.
          look: face ? 'map' : 'board',
          heading: null,
        },
      ],
      panelFlow: 'column',
      footer: {
        key: [scaleBarBlock(view.pxPerMm, fontPx)],
        text: [guessBlock(guess, fontPx), notesBlock(notes, fontPx)],
      },
    },
    drawSvg,
  );
}
