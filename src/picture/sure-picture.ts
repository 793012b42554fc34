import { bisectLeft } from 'd3-array';
import { interpolateBuPu } from 'd3-scale-chromatic';
import { startNeedTimes } from '../burn/firing.ts';
import { needAt, needOf } from '../burn/need.ts';
import { plainDoseForTone } from '../burn/tone.ts';
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

/** The width of the range of every cell's tone; 0 where none of the boards shows anything, or all are black. */
export function toneRangeMap(
  {
    dose,
    burn,
    firings,
    material,
    machine,
  }: Pick<Forecast, 'dose' | 'burn' | 'firings' | 'material' | 'machine'>,
  sureness: Sureness,
): Float32Array {
  const { data } = dose.grid;
  const ranges = new Float32Array(data.length);
  let sum = 0;
  let sumLnDwell = 0;
  for (let k = 0; k < data.length; k++) {
    sum += data[k]!;
    sumLnDwell += dose.doseLnDwell[k]!;
  }
  if (!(sum > 0)) return ranges;
  const { plainJPerMm2, widths } = sureness.toneRanges(Math.exp(sumLnDwell / sum));
  const need = needOf(material, machine.laser.wavelength_nm);
  const [least, most] = [plainJPerMm2[0]!, plainJPerMm2.at(-1)!];
  const perLn = (plainJPerMm2.length - 1) / Math.log(most / least);
  const times = new Float32Array(data.length).fill(1);
  if (firings) startNeedTimes(dose.grid, firings, material).fill(0, data.length, data, 0, times);
  for (let k = 0; k < data.length; k++) {
    const there = data[k]! / times[k]!;
    if (!(there > 0)) continue;
    const tone = burn.tone[k]!;
    // Where the picture shows more than the cell's own dose gives, a line runs through it.
    const shown = tone > 0 && tone < 1 ? plainDoseForTone(tone, material) : 0;
    const plain = Math.max(shown, there / needAt(need, Math.exp(dose.doseLnDwell[k]! / data[k]!)));
    const at = Math.log(plain / least) * perLn;
    if (!(at > 0) || at >= widths.length - 1) continue;
    const below = Math.floor(at);
    ranges[k] = widths[below]! + (widths[below + 1]! - widths[below]!) * (at - below);
  }
  return ranges;
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
        firingsCount: lines.needTimes != null,
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
