import type { PxPoint } from './chart-frame.ts';
import { px, type TextStyle, textAt } from './svg.ts';
import { textWidthPx } from './text.ts';

/** A rectangle that may be turned: its middle, half its width and height, and its angle, rad. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly halfWidth: number;
  readonly halfHeight: number;
  readonly angle: number;
}

/** Whether two turned rectangles share a point: they do unless one of their four directions tells them apart. */
export function overlap(a: Box, b: Box): boolean {
  for (const angle of [a.angle, a.angle + Math.PI / 2, b.angle, b.angle + Math.PI / 2]) {
    const distance = Math.abs((b.x - a.x) * Math.cos(angle) + (b.y - a.y) * Math.sin(angle));
    if (distance > reach(a, angle) + reach(b, angle)) return false;
  }
  return true;
}

const reach = (box: Box, angle: number): number =>
  box.halfWidth * Math.abs(Math.cos(box.angle - angle)) +
  box.halfHeight * Math.abs(Math.sin(box.angle - angle));

/** Whether a box lies within 0 … width and 0 … height. */
export function within(box: Box, widthPx: number, heightPx: number): boolean {
  const across = reach(box, 0);
  const down = reach(box, Math.PI / 2);
  return box.x - across >= 0 && box.x + across <= widthPx && box.y - down >= 0 && box.y + down <= heightPx;
}

/** The box of a text with its middle at a place, with a little room round it. */
export const textBox = (text: string, sizePx: number, { x, y, angle }: OnCurve, bold = false): Box => ({
  x,
  y,
  halfWidth: textWidthPx(text, sizePx, bold) / 2 + sizePx * 0.25,
  halfHeight: sizePx * 0.55,
  angle,
});

/** A place on a curve: where, and which way the curve runs there, rad. */
interface OnCurve {
  readonly x: number;
  readonly y: number;
  readonly angle: number;
}

/** Where a curve whose y falls all the way passes the height y; null where it does not. */
export function onCurveAtY(points: readonly PxPoint[], y: number): OnCurve | null {
  for (let k = 1; k < points.length; k++) {
    const [x0, y0] = points[k - 1]!;
    const [x1, y1] = points[k]!;
    if (y0 >= y && y > y1) {
      const part = (y0 - y) / (y0 - y1);
      return { x: x0 + part * (x1 - x0), y, angle: Math.atan2(y1 - y0, x1 - x0) };
    }
  }
  return null;
}

/** Whether the curve runs through the box: some piece of it, clipped to the box in the box's own directions, is left. */
export function crosses(points: readonly PxPoint[], box: Box): boolean {
  const cos = Math.cos(box.angle);
  const sin = Math.sin(box.angle);
  const local = points.map(([x, y]): PxPoint => {
    const dx = x - box.x;
    const dy = y - box.y;
    return [dx * cos + dy * sin, dy * cos - dx * sin];
  });
  return local.some(([x1, y1], k) => {
    if (k === 0) return false;
    const [x0, y0] = local[k - 1]!;
    let from = 0;
    let to = 1;
    for (const [start, step, half] of [
      [x0, x1 - x0, box.halfWidth],
      [y0, y1 - y0, box.halfHeight],
    ] as const) {
      if (step === 0) {
        if (Math.abs(start) > half) return false;
        continue;
      }
      const [a, b] = [(-half - start) / step, (half - start) / step];
      from = Math.max(from, Math.min(a, b));
      to = Math.min(to, Math.max(a, b));
    }
    return from <= to;
  });
}

/** The curve as SVG path data. */
export const pathData = (points: readonly PxPoint[]): string =>
  points.map(([x, y], k) => `${k === 0 ? 'M' : 'L'}${px(x)} ${px(y)}`).join('');

/** The box as an SVG rectangle. */
export const boxSvg = ({ x, y, halfWidth, halfHeight, angle }: Box, fill: string): string =>
  `<rect transform="${turned(x, y, angle)}" x="${px(-halfWidth)}" y="${px(-halfHeight)}" width="${px(2 * halfWidth)}" height="${px(2 * halfHeight)}" fill="${fill}"/>`;

const turned = (x: number, y: number, angle: number): string =>
  `translate(${px(x)} ${px(y)}) rotate(${px((angle * 180) / Math.PI)})`;

/** A text with its middle at a place, running along the curve there. */
export const textAlong = (text: string, { x, y, angle }: OnCurve, style: TextStyle): string =>
  `<g transform="${turned(x, y, angle)}">${textAt(0, style.sizePx * 0.33, text, { ...style, anchor: 'middle' })}</g>`;
