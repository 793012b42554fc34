import { labOf } from '../burn/colour.ts';
import { guessNote, type Material } from '../burn/material.ts';
import type { Forecast } from '../forecast.ts';
import type { Grid, GridFrame } from '../grid.ts';
import { labOfLinear, linearOfLab } from '../photo/colour-space.ts';
import { codedOf, luminance, threeOf } from '../photo/photo.ts';
import { marksOf } from '../piece/marks.ts';
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

/** A scale of differences in L* ends at one of these; smaller ones than the second are none to the eye. */
const L_ENDS = [10, 20, 40] as const;
const L_SEEN_FROM = 1;
/** Stripes in which forecast and photo take turns, where one lies over the other. */
const STRIPES = 12;

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
  const expected = woodRaster(burn, view, tonePathOf(material));
  const seen = photoRaster(reading, material, view);
  const darker = resample(darkerBy(forecast, reading), reading.frame, view);
  const end = endOf(darker);
  const scale: ColourScale = { from: -end, to: end, table: differenceTable(), bendAt: null };
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
        panel(coloured(darker, view, scale), 'map', 'Difference', 'in L*'),
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
    for (let c = 0; c < 3; c++) data[4 * k + c] = codedOf(channels[c]![k]! * bare[c]!);
    data[4 * k + 3] = 255;
  }
  return { width: view.widthPx, height: view.heightPx, data };
}

const channelOf = (ratio: Float32Array, { nx, ny }: GridFrame, c: number): Float32Array =>
  Float32Array.from({ length: nx * ny }, (_, k) => {
    const value = ratio[3 * k + c]!;
    return Number.isFinite(value) ? value : 0;
  });

/** L* of the forecast, as blurred as the photo is, less that of the photo, cell by cell; 0 where the photo ends. */
export function darkerBy({ burn, material, board }: Forecast, { frame, even }: PieceReading): Float32Array {
  const marks = asBlurredAs(even.ratio, marksOf(burn, material, board, frame.cellMm));
  const bare = linearOfLab(labOf(0, material));
  const lightness = (times: readonly [number, number, number]) =>
    labOfLinear(threeOf((c) => times[c] * bare[c]))[0];
  return Float32Array.from({ length: frame.nx * frame.ny }, (_, k) => {
    const seen = lightness(threeOf((c) => even.ratio[3 * k + c]!));
    const light = marks.data[k]!;
    const difference = lightness([light, light, light]) - seen;
    return Number.isFinite(difference) ? difference : 0;
  });
}

/** Blurs that are tried, as standard deviations in cells. */
const BLURS = [0, 0.5, 0.8, 1.1, 1.5, 2, 2.7] as const;

/** The marks with that blur by which they come nearest to the photo. */
function asBlurredAs(ratio: Float32Array, marks: Grid): Grid {
  const seen = Float64Array.from({ length: marks.data.length }, (_, k) =>
    luminance(ratio[3 * k]!, ratio[3 * k + 1]!, ratio[3 * k + 2]!),
  );
  const apart = ({ data }: Grid): number => {
    let sum = 0;
    for (let k = 0; k < data.length; k++) {
      const off = seen[k]! - data[k]!;
      if (Number.isFinite(off)) sum += off * off;
    }
    return sum;
  };
  // One at a time: each is as large as the board's photo.
  let best = { grid: marks, off: Number.POSITIVE_INFINITY };
  for (const cells of BLURS) {
    const grid = blurred(marks, cells);
    const off = apart(grid);
    if (off < best.off) best = { grid, off };
  }
  return best.grid;
}

function blurred(grid: Grid, cells: number): Grid {
  if (cells === 0) return grid;
  const reach = Math.ceil(3 * cells);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, k) =>
    Math.exp(-((k - reach) ** 2) / (2 * cells * cells)),
  );
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const { nx, ny } = grid;
  const along = (values: Float32Array, length: number, [step, lineStep]: readonly [number, number]) =>
    Float32Array.from({ length: nx * ny }, (_, at) => {
      const line = Math.floor(at / nx);
      const [k, start] = step === 1 ? [at % nx, line * lineStep] : [line, (at % nx) * lineStep];
      let sum = 0;
      for (let tap = -reach; tap <= reach; tap++) {
        const inside = Math.min(length - 1, Math.max(0, k + tap));
        sum += weights[tap + reach]! * values[start + inside * step]!;
      }
      return sum / total;
    });
  return { ...grid, data: along(along(grid.data, nx, [1, nx]), ny, [nx, 1]) };
}

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
