import { createRequire } from 'node:module';
import { Resvg } from '@resvg/resvg-js';
import { describe, expect, it } from 'vitest';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import { lengthText, roundLength, roundSteps, ticksOver, twoDigits } from '../../src/picture/numbers.ts';
import { svgDocument, textAt } from '../../src/picture/svg.ts';
import { cutToWidth, escaped, TYPEFACE, textWidthPx, wrapToWidth } from '../../src/picture/text.ts';
import { expectSame } from '../support/same.ts';

const require = createRequire(import.meta.url);
const fontFiles = ['400Regular', '600SemiBold'].map((cut) =>
  require.resolve(`@expo-google-fonts/source-sans-3/${cut}/SourceSans3_${cut}.ttf`),
);

/** The width of the ink as the rasteriser sets the text with the typeface itself. */
function inkWidthPx(text: string, sizePx: number, bold: boolean): number {
  const svg = svgDocument(2000, 200, textAt(10, 100, text, { sizePx, bold }));
  return new Resvg(svg, { font: { loadSystemFonts: false, fontFiles } }).innerBBox()!.width;
}

describe('textWidthPx', () => {
  it('agrees with the typeface, to the side bearings and the kerning', () => {
    const texts = [
      'Hamburgefonstiv 0123456789',
      'dose, J/mm², logarithmic',
      'burn forecast, board 120 × 25 × 4 mm',
      'operation 2 at 1500 mm/min, 70 % power',
      '−0.25 – “no” … (ok)',
      'WWWWWWWW mmmmmm',
    ];
    for (const text of texts.map((t) => t.replace(/[“”]/g, ''))) {
      for (const bold of [false, true]) {
        const ink = inkWidthPx(text, 40, bold);
        const measured = textWidthPx(text, 40, bold);
        expect(measured).toBeGreaterThan(ink - 2);
        expect(measured).toBeLessThan(ink * 1.05 + 8);
      }
    }
  });

  it('never takes what it does not know for narrower than it is', () => {
    for (const text of ['Œuvre à façon', 'Дощечка', 'Ωμέγα']) {
      expect(textWidthPx(text, 40)).toBeGreaterThan(inkWidthPx(text, 40, false));
    }
  });
});

describe('lines of text', () => {
  it('are cut with an ellipsis so that they fit', () => {
    const cut = cutToWidth('a-rather-long-file-name.nc', 150, 20);
    expect(cut).toMatch(/^a-rather.*…$/);
    expect(textWidthPx(cut, 20)).toBeLessThanOrEqual(150);
    expect(cutToWidth('short.nc', 150, 20)).toBe('short.nc');
  });

  it('are wrapped at spaces, none wider than asked, no word lost', () => {
    const text = 'The tone rests on a stand-in for this wood; burn a swatch and fit it to know better.';
    const lines = wrapToWidth(text, 220, 20);
    expect(lines.length).toBeGreaterThan(2);
    for (const line of lines) expect(textWidthPx(line, 20)).toBeLessThanOrEqual(220);
    expect(lines.join(' ')).toBe(text);
    expect(wrapToWidth('  ', 100, 20)).toEqual([]);
  });

  it('cannot break the drawing, whatever a file is called', () => {
    const nasty = '<b>&"\'\u0000\u0008\ud800 ]]> ＜';
    expect(escaped('<a & "b">')).toBe('&lt;a &amp; &quot;b&quot;&gt;');
    const { width, data } = drawSvg(svgDocument(300, 60, textAt(5, 40, nasty, { sizePx: 24 })));
    expect(width).toBe(300);
    expect(data.some((value) => value > 0)).toBe(true);
  });
});

describe('drawSvg', () => {
  it('gives premultiplied pixels at the size of the document', () => {
    const svg = svgDocument(4, 3, '<rect width="4" height="3" fill="#f00" fill-opacity="0.5"/>');
    const { width, height, data } = drawSvg(svg);
    expect([width, height, data.length]).toEqual([4, 3, 48]);
    expect([...data.slice(0, 4)]).toEqual([128, 0, 0, 128]);
  });

  it('sets text in our own typeface: there is nothing without it', () => {
    const other = drawSvg(
      svgDocument(200, 60, textAt(5, 40, 'Hag', { sizePx: 40 }).replace(TYPEFACE, 'No Such')),
    );
    const ours = drawSvg(svgDocument(200, 60, textAt(5, 40, 'Hag', { sizePx: 40 })));
    expect(ours.data.some((value) => value > 0)).toBe(true);
    expectSame(other.data, ours.data);
  });
});

describe('numbers on a picture', () => {
  it('are round on an axis', () => {
    expect(ticksOver(0, 120, 12).labels).toEqual('0 10 20 30 40 50 60 70 80 90 100 110 120'.split(' '));
    expect(ticksOver(-0.3, 0.3, 3).labels).toEqual(['−0.2', '0', '0.2']);
    expect(ticksOver(990, 2010, 3).labels).toEqual(['1000', '1500', '2000']);
  });

  it('step in 1, 2, 5 where the scale is one of ratios', () => {
    expect(roundSteps(0.07, 12, [1, 2, 5])).toEqual([0.1, 0.2, 0.5, 1, 2, 5, 10]);
    expect(roundSteps(3, 4, [1, 2, 5])).toEqual([]);
  });

  it('are 1, 2 or 5 on a scale bar and fit', () => {
    expect([0.7, 1, 1.99, 2, 4.9, 5, 99, 100].map(roundLength)).toEqual([0.5, 1, 1, 2, 2, 5, 50, 100]);
  });

  it('have no more digits than are true', () => {
    expect([0.4234, 38.27, 391.8, 12345].map(twoDigits)).toEqual(['0.42', '38', '390', '12000']);
    expect([2e-5, 4.4e6].map(twoDigits)).toEqual(['2e-5', '4.4e6']);
    expect([120, 25.400001, 3.0159, 1500.04].map(lengthText)).toEqual(['120', '25.4', '3.02', '1500']);
  });
});
