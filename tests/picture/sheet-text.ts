import type { DrawSvg } from '../../src/picture/picture.ts';
import { textWidthPx } from '../../src/picture/text.ts';

/** A line of text as it stands on the sheet, with the box it takes, in pixels. */
export interface PlacedText {
  readonly text: string;
  readonly sizePx: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** A DrawSvg that draws nothing and keeps the document, for looking at the layout alone. */
export function keepSvg(): { drawSvg: DrawSvg; svg: () => string } {
  let kept = '';
  const drawSvg: DrawSvg = (svg) => {
    kept = svg;
    const [, width, height] = /width="(\d+)" height="(\d+)"/.exec(svg)!.map(Number);
    return { width: width!, height: height!, data: new Uint8ClampedArray(width! * height! * 4) };
  };
  return { drawSvg, svg: () => kept };
}

/** Every text of a document in sheet coordinates: walks the tags and adds up the moves of their groups. */
export function textsOf(svg: string): PlacedText[] {
  const texts: PlacedText[] = [];
  const moves: [number, number][] = [[0, 0]];
  for (const [, tag, attributes, content] of svg.matchAll(/<(g|\/g|text)\b([^>]*)>([^<]*)/g)) {
    const [x, y] = moves.at(-1)!;
    if (tag === '/g') moves.pop();
    else if (tag === 'g') {
      const move = /translate\(([-\d.]+) ([-\d.]+)\)/.exec(attributes!);
      moves.push(move ? [x + Number(move[1]), y + Number(move[2])] : [x, y]);
    } else texts.push(placed(content!, attributes!, x, y));
  }
  return texts;
}

function placed(content: string, attributes: string, x: number, y: number): PlacedText {
  const value = (name: string) => new RegExp(`${name}="([^"]*)"`).exec(attributes)?.[1];
  const text = content
    .replace(/&lt;/g, '<')
    .replace(/&gt;/g, '>')
    .replace(/&quot;/g, '"')
    .replace(/&amp;/g, '&');
  const sizePx = Number(value('font-size'));
  const width = textWidthPx(text, sizePx, value('font-weight') === '600');
  const anchor = value('text-anchor');
  const left = x + Number(value(' x')) - (anchor === 'middle' ? width / 2 : anchor === 'end' ? width : 0);
  const base = y + Number(value(' y'));
  return { text, sizePx, left, right: left + width, top: base - 0.72 * sizePx, bottom: base + 0.22 * sizePx };
}
