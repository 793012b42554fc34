import { guessNote } from '../burn/guesses.ts';
import { ROW_MM } from '../burn/speed-power.ts';
import type { Chart, ChartPanel } from '../chart/chart.ts';
import { areLines, crossingWords } from '../chart/notes.ts';
import { frameOver } from '../grid.ts';
import { guessBlock, headingBlock, notesBlock, titleBlock } from './blocks.ts';
import { CAPTION_ABOVE, type ChartFrame, chartAxes } from './chart-frame.ts';
import { chartKey } from './chart-key.ts';
import { chartBurn, chartPanelSvg } from './chart-panel.ts';
import { lengthText } from './numbers.ts';
import type { DrawSvg, Picture } from './picture.ts';
import { composeSheet, fontPxFor, type Panel, type Sheet } from './sheet.ts';
import type { Block } from './svg.ts';
import type { TonePath } from './tone.ts';
import type { View } from './view.ts';
import { woodRaster } from './wood.ts';

export interface ChartPictureOptions {
  /** What the chart is about, at the head of the sheet. */
  readonly title: string;
  readonly about: string;
  /** One sentence for each operation that is a point on the chart. */
  readonly operations?: readonly string[];
  readonly notes?: readonly string[];
  readonly tonePath: TonePath;
  readonly grain?: number;
  /** About how wide the sheet becomes, in pixels. */
  readonly widthPx?: number;
}

const CHART_WIDTH_PX = 1800;

/** The board of a panel is drawn as if it were this wide, mm: that sets how large its grain looks. */
const BOARD_MM = 150;

/**
 * The speed–power chart: for each use of the beam a board with every setting burned into it, speed across, power
 * up, cut away where the beam goes through. Thin curves join settings of equal dose.
 */
export const chartPicture = (chart: Chart, options: ChartPictureOptions, drawSvg: DrawSvg): Picture =>
  composeSheet(chartSheet(chart, options), drawSvg);

/** The sheet of a chart's picture; its boards are painted when they are asked for. */
export function chartSheet(chart: Chart, options: ChartPictureOptions): Sheet {
  const {
    title,
    about,
    operations = [],
    notes = [],
    tonePath,
    grain = 1,
    widthPx = CHART_WIDTH_PX,
  } = options;
  const fontPx = fontPxFor(widthPx);
  const { material } = chart.panels[0]!.work;
  const many = chart.panels.length;
  const side = many === 2;
  const fieldWidth = side ? widthPx * 0.435 : widthPx * 0.9;
  const fieldHeight = side ? fieldWidth * 0.92 : fieldWidth * (many === 1 ? 0.52 : 0.4);
  const panels = chart.panels.map((panel, k) =>
    panelOf(panel, Math.round(fieldWidth), Math.round(fieldHeight), fontPx, `chart${k}`, options),
  );
  return {
    fontPx,
    title: titleBlock(title, about, fontPx),
    panels,
    panelFlow: side ? 'row' : 'column',
    footer: {
      key: [chartKey(chart, tonePath, grain, fontPx)],
      text: [
        notesBlock(operations, fontPx),
        guessBlock(guessNote(material), fontPx),
        notesBlock(notes, fontPx),
      ],
    },
  };
}

function panelOf(
  panel: ChartPanel,
  widthPx: number,
  heightPx: number,
  fontPx: number,
  id: string,
  look: Pick<ChartPictureOptions, 'tonePath' | 'grain'>,
): Panel {
  const frame = frameOf(panel, { widthPx, heightPx, fontPx });
  const view = viewOf(frame);
  return {
    get raster() {
      return boardRaster(panel, view, look);
    },
    view,
    overlaySvg: chartPanelSvg(panel, frame, id),
    look: 'board',
    heading: roomUnder(headingBlock(...headingWords(panel), fontPx), fontPx * (CAPTION_ABOVE + 0.55)),
    axes: chartAxes(frame),
  };
}

const frameOf = ({ speedsMmPerS }: ChartPanel, size: Omit<ChartFrame, 'speedsMmPerS'>): ChartFrame => ({
  ...size,
  speedsMmPerS,
});

const viewOf = ({ widthPx, heightPx }: ChartFrame): View => ({
  leftMm: 0,
  bottomMm: 0,
  pxPerMm: widthPx / BOARD_MM,
  widthPx,
  heightPx,
});

function boardRaster(
  panel: ChartPanel,
  view: View,
  { tonePath, grain = 1 }: Pick<ChartPictureOptions, 'tonePath' | 'grain'>,
): Picture {
  const { pxPerMm, widthPx, heightPx } = view;
  const bounds = { minXMm: 0, minYMm: 0, maxXMm: widthPx / pxPerMm, maxYMm: heightPx / pxPerMm };
  return woodRaster(chartBurn(panel, frameOver(bounds, 1 / pxPerMm)), view, tonePath, grain);
}

/** One panel of a chart without a sheet around it. */
export interface ChartField {
  readonly frame: ChartFrame;
  /** The burned board, … */
  readonly raster: Picture;
  readonly view: View;
  /** … and what is drawn over it. */
  readonly overlaySvg: string;
}

/** The field of a panel, for a sheet or for a page. `id` tells its clip and mask from other panels'. */
export function chartField(
  panel: ChartPanel,
  {
    id,
    tonePath,
    grain = 1,
    ...size
  }: Pick<ChartPictureOptions, 'tonePath' | 'grain'> &
    Omit<ChartFrame, 'speedsMmPerS'> & { readonly id: string },
): ChartField {
  const frame = frameOf(panel, size);
  const view = viewOf(frame);
  return {
    frame,
    raster: boardRaster(panel, view, { tonePath, grain }),
    view,
    overlaySvg: chartPanelSvg(panel, frame, id),
  };
}

/** What a panel is for, and which dose its curves mean. */
export function headingWords({ work }: ChartPanel): [string, string] {
  const { use, passes } = work;
  const times = passes > 1 ? `, ${passes} passes` : '';
  return use.kind === 'line'
    ? ['Lines', `dose along the middle of a single line${times}`]
    : [
        'Rows',
        `${lengthText(use.rowSpacingMm)} mm apart, ${lengthText(use.rowLengthMm ?? ROW_MM)} mm long${crossingWords(use)}, ${areLines(work) ? 'dose along the middle of each' : 'mean dose of the filled area'}${times}`,
      ];
}

const roomUnder =
  (block: Block, roomPx: number): Block =>
  (widthPx) => {
    const { heightPx, svg } = block(widthPx);
    return { heightPx: heightPx + roomPx, svg };
  };
