import { greatestOf } from '../lists.ts';
import { type AxesSizes, axesRoom, axesSvg } from './axes.ts';
import { blankPicture, type DrawSvg, layOver, type Picture, placePicture } from './picture.ts';
import { paintShadow } from './shadow.ts';
import { type Block, beside, HAIRLINE, PAPER, px, rectAt, shifted, stacked, svgDocument } from './svg.ts';
import type { View } from './view.ts';

/** One raster on the sheet, with its axes and, where there are several, a heading. */
export interface Panel {
  readonly raster: Picture;
  readonly view: View;
  /** `board`: a piece of wood with side and shadow; `map`: a flat field with a hairline round it. */
  readonly look: 'board' | 'map';
  readonly heading: Block | null;
  /** What stands round the raster; left out: millimetres. */
  readonly axes?: PanelAxes;
  /** Drawn over the raster, from its upper left corner. */
  readonly overlaySvg?: string;
}

/** Axes of a panel: the room they need to the left of and under the raster, and their drawing. */
export interface PanelAxes {
  readonly room: (sizes: AxesSizes) => { readonly leftPx: number; readonly belowPx: number };
  readonly svg: (sizes: AxesSizes) => string;
}

const axesOf = ({ axes, view }: Panel): PanelAxes =>
  axes ?? { room: (sizes) => axesRoom(view, sizes), svg: (sizes) => axesSvg(view, sizes) };

/** What stands on a sheet, not yet set. */
export interface Sheet {
  readonly fontPx: number;
  readonly title: Block;
  readonly panels: readonly Panel[];
  readonly panelFlow: 'row' | 'column';
  /** `key`: how to read the picture (scale bar, legend); `text`: what is to be said about it. */
  readonly footer: { readonly key: readonly Block[]; readonly text: readonly Block[] };
}

/** The narrowest that text may be set, and the width of a column of it, in font sizes. */
const LEAST_TEXT_WIDTH = 27;
const COLUMN_WIDTH = 25;
/** The width of the key where the text stands beside it. */
const KEY_WIDTH = 21;

/** The font size that goes with a long side of so many pixels; never too small to read. */
export const fontPxFor = (longSidePx: number): number => Math.max(11, Math.round(longSidePx / 66));

/** How thick the board's side looks, in pixels. */
const sidePx = (fontPx: number): number => Math.max(2, Math.round(fontPx * 0.26));

interface PlacedPanel {
  readonly panel: Panel;
  readonly headingTop: number;
  /** Upper left corner of the raster, whole pixels. */
  readonly left: number;
  readonly top: number;
}

/** A sheet that is set: its size, everything that is drawn, and where the rasters go beneath it. */
interface SetSheet {
  readonly width: number;
  readonly height: number;
  /** The whole document. */
  readonly svg: string;
  /** Upper left corners, whole pixels. */
  readonly panels: readonly { readonly panel: Panel; readonly left: number; readonly top: number }[];
}

/** Sets the sheet and has it drawn, then paints the rasters, for which nobody was asked before, and lays the drawing over them. */
export function composeSheet(sheet: Sheet, drawSvg: DrawSvg): Picture {
  const { width, height, svg, panels } = setSheet(sheet);
  const drawing = drawSvg(svg);
  const picture = blankPicture(width, height, PAPER);
  for (const { panel, left, top } of panels) {
    if (panel.look === 'board')
      paintShadow(picture, left, top, panel.view, sidePx(sheet.fontPx), sheet.fontPx);
    placePicture(picture, panel.raster, left, top);
  }
  layOver(picture, drawing);
  return picture;
}

/**
 * Title, panels with their axes, and the footer under them, or beside them when they are tall and narrow. Nothing is painted
 * yet.
 */
export function setSheet(sheet: Sheet): SetSheet {
  const { fontPx } = sheet;
  const margin = Math.round(fontPx * 1.7);
  const field = placePanels(sheet);
  const footBeside = field.heightPx > fontPx * 22 && field.widthPx < 0.62 * field.heightPx;
  const columnPx = fontPx * COLUMN_WIDTH;
  const gap = fontPx * 0.9;
  const footer = beside(
    stacked(sheet.footer.key, gap),
    fontPx * KEY_WIDTH,
    stacked(sheet.footer.text, gap * 0.5),
    gap * 2.5,
  );
  const innerWidth = footBeside
    ? field.widthPx + columnPx
    : Math.max(field.widthPx, Math.round(fontPx * LEAST_TEXT_WIDTH) - margin);
  const title = sheet.title(innerWidth);
  const fieldTop = margin + Math.ceil(title.heightPx + fontPx * 0.9);
  const foot = footer(footBeside ? columnPx - margin : innerWidth - field.gutterPx);
  const footLeft = margin + (footBeside ? field.widthPx + fontPx * 0.5 : field.gutterPx);
  const footTop = footBeside ? fieldTop : fieldTop + field.heightPx + fontPx * 0.9;
  const width = Math.ceil(innerWidth + 2 * margin);
  const height = Math.ceil(Math.max(fieldTop + field.heightPx, footTop + foot.heightPx) + margin * 0.9);

  const panels = field.placed.map(({ panel, left, top }) => ({
    panel,
    left: margin + left,
    top: fieldTop + top,
  }));
  let svg = shifted(margin, margin, title.svg) + shifted(footLeft, footTop, foot.svg);
  field.placed.forEach(({ panel, headingTop }, k) => {
    const { left, top } = panels[k]!;
    const heading = panel.heading?.(headingWidth(panel, fontPx));
    if (heading) svg += shifted(left, fieldTop + headingTop, heading.svg);
    svg += shifted(left, top, (panel.look === 'board' ? boardSide : mapFrame)(panel.view, sidePx(fontPx)));
    svg += shifted(left, top, (panel.overlaySvg ?? '') + axesOf(panel).svg(axesSizes(sheet)));
  });
  return { width, height, svg: svgDocument(width, height, svg), panels };
}

/** A heading gets its panel's width, and enough to be read over a narrow one. */
const headingWidth = ({ view }: Panel, fontPx: number): number =>
  Math.max(view.widthPx + fontPx, fontPx * 12);

/** Ticks keep clear of a board's side and shadow; all panels alike, so that their axes stand level. */
const axesSizes = ({ panels, fontPx }: Sheet) => ({
  fontPx,
  offsetPx: panels.some(({ look }) => look === 'board') ? sidePx(fontPx) + fontPx * 0.45 : fontPx * 0.2,
});

/** Panels side by side or one under another; corner at (0, 0). */
function placePanels(sheet: Sheet) {
  const { panels, panelFlow, fontPx } = sheet;
  const rooms = panels.map((panel) => axesOf(panel).room(axesSizes(sheet)));
  const gutterPx = greatestOf(rooms.map((room) => room.leftPx));
  const placed: PlacedPanel[] = [];
  let x = 0;
  let y = 0;
  let widthPx = 0;
  let heightPx = 0;
  panels.forEach((panel, k) => {
    const heading = panel.heading?.(headingWidth(panel, fontPx));
    const headingPx = heading ? Math.ceil(heading.heightPx + fontPx * 0.3) : 0;
    placed.push({ panel, headingTop: y, left: x + gutterPx, top: y + headingPx });
    const panelWidth = gutterPx + (heading ? headingWidth(panel, fontPx) : panel.view.widthPx + fontPx);
    const panelHeight = headingPx + panel.view.heightPx + rooms[k]!.belowPx;
    widthPx = Math.max(widthPx, x + panelWidth);
    heightPx = Math.max(heightPx, y + panelHeight);
    if (panelFlow === 'row') x += Math.ceil(panelWidth + fontPx * 0.4);
    else y += Math.ceil(panelHeight + fontPx * 0.6);
  });
  return { placed, gutterPx, widthPx: Math.ceil(widthPx), heightPx };
}

/** The near side of the board, seen at a slant just enough to show that it has one. */
function boardSide({ widthPx, heightPx }: View, side: number): string {
  return (
    rectAt(0, heightPx, widthPx, side, '#a98352') +
    rectAt(0, heightPx + side * 0.36, widthPx, side * 0.28, '#8b673d') +
    rectAt(0, 0, widthPx, 1, '#fffaeb', 0.45) +
    rectAt(0, heightPx - 1, widthPx, 1, '#3c230f', 0.25)
  );
}

const mapFrame = ({ widthPx, heightPx }: View): string =>
  `<rect x="-0.5" y="-0.5" width="${px(widthPx + 1)}" height="${px(heightPx + 1)}" fill="none" stroke="${HAIRLINE}"/>`;
