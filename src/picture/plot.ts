import { greatestOf } from '../lists.ts';
import { roundSteps, ticksOver } from './numbers.ts';
import type { PanelAxes } from './sheet.ts';
import { HAIRLINE, INK, px, QUIET_INK, rectAt, textAt } from './svg.ts';
import { textWidthPx } from './text.ts';
import type { View } from './view.ts';

/** A plain plot: a ratio scale across, an even scale up, its upper left corner at (0, 0). */
export interface Plot {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly fontPx: number;
  /** From where to where across; both above 0. */
  readonly across: readonly [number, number];
  readonly up: readonly [number, number];
  readonly acrossName: string;
  /** '' where there is no axis upwards. */
  readonly upName: string;
}

export type PlotPoint = readonly [across: number, up: number];

export const acrossToPx = ({ widthPx, across: [from, to] }: Plot, value: number): number =>
  (widthPx * Math.log(value / from)) / Math.log(to / from);

export const upToPx = ({ heightPx, up: [from, to] }: Plot, value: number): number =>
  heightPx * (1 - (value - from) / (to - from));

/** A place in pixels as SVG writes it. */
const placeAt = (plot: Plot, [across, up]: PlotPoint): string =>
  `${px(acrossToPx(plot, across))} ${px(upToPx(plot, up))}`;

export const pathThrough = (plot: Plot, points: readonly PlotPoint[]): string =>
  `M${points.map((point) => placeAt(plot, point)).join('L')}`;

/** The area between two curves, the second walked back. */
export const areaBetween = (plot: Plot, upper: readonly PlotPoint[], lower: readonly PlotPoint[]): string =>
  `${pathThrough(plot, [...upper, ...lower.toReversed()])}Z`;

/** A plot has no millimetres; a view of one pixel each stands for it on the sheet. */
export const viewOf = ({ widthPx, heightPx }: Plot): View => ({
  leftMm: 0,
  bottomMm: 0,
  pxPerMm: 1,
  widthPx,
  heightPx,
});

const labelSize = (fontPx: number): number => fontPx * 0.86;

/** Ticks, numbers and names; the upward scale's name stands over its numbers, in the heading's line. */
export function plotAxes(plot: Plot): PanelAxes {
  const { fontPx } = plot;
  const size = labelSize(fontPx);
  const upTicks = plot.upName === '' ? null : ticksOver(...plot.up, Math.max(2, plot.heightPx / (size * 3)));
  const widest = upTicks ? greatestOf(upTicks.labels.map((label) => textWidthPx(label, size))) : 0;
  return {
    room: ({ offsetPx }) => ({
      leftPx: Math.ceil(offsetPx + widest + fontPx * 1.1),
      belowPx: Math.ceil(offsetPx + fontPx * 2.9),
    }),
    svg: ({ offsetPx }) => {
      const long = fontPx * 0.42;
      const line = Math.max(1, fontPx / 18);
      const below = plot.heightPx + offsetPx;
      const style = { sizePx: size, fill: QUIET_INK };
      let svg = '';
      for (const value of roundSteps(...plot.across, [1, 2, 3, 4, 5, 6, 7, 8, 9])) {
        svg += rectAt(acrossToPx(plot, value) - line / 2, below, line, long * 0.5, HAIRLINE);
      }
      for (const value of roundSteps(...plot.across, [1, 2, 5])) {
        const x = acrossToPx(plot, value);
        svg += rectAt(x - line / 2, below, line, long, HAIRLINE);
        svg += textAt(x, below + long + size * 1.05, String(value), { ...style, anchor: 'middle' });
      }
      svg += textAt(plot.widthPx / 2, below + long + size * 2.3, plot.acrossName, {
        sizePx: size,
        fill: INK,
        anchor: 'middle',
      });
      upTicks?.values.forEach((value, k) => {
        const y = upToPx(plot, value);
        svg += rectAt(-offsetPx - long, y - line / 2, long, line, HAIRLINE);
        svg += textAt(-offsetPx - long - size * 0.3, y + size * 0.33, upTicks.labels[k]!, {
          ...style,
          anchor: 'end',
        });
      });
      return `<g>${svg}</g>`;
    },
  };
}
