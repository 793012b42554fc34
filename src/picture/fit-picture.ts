import { median } from 'd3-array';
import type { Burn } from '../burn/burn.ts';
import { toneOf } from '../burn/tone.ts';
import { greatestOf, leastOf } from '../lists.ts';
import { linearOfLab } from '../photo/colour-space.ts';
import { codedOf, type LinearRgb } from '../photo/photo.ts';
import { isFit } from '../swatch/fit/cuts.ts';
import type { SwatchFit } from '../swatch/fit/fit.ts';
import type { LadderFit } from '../swatch/fit/ladder.ts';
import { coolDoseOf } from '../swatch/fit/response.ts';
import type { Swatch } from '../swatch/swatch.ts';
import { headingBlock, notesBlock, titleBlock } from './blocks.ts';
import { twoDigits } from './numbers.ts';
import { blankPicture, type DrawSvg, type Picture, placePicture } from './picture.ts';
import {
  acrossToPx,
  areaBetween,
  type Plot,
  type PlotPoint,
  pathThrough,
  plotAxes,
  upToPx,
  viewOf,
} from './plot.ts';
import { composeSheet, fontPxFor, type Panel } from './sheet.ts';
import { type Block, EMBER, HAIRLINE, INK, PAPER, px, QUIET_INK, rectAt, textAt } from './svg.ts';
import { tonePathOf } from './tone.ts';
import { woodRaster } from './wood.ts';

const FIT_WIDTH_PX = 1800;

/**
 * What a burned swatch told: the patches, in the colours they have on the photo, over their doses, with the fitted
 * curve and its uncertainty; the widths of the lines; and which cuts went through.
 *
 * @param photoName what was read, for the head of the sheet.
 */
export function fitPicture(fit: SwatchFit, swatch: Swatch, photoName: string, drawSvg: DrawSvg): Picture {
  const fontPx = fontPxFor(FIT_WIDTH_PX);
  const widthPx = Math.round(FIT_WIDTH_PX * 0.9);
  const panels = [
    tonePanel(fit, widthPx, fontPx),
    ...(fit.ladders.length > 0 ? [linePanel(fit.ladders, widthPx, fontPx)] : []),
    ...(isFit(fit.removal) ? [cutPanel(fit, widthPx, fontPx)] : []),
  ];
  return composeSheet(
    {
      fontPx,
      title: titleBlock(
        fit.material.name,
        `fitted to ${photoName}; swatch burned on ${swatch.machine.name}`,
        fontPx,
      ),
      panels,
      panelFlow: 'column',
      footer: { key: [keyBlock(fontPx)], text: [notesBlock(footnotes(fit), fontPx)] },
    },
    drawSvg,
  );
}

function footnotes({ remarks, untold }: SwatchFit): string[] {
  const stay = untold
    .map((sentence) => / stays? as (it was|they were)/.exec(sentence))
    .filter((found) => found !== null);
  const names = stay.map((found) => found.input.slice(0, found.index).toLowerCase());
  return [
    ...(names.length > 0 ? [`Not told by this swatch, and left as they were: ${names.join(', ')}.`] : []),
    ...remarks,
  ];
}

/** What the signs of the upper field mean. */
function keyBlock(fontPx: number): Block {
  return () => {
    const row = fontPx * 1.35;
    const line = Math.max(1.5, fontPx * 0.09);
    const words = [
      'a patch, in its colour on the photo',
      'what the fitted profile forecasts',
      'two standard uncertainties of that',
    ];
    const side = fontPx * 0.86;
    const signs = [
      `<rect x="${px(fontPx * 0.4)}" y="${px(fontPx * 0.2)}" width="${px(side)}" height="${px(side)}" fill="#8f6a49" stroke="${INK}" stroke-opacity="0.75" stroke-width="${px(line * 0.45)}"/>`,
      rectAt(0, row + fontPx * 0.62, fontPx * 1.7, line, INK),
      rectAt(0, 2 * row + fontPx * 0.22, fontPx * 1.7, fontPx * 0.8, EMBER, 0.2),
    ];
    const svg = words
      .map((word, k) =>
        textAt(fontPx * 2.2, k * row + fontPx * 0.95, word, { sizePx: fontPx, fill: QUIET_INK }),
      )
      .join('');
    return { heightPx: words.length * row, svg: signs.join('') + svg };
  };
}

/** A field a little lighter than the paper around it. */
const FIELD = [251, 248, 241] as const;
const STRIP_FONTS = 1.7;
const CURVE_STEPS = 120;
const BAND_SIGMAS = 2;

function tonePanel(fit: SwatchFit, widthPx: number, fontPx: number): Panel {
  const { observations, response, material } = fit;
  const doses = observations.map(({ dose }) => coolDoseOf(dose, material)).filter((dose) => dose > 0);
  const plot: Plot = {
    widthPx,
    heightPx: Math.round(widthPx * 0.4),
    fontPx,
    across: [leastOf(doses) * 0.82, greatestOf(doses) * 1.22],
    up: [0, 100],
    acrossName: 'dose of the patch as of one cool firing, J/mm²',
    upName: 'L*',
  };
  const dwellS = median(observations, ({ dose }) => dose.dwellS)!;
  const curve = Array.from({ length: CURVE_STEPS + 1 }, (_, k) => {
    const dose = plot.across[0] * (plot.across[1] / plot.across[0]) ** (k / CURVE_STEPS);
    return { dose, ...response.lightnessAt(dose, dwellS) };
  });
  const at = (sigmas: number): PlotPoint[] => curve.map(({ dose, l, sigma }) => [dose, l + sigmas * sigma]);
  const stroke = Math.max(1.5, fontPx * 0.09);
  let svg = gridLines(plot, [20, 40, 60, 80]);
  svg += doseMark(plot, 'first mark', material.first_mark_j_mm2);
  svg += doseMark(plot, 'full char', material.full_char_j_mm2);
  svg += `<path d="${areaBetween(plot, at(BAND_SIGMAS), at(-BAND_SIGMAS))}" fill="${EMBER}" fill-opacity="0.2"/>`;
  svg += `<path d="${pathThrough(plot, at(0))}" fill="none" stroke="${INK}" stroke-width="${px(stroke)}"/>`;
  const side = fontPx * 0.86;
  for (const { dose, lab, sigma } of observations) {
    if (!(dose.meanJPerMm2 > 0)) continue;
    const x = acrossToPx(plot, coolDoseOf(dose, material));
    const y = upToPx(plot, lab[0]);
    const reach = (sigma[0] * plot.heightPx) / (plot.up[1] - plot.up[0]);
    svg += rectAt(x - stroke / 4, y - reach, stroke / 2, 2 * reach, INK, 0.7);
    svg +=
      `<rect x="${px(x - side / 2)}" y="${px(y - side / 2)}" width="${px(side)}" height="${px(side)}" ` +
      `fill="${cssOf(linearOfLab(lab))}" stroke="${INK}" stroke-opacity="0.75" stroke-width="${px(stroke * 0.45)}"/>`;
  }
  return {
    raster: fieldWithStrip(plot, fit, dwellS),
    view: viewOf(plot),
    look: 'map',
    heading: headingBlock(
      'L*',
      'lightness of the patches over the dose they truly got; below, the wood that the fit forecasts',
      fontPx,
    ),
    axes: plotAxes(plot),
    overlaySvg: clipped('tone', plot, svg),
  };
}

/** The empty field, with the wood as the fit forecasts it along its lower edge, dose for dose. */
function fieldWithStrip(plot: Plot, { material, response }: SwatchFit, dwellS: number): Picture {
  const field = blankPicture(plot.widthPx, plot.heightPx, FIELD);
  const heightPx = Math.round(plot.fontPx * STRIP_FONTS);
  const tones = Float32Array.from({ length: plot.widthPx }, (_, x) => {
    const dose = plot.across[0] * (plot.across[1] / plot.across[0]) ** ((x + 0.5) / plot.widthPx);
    return toneOf(dose, dwellS, material, response.scene.beam.wavelengthNm);
  });
  const pxPerMm = plot.widthPx / 100;
  const burn: Burn = {
    frame: { nx: plot.widthPx, ny: heightPx, x0Mm: 0, y0Mm: 0, cellMm: 1 / pxPerMm },
    tone: Float32Array.from({ length: plot.widthPx * heightPx }, (_, k) => tones[k % plot.widthPx]!),
    depthMm: new Float32Array(plot.widthPx * heightPx),
    through: null,
  };
  const view = { leftMm: 0, bottomMm: 0, pxPerMm, widthPx: plot.widthPx, heightPx };
  placePicture(field, woodRaster(burn, view, tonePathOf(material)), 0, plot.heightPx - heightPx);
  return field;
}

/** A dose of the profile: an upright line, its uncertainty as a pale band, its name and value at the top. */
function doseMark(
  plot: Plot,
  name: string,
  { value, plus_minus }: { value: number; plus_minus: number | null },
): string {
  const x = acrossToPx(plot, value);
  const size = plot.fontPx * 0.86;
  const sigma = plus_minus ?? 0;
  const left = acrossToPx(plot, Math.max(plot.across[0], value - sigma));
  const right = acrossToPx(plot, value + sigma);
  const label = `${name} ${Number(value.toPrecision(3))}${plus_minus === null ? '' : ` ± ${twoDigits(plus_minus)}`} J/mm²`;
  return (
    rectAt(left, 0, Math.max(1, right - left), plot.heightPx, HAIRLINE, 0.25) +
    rectAt(x - 0.75, 0, 1.5, plot.heightPx, HAIRLINE) +
    textAt(x + size * 0.4, plot.heightPx * 0.045 + size * 0.6, label, { sizePx: size, fill: QUIET_INK })
  );
}

function linePanel(ladders: readonly LadderFit[], widthPx: number, fontPx: number): Panel {
  const points = ladders.flatMap((ladder) => ladder.points);
  const energies = points.map((point) => point.lineEnergyJPerMm);
  const squares = points.map((point) => (point.widthMm + point.sigmaMm) ** 2);
  const top = greatestOf([...squares, ...points.map((point) => point.fittedMm ** 2)]) * 1.12;
  const plot: Plot = {
    widthPx,
    heightPx: Math.round(widthPx * 0.15),
    fontPx,
    across: [leastOf(energies) * 0.85, greatestOf(energies) * 1.2],
    up: [-0.04 * top, top],
    acrossName: 'line energy, J/mm',
    upName: 'mm²',
  };
  const stroke = Math.max(1.5, fontPx * 0.08);
  let svg = gridLines(plot, [0]);
  ladders.forEach((ladder, k) => {
    const colour = ladder.along === 'x' ? INK : EMBER;
    const curve = ladder.points.map((point): PlotPoint => [point.lineEnergyJPerMm, point.fittedMm ** 2]);
    svg += `<path d="${pathThrough(plot, curve)}" fill="none" stroke="${colour}" stroke-width="${px(stroke)}"/>`;
    for (const { lineEnergyJPerMm, widthMm, sigmaMm } of ladder.points) {
      const x = acrossToPx(plot, lineEnergyJPerMm);
      const square = (width: number) => Math.sign(width) * width * width;
      const y = upToPx(plot, square(widthMm));
      const high = upToPx(plot, square(widthMm + sigmaMm));
      const low = upToPx(plot, square(widthMm - sigmaMm));
      svg += rectAt(x - stroke / 3, high, stroke * 0.67, low - high, colour, 0.6);
      svg += markOf(ladder.along, x, y, fontPx * 0.27, colour);
    }
    const y = fontPx * (1.3 + 1.35 * k);
    svg += markOf(ladder.along, fontPx, y, fontPx * 0.27, colour);
    svg += textAt(fontPx * 1.7, y + fontPx * 0.3, ladderWords(ladder), {
      sizePx: fontPx * 0.86,
      fill: colour,
    });
  });
  return {
    raster: blankPicture(plot.widthPx, plot.heightPx, FIELD),
    view: viewOf(plot),
    look: 'map',
    heading: headingBlock(
      'mm²',
      'squared width of the lines; its slope tells the width of the spot, its foot the dose at which lines begin',
      fontPx,
    ),
    axes: plotAxes(plot),
    overlaySvg: clipped('lines', plot, svg),
  };
}

const ladderWords = ({ along, widthMm, widthSigmaMm, profileWidthMm }: LadderFit): string =>
  `lines along ${along}: spot ${widthMm.toFixed(3)} ± ${widthSigmaMm.toFixed(3)} mm across them, ${profileWidthMm.toFixed(3)} in the machine profile`;

/** Round for lines along x, square on its corner for lines along y: told apart without colour. */
const markOf = (along: 'x' | 'y', x: number, y: number, radius: number, colour: string): string =>
  along === 'x'
    ? `<circle cx="${px(x)}" cy="${px(y)}" r="${px(radius)}" fill="${colour}"/>`
    : `<path d="M${px(x)} ${px(y - radius * 1.25)}l${px(radius * 1.25)} ${px(radius * 1.25)}l${px(-radius * 1.25)} ${px(radius * 1.25)}l${px(-radius * 1.25)} ${px(-radius * 1.25)}Z" fill="${colour}"/>`;

function cutPanel(fit: SwatchFit, widthPx: number, fontPx: number): Panel {
  const { removal, cuts, material } = fit;
  if (!isFit(removal)) throw new RangeError('invalid fit: no removal; expected one to draw');
  const doses = cuts.map(({ peakJPerMm2 }) => peakJPerMm2);
  const plot: Plot = {
    widthPx,
    heightPx: Math.round(fontPx * 3.4),
    fontPx,
    across: [leastOf(doses) * 0.93, greatestOf(doses) * 1.07],
    up: [0, 1],
    acrossName: 'dose on the line’s centre, J/mm²',
    upName: '',
  };
  const [low, high] = removal.betweenJPerMm2.map((dose) => acrossToPx(plot, dose)) as [number, number];
  let svg = rectAt(low, 0, high - low, plot.heightPx, EMBER, 0.2);
  const radius = fontPx * 0.42;
  const y = plot.heightPx * 0.62;
  for (const { n, peakJPerMm2, through } of cuts) {
    const x = acrossToPx(plot, peakJPerMm2);
    svg += `<circle cx="${px(x)}" cy="${px(y)}" r="${px(radius)}" fill="${through ? INK : `rgb(${PAPER.join(', ')})`}" stroke="${INK}" stroke-width="${px(fontPx * 0.08)}"/>`;
    svg += textAt(x, y - radius * 1.7, String(n), {
      sizePx: fontPx * 0.78,
      fill: QUIET_INK,
      anchor: 'middle',
    });
  }
  const { value, plus_minus } = material.removal_j_mm3;
  return {
    raster: blankPicture(plot.widthPx, plot.heightPx, FIELD),
    view: viewOf(plot),
    look: 'map',
    heading: headingBlock(
      '',
      `cuts by number, filled where they went through; removal ${value} ± ${plus_minus} J/mm³`,
      fontPx,
    ),
    axes: plotAxes(plot),
    overlaySvg: clipped('cuts', plot, svg),
  };
}

const gridLines = (plot: Plot, values: readonly number[]): string =>
  values.map((value) => rectAt(0, upToPx(plot, value) - 0.5, plot.widthPx, 1, HAIRLINE, 0.3)).join('');

/** What is drawn stays within its field. */
const clipped = (id: string, { widthPx, heightPx }: Plot, svg: string): string =>
  `<defs><clipPath id="${id}"><rect width="${px(widthPx)}" height="${px(heightPx)}"/></clipPath></defs><g clip-path="url(#${id})">${svg}</g>`;

const cssOf = (light: LinearRgb): string =>
  `rgb(${light.map((c) => Math.round(Math.min(255, codedOf(c)))).join(', ')})`;
