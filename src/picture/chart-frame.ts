import type { Place, Polyline } from '../chart/curves.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { roundSteps } from './numbers.ts';
import type { PanelAxes } from './sheet.ts';
import { HAIRLINE, INK, QUIET_INK, rectAt, textAt } from './svg.ts';
import { textWidthPx } from './text.ts';

/** The field of one chart panel: speed across by ratio, power up evenly; its upper left corner at (0, 0). */
export interface ChartFrame {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly speedsMmPerS: readonly [number, number];
  readonly fontPx: number;
}

export type PxPoint = readonly [x: number, y: number];

export const speedToPx = ({ widthPx, speedsMmPerS: [from, to] }: ChartFrame, mmPerS: number): number =>
  (widthPx * Math.log(mmPerS / from)) / Math.log(to / from);

export const pxToSpeed = ({ widthPx, speedsMmPerS: [from, to] }: ChartFrame, x: number): number =>
  from * (to / from) ** (x / widthPx);

export const powerToPx = ({ heightPx }: ChartFrame, power: number): number => heightPx * (1 - power);

/** A curve in pixels. What lies more than the field's width beside it stays there, however slow or fast it is. */
export const curvePx = (frame: ChartFrame, line: Polyline): PxPoint[] =>
  line.map(([speed, power]: Place) => [
    Math.max(-frame.widthPx, Math.min(2 * frame.widthPx, speedToPx(frame, speed))),
    powerToPx(frame, power),
  ]);

/** How far above the field the caption of the power axis stands, in font sizes; a heading leaves room for it. */
export const CAPTION_ABOVE = 0.75;

const labelSize = (fontPx: number): number => fontPx * 0.86;

/** The axes as a sheet takes them: the room to the left of and under the field, and their drawing. */
export const chartAxes = (frame: ChartFrame): PanelAxes => ({
  room: ({ fontPx, offsetPx }) => ({
    leftPx: Math.ceil(offsetPx + fontPx * 0.42 + labelSize(fontPx) * 2.1),
    belowPx: Math.ceil(offsetPx + fontPx * 2.9),
  }),
  svg: ({ offsetPx }) => chartAxesSvg(frame, offsetPx),
});

/** Ticks, numbers and captions: *speed, mm/min* under the field, *power, %* over its upper left corner. */
function chartAxesSvg(frame: ChartFrame, offsetPx: number): string {
  const { widthPx, heightPx, fontPx } = frame;
  const size = labelSize(fontPx);
  const long = fontPx * 0.42;
  const line = Math.max(1, fontPx / 18);
  const below = heightPx + offsetPx;
  const baseline = below + long + size * 1.05;
  const style = { sizePx: size, fill: QUIET_INK };
  let svg = '';
  const [from, to] = frame.speedsMmPerS.map(mmPerSToMmPerMin) as [number, number];
  for (const [mmPerMin, length] of [
    ...roundSteps(from * 0.999, to * 1.001, [1, 2, 3, 4, 5, 6, 7, 8, 9]).map((v) => [v, 0.5] as const),
    ...speedTicks(frame).map((v) => [v, 1] as const),
  ]) {
    svg += rectAt(speedToPx(frame, mmPerMin / 60) - line / 2, below, line, long * length, HAIRLINE);
  }
  for (const mmPerMin of speedTicks(frame)) {
    const x = speedToPx(frame, mmPerMin / 60);
    svg += textAt(x, baseline, String(mmPerMin), { ...style, anchor: 'middle' });
  }
  for (let percent = 0; percent <= 100; percent += 5) {
    const y = powerToPx(frame, percent / 100);
    const labelled = percent % 20 === 0;
    svg += rectAt(
      -offsetPx - long * (labelled ? 1 : 0.5),
      y - line / 2,
      long * (labelled ? 1 : 0.5),
      line,
      HAIRLINE,
    );
    if (labelled)
      svg += textAt(-offsetPx - long - size * 0.3, y + size * 0.33, String(percent), {
        ...style,
        anchor: 'end',
      });
  }
  const caption = { sizePx: size, fill: INK };
  svg += textAt(widthPx / 2, baseline + size * 1.4, 'speed, mm/min', { ...caption, anchor: 'middle' });
  svg += textAt(-offsetPx - long - size * 1.8, -CAPTION_ABOVE * fontPx, 'power, %', caption);
  return `<g>${svg}</g>`;
}

/** Labelled speeds, mm/min: round ones as dense as stay apart, and the top speed, which ends the axis. */
function speedTicks(frame: ChartFrame): number[] {
  const [from, to] = frame.speedsMmPerS.map(mmPerSToMmPerMin) as [number, number];
  const size = labelSize(frame.fontPx);
  const end = Number(to.toPrecision(4));
  const fits = (values: readonly number[]): boolean =>
    values.every((value, k) => k === 0 || apart(frame, values[k - 1]!, value, size));
  for (const digits of [[1, 2, 5], [1, 3], [1]]) {
    const round = roundSteps(from * 0.999, to * 0.999, digits);
    while (round.length > 0 && !apart(frame, round.at(-1)!, end, size)) round.pop();
    if (fits(round)) return [...round, end];
  }
  return [end];
}

function apart(frame: ChartFrame, a: number, b: number, sizePx: number): boolean {
  const room = (textWidthPx(String(a), sizePx) + textWidthPx(String(b), sizePx)) / 2 + sizePx * 0.6;
  return speedToPx(frame, b / 60) - speedToPx(frame, a / 60) >= room;
}
