import {
  CAREFUL_ENTRY,
  type DemoEntry,
  type DemoJobName,
  MARGIN_MM,
  MARKER_ENTRY,
  SET_ENTRY,
  SIGN_ENTRY,
} from './catalogue.ts';
import { type Block, gcode } from './gcode.ts';
import type { Point } from './geometry.ts';
import { BASIL, MINT, THYME } from './herbs.ts';
import type { Font } from './lettering.ts';
import { MARKER_MM, marker } from './marker.ts';
import { burnPieces, operation, turning } from './piece.ts';
import { burnRows } from './raster.ts';
import { FIRST_TRY, PICTURE, WITH_CARE, WORKSHOP } from './settings.ts';
import { leafPicture, sign } from './sign.ts';

/** The demo's jobs as G-code, from nothing but the font: the texts checked in under jobs/. */
export function makeJobs(font: Font): Record<DemoJobName, string> {
  const cornerMm: Point = [MARGIN_MM, MARGIN_MM];
  const oneMarker = [marker(font, BASIL, cornerMm)];
  return {
    marker: job(MARKER_ENTRY, burnPieces(oneMarker, FIRST_TRY)),
    'marker-careful': job(CAREFUL_ENTRY, burnPieces(oneMarker, WITH_CARE)),
    'marker-set': job(SET_ENTRY, burnPieces(threeMarkers(font, cornerMm), WORKSHOP)),
    sign: job(SIGN_ENTRY, [...shadedLeaf(cornerMm), ...burnPieces([sign(font, cornerMm)], WORKSHOP)]),
  };
}

const job = ({ title, stock }: DemoEntry, blocks: readonly Block[]): string =>
  gcode(
    [
      `${title}. From a herb-garden set in ${stock.thicknessMm} mm poplar plywood.`,
      `Board ${stock.widthMm} x ${stock.heightMm} mm, zero at its lower left corner, beam focused on its top.`,
    ],
    blocks,
  );

const GAP_BETWEEN_MARKERS_MM = 3;

/** From the bottom up, so that the board reads basil, thyme, mint from above. */
const threeMarkers = (font: Font, [xMm, yMm]: Point) =>
  [MINT, THYME, BASIL].map((herb, k) =>
    marker(font, herb, [xMm, yMm + k * (MARKER_MM.height + GAP_BETWEEN_MARKERS_MM)], 'hole'),
  );

function shadedLeaf(cornerMm: Point): Block[] {
  const { engrave, power } = WORKSHOP;
  const text = `Engrave the leaf in shades: S from ${PICTURE.sLightest} to ${PICTURE.sDarkest}, ${turning(engrave)}`;
  return operation(text, power, burnRows(leafPicture(cornerMm, PICTURE), engrave));
}
