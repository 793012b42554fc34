import type { Bounds } from '../grid.ts';
import { lengthText, roundLength } from './numbers.ts';
import { type Block, EMBER, INK, px, QUIET_INK, rectAt, shifted, textAt } from './svg.ts';
import { cutToWidth, textWidthPx, wrapToWidth } from './text.ts';

/** The pieces of text and drawing that stand around a view: title, scale bar, guess, notes. */

/** The board's size as people write it: width × height, × thickness when it is known, mm. */
export function boardText(stock: Bounds, thicknessMm: number | null): string {
  const sizes = [stock.maxXMm - stock.minXMm, stock.maxYMm - stock.minYMm];
  if (thicknessMm !== null) sizes.push(thicknessMm);
  return `${sizes.map(lengthText).join(' × ')} mm`;
}

/** The job's name, and what is shown of it beside the name or, where that is too tight, under it. */
export function titleBlock(title: string, about: string, fontPx: number): Block {
  const size = fontPx * 1.35;
  return (widthPx) => {
    const aboutWidth = textWidthPx(about, fontPx);
    const gap = fontPx * 0.9;
    const titleWidth = textWidthPx(title, size, true);
    const beside = titleWidth + gap + aboutWidth <= widthPx;
    const shown = cutToWidth(title, widthPx, size, true);
    const name = textAt(0, size * 0.95, shown, { sizePx: size, bold: true });
    const style = { sizePx: fontPx, fill: QUIET_INK };
    if (beside)
      return { heightPx: size * 1.25, svg: name + textAt(titleWidth + gap, size * 0.95, about, style) };
    const lines = linesOf(wrapToWidth(about, widthPx, fontPx), fontPx, QUIET_INK);
    return {
      heightPx: size * 1.25 + lines.heightPx,
      svg: name + shifted(0, size * 1.25, lines.svg),
    };
  };
}

/** A panel's letter and what it stands for, on one line. */
export function headingBlock(letter: string, name: string, fontPx: number): Block {
  return (widthPx) => {
    const left = textWidthPx(letter, fontPx, true) + fontPx * 0.5;
    const svg =
      textAt(0, fontPx * 0.95, letter, { sizePx: fontPx, bold: true }) +
      textAt(left, fontPx * 0.95, cutToWidth(name, widthPx - left, fontPx), {
        sizePx: fontPx,
        fill: QUIET_INK,
      });
    return { heightPx: fontPx * 1.25, svg };
  };
}

/** The longest the scale bar may be, in font sizes. */
const SCALE_BAR_FONTS = 13;

/** A bar of a round length, 1, 2 or 5 × 10ⁿ mm. */
export function scaleBarBlock(pxPerMm: number, fontPx: number): Block {
  return () => {
    const lengthMm = roundLength((SCALE_BAR_FONTS * fontPx) / pxPerMm);
    const lengthPx = lengthMm * pxPerMm;
    const line = Math.max(1.5, fontPx * 0.11);
    const cap = fontPx * 0.5;
    const middle = fontPx * 0.6;
    const svg =
      rectAt(0, middle - line / 2, lengthPx, line, INK) +
      rectAt(0, middle - cap / 2, line, cap, INK) +
      rectAt(lengthPx - line, middle - cap / 2, line, cap, INK) +
      textAt(lengthPx + fontPx * 0.5, middle + fontPx * 0.33, `${lengthMm} mm`, { sizePx: fontPx });
    return { heightPx: fontPx * 1.2, svg };
  };
}

/** A hatched swatch, the word *guess*, and what the guess is. Nothing when there is none. */
export function guessBlock(guess: string | null, fontPx: number): Block {
  return (widthPx) => {
    if (guess === null) return { heightPx: 0, svg: '' };
    const side = fontPx * 1.25;
    const left = side + fontPx * 0.55;
    const wordWidth = textWidthPx('guess', fontPx, true);
    const textLeft = left + wordWidth + fontPx * 0.5;
    const text = linesOf(wrapToWidth(guess, widthPx - textLeft, fontPx), fontPx, QUIET_INK);
    const svg =
      hatchedSquare(side, fontPx) +
      textAt(left, fontPx * 0.95, 'guess', { sizePx: fontPx, bold: true, fill: EMBER }) +
      shifted(textLeft, 0, text.svg);
    return { heightPx: Math.max(side, text.heightPx), svg };
  };
}

function hatchedSquare(side: number, fontPx: number): string {
  const step = side / 4;
  const strokes = Array.from({ length: 7 }, (_, k) => {
    const at = (k + 1) * step;
    const from = Math.max(0, at - side);
    return `M${px(from)} ${px(Math.min(side, at))}L${px(Math.min(side, at))} ${px(from)}`;
  }).join('');
  const width = px(Math.max(1, fontPx * 0.075));
  return (
    `<rect width="${px(side)}" height="${px(side)}" fill="#e3c79c"/>` +
    `<path d="${strokes}M0 0H${px(side)}V${px(side)}H0Z" fill="none" stroke="${EMBER}" stroke-width="${width}"/>`
  );
}

/** Notes in the quiet ink, each beginning its own line. */
export function notesBlock(notes: readonly string[], fontPx: number): Block {
  return (widthPx) =>
    linesOf(
      notes.flatMap((note) => wrapToWidth(note, widthPx, fontPx)),
      fontPx,
      QUIET_INK,
    );
}

function linesOf(lines: readonly string[], fontPx: number, fill: string): { heightPx: number; svg: string } {
  const leading = fontPx * 1.3;
  const svg = lines
    .map((line, k) => textAt(0, k * leading + fontPx * 0.95, line, { sizePx: fontPx, fill }))
    .join('');
  return { heightPx: lines.length * leading, svg };
}
