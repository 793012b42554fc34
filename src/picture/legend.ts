import { type ColourScale, placeOn } from './heat.ts';
import { roundSteps, type Ticks, ticksOver } from './numbers.ts';
import { type Block, HAIRLINE, px, QUIET_INK, rectAt, textAt } from './svg.ts';
import { cutToWidth, textWidthPx } from './text.ts';

interface Legend {
  readonly scale: ColourScale;
  /** What the colours mean, with the unit: "dose, J/mm²". */
  readonly caption: string;
  /** Colours that stand beside the scale, each with what it means. */
  readonly patches: readonly Patch[];
  /** Words under the left end, the middle and the right end; null: none. */
  readonly words: readonly [string, string, string] | null;
}

export interface Patch {
  readonly colour: string;
  readonly meaning: string;
}

/** A colour scale lying down: caption above, bar, ticks and their numbers below. */
export function legendBlock({ scale, caption, patches, words }: Legend, fontPx: number): Block {
  return (widthPx) => {
    const barHeight = fontPx * 0.95;
    const top = fontPx * 1.5;
    const barWidth = Math.max(fontPx * 4, Math.min(widthPx, fontPx * 26));
    const ticks = legendTicks(scale, barWidth, fontPx);
    const labelY = top + barHeight + fontPx * 1.4;
    let svg = textAt(0, fontPx * 0.95, cutToWidth(caption, widthPx, fontPx), { sizePx: fontPx });
    svg += gradientBar(scale, top, barWidth, barHeight);
    ticks.values.forEach((value, k) => {
      const label = ticks.labels[k]!;
      const at = placeOn(scale, value) * barWidth;
      const line = Math.max(1, fontPx / 18);
      const labelX = labelMiddle(at, textWidthPx(label, fontPx), barWidth);
      svg += rectAt(
        Math.min(Math.max(0, at - line / 2), barWidth - line),
        top + barHeight,
        line,
        fontPx * 0.3,
        HAIRLINE,
      );
      svg += textAt(labelX, labelY, label, { sizePx: fontPx, anchor: 'middle' });
    });
    let heightPx = labelY + fontPx * 0.35;
    const quiet = { sizePx: fontPx, fill: QUIET_INK };
    if (words !== null) {
      svg += textAt(0, heightPx + fontPx, words[0], quiet);
      svg += textAt(barWidth / 2, heightPx + fontPx, words[1], { ...quiet, anchor: 'middle' });
      svg += textAt(barWidth, heightPx + fontPx, words[2], { ...quiet, anchor: 'end' });
      heightPx += fontPx * 1.3;
    }
    for (const { colour, meaning } of patches) {
      const side = fontPx * 0.8;
      svg += patchAt(0, heightPx + fontPx * 0.95 - side * 0.92, side, colour);
      svg += textAt(side * 1.6, heightPx + fontPx, cutToWidth(meaning, widthPx - side * 1.6, fontPx), quiet);
      heightPx += fontPx * 1.3;
    }
    return { heightPx, svg };
  };
}

/** As many round ticks as stay apart on a bar so wide. */
function legendTicks(scale: ColourScale, barWidthPx: number, fontPx: number): Ticks {
  if (scale.bendAt !== null) return ratioTicks(scale, scale.bendAt, barWidthPx, fontPx);
  for (let count = 8; count > 1; count--) {
    const ticks = ticksOver(scale.from, scale.to, count);
    if (ticks.values.length > 1 && fits(ticks, scale, barWidthPx, fontPx)) return ticks;
  }
  return { values: [scale.from, scale.to], labels: [scale.from, scale.to].map(String) };
}

/** 0 and 1-2-5 numbers or, where those come too close, fewer of each ten; both ways on a diverging scale. */
function ratioTicks(scale: ColourScale, bendAt: number, barWidthPx: number, fontPx: number): Ticks {
  const choices = [[1, 2, 5], [1, 3], [1]].map((digits): Ticks => {
    const above = roundSteps(bendAt, scale.to, digits);
    const below = scale.from < 0 ? above.map((value) => -value).reverse() : [];
    const values = [...below, 0, ...above];
    return { values, labels: values.map((value) => String(value).replace('-', '−')) };
  });
  return choices.find((ticks) => fits(ticks, scale, barWidthPx, fontPx)) ?? choices.at(-1)!;
}

/** The first and the last label stay within the bar rather than hang over its ends. */
const labelMiddle = (atPx: number, labelPx: number, barWidthPx: number): number =>
  Math.min(Math.max(atPx, labelPx / 2), Math.max(labelPx / 2, barWidthPx - labelPx / 2));

function fits(ticks: Ticks, scale: ColourScale, barWidthPx: number, fontPx: number): boolean {
  let endPx = -Infinity;
  return ticks.values.every((value, k) => {
    const labelPx = textWidthPx(ticks.labels[k]!, fontPx);
    const startPx = labelMiddle(placeOn(scale, value) * barWidthPx, labelPx, barWidthPx) - labelPx / 2;
    const clear = startPx - endPx >= fontPx * 0.7;
    endPx = startPx + labelPx;
    return clear;
  });
}

const STOPS = 32;

function gradientBar({ table }: ColourScale, y: number, width: number, height: number): string {
  const top = table.length / 3 - 1;
  const stops = Array.from({ length: STOPS + 1 }, (_, k) => {
    const offset = k / STOPS;
    return `<stop offset="${px(offset * 100)}%" stop-color="${colourAt(table, Math.round(offset * top))}"/>`;
  }).join('');
  return `<defs><linearGradient id="scale">${stops}</linearGradient></defs>${rectAt(0, y, width, height, 'url(#scale)')}`;
}

const patchAt = (x: number, y: number, side: number, fill: string): string =>
  `<rect x="${px(x + 0.5)}" y="${px(y)}" width="${px(side)}" height="${px(side)}" fill="${fill}" stroke="${HAIRLINE}"/>`;

export const endColour = ({ table }: ColourScale): string => colourAt(table, table.length / 3 - 1);

const colourAt = (table: Float32Array, k: number): string =>
  `rgb(${[0, 1, 2].map((c) => Math.round(table[k * 3 + c]!)).join(', ')})`;
