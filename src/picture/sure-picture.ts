import { bisectLeft } from 'd3-array';
import { interpolateBuPu } from 'd3-scale-chromatic';
import { doseAtPlace } from '../findings/evidence/on-line.ts';
import type { Forecast } from '../forecast.ts';
import { SURE, type Sureness, startSureness } from '../sure/come-through.ts';
import { partWords } from '../sure/words.ts';
import { boardText, notesBlock, scaleBarBlock, titleBlock } from './blocks.ts';
import { PICTURE_DEFAULTS } from './burn-picture.ts';
import { type ColourScale, coloured } from './heat.ts';
import { legendBlock } from './legend.ts';
import type { DrawSvg, Picture, Rgb } from './picture.ts';
import { resample } from './resample.ts';
import { composeSheet, fontPxFor } from './sheet.ts';
import { channelsOf, colourTable } from './tone.ts';
import { toneRangeMap } from './tone-ranges.ts';
import { type View, viewOver, xToPx, yToPx } from './view.ts';

/** The range's colours from none to all: light where it is known, dark where it may be anything. */
const rangeTable = (): Float32Array => colourTable((t) => channelsOf(interpolateBuPu(t)));
/** The scale ends here, where no range is wider. */
const HALF = 0.5;
/** Where a cut may stay uncut: bright, and on no scale. */
const UNSURE_CUT: Rgb = [214, 72, 20];

/**
 * A map of how sure the forecast is: how wide the range of each place's tone is, for nine such boards of ten, and where
 * cuts come through on fewer of them than are enough.
 * @returns a new picture, row 0 at the top, R, G, B, A a pixel.
 */
export function surePictureOf(forecast: Forecast, title: string, drawSvg: DrawSvg): Picture {
  const { board, stock, machine, material, checks } = forecast;
  const { longSidePx } = PICTURE_DEFAULTS;
  const fontPx = fontPxFor(longSidePx);
  const sureness = startSureness(material, machine, stock ?? { thicknessMm: null }, checks.sure ?? SURE);
  const view = viewOver(board, forecast.burn.frame, longSidePx);
  const ranges = toneRangeMap(forecast, sureness);
  const widest = ranges.reduce((most, range) => Math.max(most, range), 0);
  const scale: ColourScale = { from: 0, to: widest > HALF ? 1 : HALF, table: rangeTable(), bendAt: null };
  const raster = coloured(resample(ranges, forecast.burn.frame, view), view, scale);
  const marked = markUnsureCuts(raster, view, forecast, sureness);
  const meaning = `cut through on fewer than ${partWords(sureness.sure)}`;
  return composeSheet(
    {
      fontPx,
      title: titleBlock(title, `how sure, board ${boardText(board, stock?.thicknessMm ?? null)}`, fontPx),
      panels: [{ raster, view, look: 'map', heading: null }],
      panelFlow: 'column',
      footer: {
        key: [
          scaleBarBlock(view.pxPerMm, fontPx),
          legendBlock(
            {
              scale,
              caption: 'range of the tone (bare wood 0, char 1)',
              patches: marked ? [{ colour: `rgb(${UNSURE_CUT.join(', ')})`, meaning }] : [],
              words: ['known', '', 'hardly known'],
            },
            fontPx,
          ),
        ],
        text: [notesBlock(['The range of the tone holds for nine such boards of ten.'], fontPx)],
      },
    },
    drawSvg,
  );
}

/** Doses are asked of the boards in steps of a fiftieth: a cut gets nearly the same all along. */
const STEPS_PER_E = 50;
/** Dots along a cut, at least so wide in pixels. */
const DOT_PX = 3;

/** Paints the places of cuts that come through on too few boards. @returns whether there are any. */
function markUnsureCuts(
  { width, height, data }: Picture,
  view: View,
  { cuts, lines, program, machine }: Forecast,
  sureness: Sureness,
): boolean {
  const { count, move, judgedMm, xMm, yMm } = lines.places;
  const half = Math.max(DOT_PX / 2, (Math.max(...machine.spot.width_mm) * view.pxPerMm) / 2);
  const rounded = (value: number): number =>
    value > 0 ? Math.exp(Math.round(Math.log(value) * STEPS_PER_E) / STEPS_PER_E) : 0;
  let any = false;
  for (const { operation, chanceThrough, sure } of cuts) {
    if (chanceThrough >= sure) continue;
    const { firstMove, lastMove } = program.operations[operation - 1]!;
    for (let k = bisectLeft(move, firstMove); k < count && move[k]! <= lastMove; k++) {
      if (judgedMm[k] === 0) continue;
      const there = doseAtPlace(lines, k);
      const doseJPerMm2 = rounded(there.doseJPerMm2);
      const place = {
        doseJPerMm2,
        dwellS: rounded(there.dwellS),
        headZMm: there.headZMm,
        passes: 1,
        perPassJPerMm2: doseJPerMm2,
        needTimes: rounded(there.needTimes),
        firings: there.firings && rounded(there.firings),
      };
      if (doseJPerMm2 > 0 && sureness.comesThrough(place).chanceThrough >= sure) continue;
      any = true;
      const [x, y] = [xToPx(view, xMm[k]!), yToPx(view, yMm[k]!)];
      for (let j = Math.max(0, Math.floor(y - half)); j < Math.min(height, y + half); j++)
        for (let i = Math.max(0, Math.floor(x - half)); i < Math.min(width, x + half); i++)
          data.set(UNSURE_CUT, (j * width + i) * 4);
    }
  }
  return any;
}
