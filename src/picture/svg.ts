import { escaped, TYPEFACE } from './text.ts';

/** Paper and ink: the few colours everything around the wood is made of. */
export const PAPER = [246, 241, 231] as const;
export const INK = '#33291f';
export const QUIET_INK = '#6b5d50';
export const HAIRLINE = '#9c8d7d';
/** The one accent: what is hot, or uncertain enough to look twice. */
export const EMBER = '#b8471a';

/** A piece of the sheet: drawn at its own origin, once it has been told how wide it may be. */
export type Block = (widthPx: number) => { readonly heightPx: number; readonly svg: string };

export interface TextStyle {
  readonly sizePx: number;
  readonly fill?: string;
  readonly bold?: boolean;
  readonly anchor?: 'start' | 'middle' | 'end';
}

/** A line of text with its baseline at y. */
export function textAt(x: number, y: number, text: string, style: TextStyle): string {
  const { sizePx, fill = INK, bold = false, anchor = 'start' } = style;
  const weight = bold ? ' font-weight="600"' : '';
  const place = anchor === 'start' ? '' : ` text-anchor="${anchor}"`;
  return `<text x="${px(x)}" y="${px(y)}" font-family="${TYPEFACE}" font-size="${px(sizePx)}" fill="${fill}"${weight}${place}>${escaped(text)}</text>`;
}

export function rectAt(
  x: number,
  y: number,
  width: number,
  height: number,
  fill: string,
  opacity = 1,
): string {
  const faint = opacity === 1 ? '' : ` fill-opacity="${opacity}"`;
  return `<rect x="${px(x)}" y="${px(y)}" width="${px(width)}" height="${px(height)}" fill="${fill}"${faint}/>`;
}

export const shifted = (x: number, y: number, svg: string): string =>
  svg === '' ? '' : `<g transform="translate(${px(x)} ${px(y)})">${svg}</g>`;

export const svgDocument = (width: number, height: number, content: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">${content}</svg>`;

/** A coordinate with a hundredth of a pixel: what the eye could see, and short text. */
export const px = (value: number): string => String(Math.round(value * 100) / 100);

/** Blocks one under another, with a gap between those that are there. */
export const stacked =
  (blocks: readonly Block[], gapPx: number): Block =>
  (widthPx) => {
    let heightPx = 0;
    let svg = '';
    for (const block of blocks) {
      const piece = block(widthPx);
      if (piece.heightPx === 0) continue;
      if (heightPx > 0) heightPx += gapPx;
      svg += shifted(0, heightPx, piece.svg);
      heightPx += piece.heightPx;
    }
    return { heightPx, svg };
  };

/** Two blocks side by side, tops level; the second one under the first where there is no room for both. */
export const beside =
  (left: Block, leftPx: number, right: Block, gapPx: number): Block =>
  (widthPx) => {
    const rightPx = widthPx - leftPx - gapPx;
    if (rightPx < leftPx) return stacked([left, right], gapPx * 0.4)(widthPx);
    const first = left(leftPx);
    const second = right(rightPx);
    const svg = first.svg + shifted(leftPx + gapPx, 0, second.svg);
    return { heightPx: Math.max(first.heightPx, second.heightPx), svg };
  };
