import { L_SEEN_FROM, labOf } from '../burn/colour.ts';
import { guessNote } from '../burn/guesses.ts';
import type { Material } from '../burn/material.ts';
import type { Forecast } from '../forecast.ts';
import type { GridFrame } from '../grid.ts';
import { linearOfLab } from '../photo/colour-space.ts';
import { nearestCode } from '../photo/photo.ts';
import type { PieceReading } from '../piece/read-piece.ts';
import { boardText, guessBlock, headingBlock, notesBlock, scaleBarBlock, titleBlock } from './blocks.ts';
import { PICTURE_DEFAULTS } from './burn-picture.ts';
import { differenceTable, panelFlow, panelLongSidePx } from './compare-picture.ts';
import { type ColourScale, coloured } from './heat.ts';
import { legendBlock } from './legend.ts';
import type { DrawSvg, Picture } from './picture.ts';
import { rangeOf } from './range.ts';
import { resample } from './resample.ts';
import { composeSheet, fontPxFor, type Panel } from './sheet.ts';
import { tonePathOf } from './tone.ts';
import { type View, viewOver } from './view.ts';
import { woodRaster } from './wood.ts';

/** A scale of differences in L* ends at one of these. */
const L_ENDS = [10, 20, 40] as const;
/** Stripes in which forecast and photo take turns, where one lies over the other. */
const STRIPES = 12;

/** Forecast and photo of a piece at one scale, and how much darker the photo is, in the colours of its scale, in L*. */
export interface PieceRasters {
  readonly expected: Picture;
  readonly seen: Picture;
  readonly difference: Picture;
  readonly scale: ColourScale;
}

/** The photo's light is evened, bare wood shown in the profile's colour. */
export function pieceRasters({ burn, material }: Forecast, reading: PieceReading, view: View): PieceRasters {
  const darker = resample(reading.darkerL, reading.frame, view);
  const end = endOf(darker);
  const scale: ColourScale = { from: -end, to: end, table: differenceTable(), bendAt: null };
  return {
    expected: woodRaster(burn, view, tonePathOf(material)),
    seen: photoRaster(reading, material, view),
    difference: coloured(darker, view, scale),
    scale,
  };
}

/**
 * Forecast and photo of a piece at one scale, side by side and in turns one over the other, and how much darker the photo
 * is in L*; its light evened, bare wood shown in the profile's colour.
 */
export function piecePicture(
  forecast: Forecast,
  reading: PieceReading,
  title: string,
  drawSvg: DrawSvg,
): Picture {
  const { burn, board, stock, material } = forecast;
  const { longSidePx } = PICTURE_DEFAULTS;
  const fontPx = fontPxFor(longSidePx);
  const view = viewOver(board, burn.frame, panelLongSidePx(board, longSidePx));
  const { expected, seen, difference, scale } = pieceRasters(forecast, reading, view);
  const panel = (raster: Picture, look: Panel['look'], name: string, words: string): Panel => ({
    raster,
    view,
    look,
    heading: headingBlock(name, words, fontPx),
  });
  const words = ['lighter on the photo', 'equal', 'darker on the photo'] as const;
  return composeSheet(
    {
      fontPx,
      title: titleBlock(
        title,
        `forecast and photo, board ${boardText(board, stock?.thicknessMm ?? null)}`,
        fontPx,
      ),
      panels: [
        panel(expected, 'board', 'Forecast', 'as the profiles say'),
        panel(seen, 'board', 'Photo', 'made flat, its light evened'),
        panel(inTurns(expected, seen), 'board', 'In turns', 'forecast, photo, forecast …'),
        panel(difference, 'map', 'Difference', 'in L*'),
      ],
      panelFlow: panelFlow(board),
      footer: {
        key: [
          scaleBarBlock(view.pxPerMm, fontPx),
          legendBlock(
            { scale, caption: 'L* by which the photo is darker than forecast', patches: [], words },
            fontPx,
          ),
        ],
        text: [guessBlock(guessNote(material), fontPx), notesBlock(reading.notes, fontPx)],
      },
    },
    drawSvg,
  );
}

function endOf(differences: Float32Array): number {
  const { top } = rangeOf(differences.map(Math.abs), L_SEEN_FROM);
  return L_ENDS.find((end) => end >= top) ?? L_ENDS.at(-1)!;
}

/** What the photo shows of the board, as it would look on the profile's bare wood. */
export function photoRaster({ frame, even }: PieceReading, material: Material, view: View): Picture {
  const bare = linearOfLab(labOf(0, material));
  const channels = [0, 1, 2].map((c) => resample(channelOf(even.ratio, frame, c), frame, view));
  const data = new Uint8ClampedArray(4 * view.widthPx * view.heightPx);
  for (let k = 0; k < channels[0]!.length; k++) {
    for (let c = 0; c < 3; c++) data[4 * k + c] = nearestCode(channels[c]![k]! * bare[c]!);
    data[4 * k + 3] = 255;
  }
  return { width: view.widthPx, height: view.heightPx, data };
}

const channelOf = (ratio: Float32Array, { nx, ny }: GridFrame, c: number): Float32Array =>
  Float32Array.from({ length: nx * ny }, (_, k) => {
    const value = ratio[3 * k + c]!;
    return Number.isFinite(value) ? value : 0;
  });

/** Upright stripes of the one and the other. */
function inTurns(a: Picture, b: Picture): Picture {
  const data = a.data.slice();
  const stripePx = a.width / STRIPES;
  for (let y = 0, k = 0; y < a.height; y++) {
    for (let x = 0; x < a.width; x++, k += 4) {
      if (Math.floor(x / stripePx) % 2 === 1) data.set(b.data.subarray(k, k + 4), k);
    }
  }
  return { ...a, data };
}
