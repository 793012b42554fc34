import type { ChartPoint } from '../chart/points.ts';
import { type ChartFrame, powerToPx, speedToPx } from './chart-frame.ts';
import { type Box, overlap } from './chart-labels.ts';
import { EMBER, INK, px, textAt } from './svg.ts';
import { textWidthPx } from './text.ts';

const FILL = '#fffaf0';
/** More groups than this would hide the chart; the rest is told in words alone. */
const MOST_MARKS = 24;
/** How many operation numbers a mark names before it says that there are more. */
const MOST_NUMBERS = 3;

/** Operations of one setting: they share a mark. */
interface Mark {
  readonly text: string;
  readonly tag: string;
  readonly xPx: number;
  readonly yPx: number;
  /** Where the least S lies; as yPx where S does not vary. */
  readonly lowPx: number;
}

/**
 * The operations of a job: a disc with the operation's number where its setting lies, a tag beside it for several
 * passes, and, where S varies, a line down to the least. Marks that would touch step aside and keep a thread to
 * their place. What they cover is added to `taken`.
 */
export function pointMarks(points: readonly ChartPoint[], frame: ChartFrame, taken: Box[]): string {
  const { fontPx } = frame;
  const sizePx = fontPx * 0.86;
  const width = px(Math.max(1.5, fontPx * 0.085));
  const height = fontPx * 0.66;
  let threads = '';
  let discs = '';
  for (const { text, tag, xPx: x, yPx: y, lowPx } of marksOf(points, frame)) {
    const disc = Math.max(height, textWidthPx(text, sizePx, true) / 2 + fontPx * 0.32);
    const tagPx = tag === '' ? 0 : textWidthPx(tag, sizePx) + fontPx * 0.75;
    const leftwards = x + disc + tagPx > frame.widthPx;
    const shift = (leftwards ? -tagPx : tagPx) / 2;
    const wanted = { x: x + shift, y, halfWidth: disc + tagPx / 2, halfHeight: height, angle: 0 };
    const box = freePlace(wanted, frame, taken);
    taken.push(box);
    const middle = box.x - shift;
    if (lowPx > y + fontPx * 0.3) {
      threads += thread(`M${px(x)} ${px(y)}V${px(lowPx)}m${px(-fontPx * 0.3)} 0h${px(fontPx * 0.6)}`, width);
      taken.push({ x, y: (y + lowPx) / 2, halfWidth: fontPx * 0.35, halfHeight: (lowPx - y) / 2, angle: 0 });
    }
    if (box.x !== wanted.x || box.y !== wanted.y) {
      threads += thread(`M${px(x)} ${px(y)}L${px(middle)} ${px(box.y)}`, width);
      threads += `<circle cx="${px(x)}" cy="${px(y)}" r="${px(fontPx * 0.22)}" fill="${EMBER}" stroke="${FILL}" stroke-width="${width}"/>`;
      taken.push({ x, y, halfWidth: fontPx * 0.3, halfHeight: fontPx * 0.3, angle: 0 });
    }
    const pill = (at: number, half: number, stroke: string) =>
      `<rect x="${px(at - half)}" y="${px(box.y - height)}" width="${px(2 * half)}" height="${px(2 * height)}" rx="${px(height)}" fill="${FILL}" ${stroke}/>`;
    const ring = `stroke="${EMBER}" stroke-width="${width}"`;
    if (tag !== '') {
      discs += pill(box.x, box.halfWidth, `stroke="${EMBER}" stroke-width="${px(Number(width) * 0.6)}"`);
      const from = leftwards ? box.x - box.halfWidth + fontPx * 0.5 : middle + disc + fontPx * 0.25;
      discs += textAt(from, box.y + sizePx * 0.34, tag, { sizePx, fill: INK });
    }
    discs += pill(middle, disc, ring);
    discs += textAt(middle, box.y + sizePx * 0.34, text, { sizePx, bold: true, anchor: 'middle' });
  }
  return threads + discs;
}

/** Points on the same spot with the same passes, together. */
function marksOf(points: readonly ChartPoint[], frame: ChartFrame): Mark[] {
  const groups = new Map<string, { numbers: number[]; mark: Omit<Mark, 'text'> }>();
  for (const { operation, speedMmPerS, power, leastPower } of points) {
    const mark = {
      tag: operation.passes > 1 ? `${operation.passes} passes` : '',
      xPx: speedToPx(frame, speedMmPerS),
      yPx: powerToPx(frame, power),
      lowPx: powerToPx(frame, leastPower),
    };
    const key = [mark.tag, ...[mark.xPx, mark.yPx, mark.lowPx].map(Math.round)].join();
    const group = groups.get(key) ?? { numbers: [], mark };
    group.numbers.push(operation.n);
    groups.set(key, group);
  }
  return [...groups.values()].slice(0, MOST_MARKS).map(({ numbers, mark }) => {
    const more = numbers.length > MOST_NUMBERS ? ' …' : '';
    return { ...mark, text: numbers.slice(0, MOST_NUMBERS).join(', ') + more };
  });
}

/** The mark at its place, or the nearest free one around it, below first. */
function freePlace(wanted: Box, { widthPx, heightPx, fontPx }: ChartFrame, taken: readonly Box[]): Box {
  const free = (box: Box): boolean => !taken.some((other) => overlap(box, other));
  if (free(wanted)) return wanted;
  for (let step = 1; step < 40; step++) {
    const away = step * fontPx * 0.8;
    for (const [right, down] of [
      [0, 1],
      [-1, 0],
      [1, 0],
      [-1, 1],
      [1, 1],
      [0, -1],
    ] as const) {
      const box = { ...wanted, x: wanted.x + right * away, y: wanted.y + down * away };
      const inside = box.x > 0 && box.x < widthPx && box.y > 0 && box.y < heightPx;
      if (inside && free(box)) return box;
    }
  }
  return wanted;
}

const thread = (d: string, width: string): string =>
  `<path d="${d}" fill="none" stroke="${FILL}" stroke-width="${px(Number(width) * 2.2)}"/>` +
  `<path d="${d}" fill="none" stroke="${EMBER}" stroke-width="${width}"/>`;
