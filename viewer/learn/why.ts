import { median } from 'd3-array';
import { surfaceWidthMm } from '../../src/burn/beam-on-wood.ts';
import { linePeakDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { toneRegion } from '../../src/burn/tone.ts';
import type { Forecast } from '../../src/forecast.ts';
import { cellValueAt } from '../../src/grid.ts';
import { leastOf } from '../../src/lists.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { boardsWords, depthSpanWords, shadeRangeWords, shadeWords } from '../../src/sure/words.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { numberWords, percentWords } from '../../src/words.ts';
import { GANTRY, WOOD, wattsAt } from './gantry.ts';
import { PATCH_OVERSCAN_MM } from './jobs.ts';
import {
  type CornerSettings,
  type CutSettings,
  type FocusSettings,
  focusTrial,
  LONG_LEFT_MM,
  LONG_ROW_MM,
  PATCH_FROM_MM,
  PATCH_TALL_MM,
  type RowEndSettings,
  type RowSpacingSettings,
  SMALL_FILL_SPEED_MM_PER_MIN,
  SMALL_LEFT_MM,
  type SmallFillSettings,
  TRADE_OFF_ROWS_MM,
} from './trials.ts';

/**
 * The sentence of why under each figure, said from what was burned, so that it is true at both ends of every
 * control. What stands between asterisks is stressed.
 */

const isBare = (tone: number): boolean => toneRegion(tone) === 'no mark';
/** From this tone on, nothing that is done to the wood makes it much darker. */
const CHAR_ANYWAY = 0.97;
/** A smaller difference in tone is not seen. */
const SEEN = 0.04;

const most = (values: ArrayLike<number>): number => {
  let top = 0;
  for (let k = 0; k < values.length; k++) top = Math.max(top, values[k]!);
  return top;
};

/** Dose and tone of the cells along y at one x, from `fromMm` to `toMm`. */
function across({ dose, burn }: Forecast, xMm: number, fromMm: number, toMm: number) {
  const { x0Mm, y0Mm, cellMm, nx, ny, data } = dose.grid;
  const i = Math.min(nx - 1, Math.max(0, Math.floor((xMm - x0Mm) / cellMm)));
  const doses: number[] = [];
  const tones: number[] = [];
  const depths: number[] = [];
  for (let j = 0; j < ny; j++) {
    const y = y0Mm + (j + 0.5) * cellMm;
    if (y < fromMm || y > toMm) continue;
    doses.push(data[j * nx + i]!);
    tones.push(burn.tone[j * nx + i]!);
    depths.push(burn.depthMm[j * nx + i]!);
  }
  return { doses, tones, depths, cellMm };
}

export function cornerWhy({ mode }: CornerSettings, forecast: Forecast): string {
  // The middle of the lower long side.
  const side = across(forecast, 19, 1, 3);
  const times = most(forecast.dose.grid.data) / most(side.doses);
  const sidesAreBare = isBare(most(side.tones));
  const allIsBare = isBare(most(forecast.burn.tone));
  if (mode === 'proportional') {
    const same =
      'Proportional power falls with the speed, so every millimetre of the way gets the same energy';
    if (allIsBare) return `${same}: at this speed too little for a mark, in a corner as on a side.`;
    if (sidesAreBare)
      return `${same}: at this speed too little for a mark, but where both sides of a sharp corner warm the same place.`;
    return `${same}, in a corner as on a side. A sharp corner is only a little darker, as both its sides warm the same place.`;
  }
  const factor = `*${numberWords(times, 2)} times*`;
  if (times < 2)
    return (
      `At this speed there is little to slow down from: the corners get ${factor} the dose of the long sides, ` +
      'mostly as both their sides warm the same place.'
    );
  const pours = `The head must slow down to turn, and constant power keeps pouring: the corners get up to ${factor} the dose of the long sides`;
  if (allIsBare) return `${pours}. At this speed even that is too little for a mark.`;
  if (sidesAreBare) return `${pours}, which run too fast here to take a mark.`;
  if (most(side.tones) >= CHAR_ANYWAY) return `${pours}, which are char already at this speed.`;
  return `${pours}. A stiffer machine slows down for a shorter stretch.`;
}

const turningRoomMm = (speedMmPerMin: number): number =>
  mmPerMinToMmPerS(speedMmPerMin) ** 2 / (2 * GANTRY.acceleration_mm_s2[0]);

export function rowEndWhy({ speedMmPerMin, overscanMm, mode }: RowEndSettings, forecast: Forecast): string {
  const neededMm = turningRoomMm(speedMmPerMin);
  const room = `*${numberWords(neededMm, 2)} mm*`;
  const marked = Array.from(forecast.burn.tone)
    .filter((tone) => !isBare(tone))
    .sort((a, b) => a - b);
  if (marked.length === 0)
    return 'At this speed the beam is too weak for a mark, at the ends as in the middle.';
  const typical = marked[marked.length >> 1]!;
  const darkest = marked[Math.floor(0.995 * (marked.length - 1))]!;
  const needs = `To turn from this speed the head needs ${room}: the speed times itself over twice the acceleration (v² ÷ 2a)`;
  if (overscanMm >= neededMm)
    return `${needs}. Now it turns beyond the leaf with the beam off, and the leaf is even.`;
  if (mode === 'proportional')
    return (
      'With proportional power the ends stay nearly even, though the head turns on the leaf; ' +
      `${room} of overscan would keep it at full speed there, and in time with the beam.`
    );
  const brakes = `${needs}. What overscan does not give, it takes from the leaf: it brakes with the beam on`;
  if (typical >= CHAR_ANYWAY) return `${brakes}, which hardly shows here, as all of the leaf is char.`;
  if (darkest - typical < SEEN) return `${brakes}, though so little is left of it that it hardly shows.`;
  return `${brakes}, and the ends ${toneRegion(darkest) === 'char' ? 'char' : 'come out darker'}.`;
}

export function tradeOffWhy(forecast: Forecast): string {
  // A square of whole rows in the middle of the patch: their mean.
  const { doses, tones } = across(forecast, 7, 4, 6);
  const mean = doses.reduce((sum, dose) => sum + dose, 0) / doses.length;
  const tone = most(tones);
  const counts =
    'What counts is the dose, the heat that every square millimetre gets: power over speed and over ' +
    `${numberWords(TRADE_OFF_ROWS_MM)} mm from row to row, here *${numberWords(mean, 2)} J/mm²*`;
  return isBare(tone)
    ? `${counts}, too little for a mark. Along the dashed line, where both are halved, it stays the same, and the wood bare.`
    : `${counts}, which comes out ${shadesOf(forecast) ?? toneRegion(tone)}. Follow the dashed line: half the watts at half the speed burn nearly alike, and take twice as long.`;
}

/** *brown, between tan and dark brown*: what is burned, as it is known of such boards; null of a cut. */
const shadesOf = ({ engravings: [told] }: Forecast): string | null =>
  told ? shadeRangeWords(told, false) : null;

export function rowSpacingWhy({ spacingMm, spotMm }: RowSpacingSettings, forecast: Forecast): string {
  const gaps = Math.floor(PATCH_TALL_MM / spacingMm + 1e-6);
  // From one row to another, so that gaps count in full, and away from the edges, where neighbours are missing.
  const edge = Math.min(Math.ceil(spotMm / spacingMm), Math.floor((gaps - 1) / 2));
  const from = PATCH_FROM_MM + edge * spacingMm;
  const { doses, tones } = across(forecast, 5, from, from + (gaps - 2 * edge) * spacingMm);
  const bareMm = (tones.filter(isBare).length / tones.length) * spacingMm;
  const top = most(doses);
  const less = (top - leastOf(doses)) / top;
  if (isBare(most(tones))) return 'Spread so far, the dose is too little for a mark on a row or between two.';
  if (bareMm > 0.005)
    return (
      `The lines are about *${numberWords(spacingMm - bareMm, 2)} mm* wide, and *${numberWords(bareMm, 2)} mm* of bare wood ` +
      'stands between two of them: the spot is too narrow to reach over.'
    );
  const falls = `Between two rows the wood gets *${percentWords(Math.round(less * 1000) / 1000)}* less than on one`;
  if (less > 0.12) return `${falls}: they touch, and still show as stripes.`;
  const closer =
    'Rows run together from a little over half the spot’s width on; closer still costs time and darkens all of it.';
  return less < 0.001 ? `Between two rows the wood gets as much as on one. ${closer}` : `${falls}. ${closer}`;
}

/** How long until the head is back in the next row, s: along the row, and out, round and in again. */
function rowTimeS(rowMm: number): number {
  const speed = mmPerMinToMmPerS(SMALL_FILL_SPEED_MM_PER_MIN);
  const rampS = speed / GANTRY.acceleration_mm_s2[0];
  return rowMm / speed + rampS + (2 * PATCH_OVERSCAN_MM) / speed;
}

export function smallFillWhy({ sizeMm, percent }: SmallFillSettings, forecast: Forecast): string {
  // The upper half: there a patch has warmed itself.
  const [fromMm, toMm] = [2 + 0.4 * sizeMm, 2 + 0.9 * sizeMm];
  const [smallX, longX] = [SMALL_LEFT_MM + sizeMm / 2, LONG_LEFT_MM + LONG_ROW_MM / 2];
  const toneAt = (xMm: number): number => median(across(forecast, xMm, fromMm, toMm).tones) ?? 0;
  const [small, long] = [toneAt(smallX), toneAt(longX)];
  const warmth = (xMm: number) =>
    forecast.firings ? cellValueAt(forecast.firings.warmth, xMm, (fromMm + toMm) / 2) : 0;
  const back =
    `On the small one the beam is back after *${numberWords(rowTimeS(sizeMm), 2)} s*, and finds wood that is ` +
    `${numberWords(warmth(smallX), 2)} K warmer than the room; on the long rows after ${numberWords(rowTimeS(LONG_ROW_MM), 2)} s, ` +
    `and ${numberWords(warmth(longX), 2)} K`;
  if (Math.abs(small - long) < SEEN)
    return percent === 100
      ? `${back}: too little for the eye.`
      : `${back}. With ${percent} % of the power the small one looks like the long rows.`;
  if (small < long)
    return `${back}. With ${percent} % of the power it comes out lighter than the long rows all the same.`;
  const shades = [small, long].map(shadeWords);
  const darker = shades[0] === shades[1] ? 'darker' : `${shades[0]} instead of ${shades[1]}`;
  return `${back}. Warm wood needs less, so the small one comes out ${darker}; how much less is a guess until a swatch is burned.`;
}

export function focusWhy({ offMm, percent }: FocusSettings, forecast: Forecast): string {
  const widthMm = (off: number) =>
    surfaceWidthMm({
      spot: focusTrial({ offMm: off, percent }).machine.spot,
      wavelengthNm: GANTRY.laser.wavelength_nm,
    });
  const [wide, least] = [widthMm(offMm), widthMm(0)];
  const spreads = wide > least * 1.02;
  const { tones, depths, cellMm } = across(forecast, 8, 4, 6);
  const tone = most(tones);
  const spot = spreads
    ? `On the wood the spot is *${numberWords(wide, 2)} mm* wide, not ${numberWords(least, 2)} mm: the same energy, spread over ${numberWords(wide / least, 2)} times the width`
    : `On the wood the spot is *${numberWords(wide, 2)} mm* wide, as narrow as this beam can be`;
  if (isBare(tone))
    return `${spot}. At this speed and power that is too little for a mark, and the wood stays bare.`;
  const deepMm = most(depths);
  const line = `${numberWords(tones.filter((each) => !isBare(each)).length * cellMm, 2)} mm wide`;
  const colour = shadesOf(forecast) ?? toneRegion(tone);
  const [told] = forecast.engravings;
  const deep =
    deepMm < 0.005
      ? 'only on the surface'
      : told
        ? depthSpanWords(told, 'mm deep')
        : `${numberWords(deepMm, 2)} mm deep`;
  return `${spot}. It burns a line about ${line}, ${deep}: ${colour}${spreads ? '; in focus the line is darker' : ''}.`;
}

export function cutWhy({ passes, thicknessMm, speedMmPerMin }: CutSettings, forecast: Forecast): string {
  const deepest = most(forecast.burn.depthMm);
  // The line runs along x, at full power: its peak in closed form, its need that of the middle of its places.
  const speedMmPerS = mmPerMinToMmPerS(speedMmPerMin);
  const [alongMm, acrossMm] = GANTRY.spot.width_mm;
  const peak = linePeakDoseJPerMm2(wattsAt(100), speedMmPerS, acrossMm);
  const dwellS = Math.sqrt(alongMm * acrossMm) / speedMmPerS;
  const { comesThrough, engraved } = startSureness(WOOD, GANTRY, { thicknessMm });
  const doseJPerMm2 = passes * peak;
  const { needTimes = [1], firings } = forecast.lines;
  const place = {
    doseJPerMm2,
    dwellS,
    headZMm: 0,
    needTimes: median(needTimes)!,
    firings: firings ? median(firings)! : null,
  };
  const { chanceThrough, passesForSure } = comesThrough({
    ...place,
    passes,
    perPassJPerMm2: peak,
  });
  const chance = `on ${boardsWords(chanceThrough)}`;
  if (deepest >= thicknessMm - 1e-3)
    return (
      `Through, ${chance}. Passes add up, but each one deeper down has less to give: walls, smoke and a widening beam ` +
      'take their share.'
    );
  const { depthLowMm, depthHighMm } = engraved({ ...place, isFilled: false });
  const left = (depthMm: number) => numberWords(Number(Math.max(0, thicknessMm - depthMm).toFixed(2)), 2);
  const ends = `It ends *${left(deepest)} mm* (${left(depthHighMm)} to ${left(depthLowMm)}) above the back, and comes through ${chance}`;
  return `${ends}. ${
    passesForSure === null
      ? 'At this speed no number of passes would do.'
      : `At this speed it takes ${passesForSure} passes to come through on 19 of 20; slower counts about as much as more often.`
  }`;
}
