import { REGIONS, type Region } from '../burn/speed-power.ts';
import { middleTone } from '../burn/tone.ts';
import type { Chart } from '../chart/chart.ts';
import { showsCut } from '../chart/notes.ts';
import { type Block, EMBER, INK, PAPER, px, QUIET_INK, rectAt, shifted, stacked, textAt } from './svg.ts';
import { type TonePath, toneColour } from './tone.ts';

/** The charred rim along a cut. */
export const RIM = '#241812';

/** How to read the chart: an offcut with a sample of every region burned into it, and what the lines mean. */
export const chartKey = (chart: Chart, tonePath: TonePath, grain: number, fontPx: number): Block =>
  stacked([samples(chart, tonePath, grain, fontPx), lines(chart, fontPx)], fontPx * 0.7);

function samples(chart: Chart, tonePath: TonePath, grain: number, fontPx: number): Block {
  const colour = toneColour(tonePath);
  const shown = REGIONS.filter((region) => region !== 'cut' || chart.panels.some(showsCut));
  return (widthPx) => {
    const width = Math.min(widthPx, fontPx * 20);
    const step = width / shown.length;
    const height = fontPx * 3;
    const patch = fontPx * 1.9;
    const top = (height - patch) / 2;
    let svg = rectAt(0, 0, width, height, colour(0).formatRgb());
    svg += streaks(width, height, grain, fontPx);
    shown.forEach((region, k) => {
      const x = (k + 0.5) * step;
      svg += patchSvg(region, x - patch / 2, top, patch, fontPx, colour);
      svg += textAt(x, height + fontPx * 1.35, region, {
        sizePx: fontPx * 0.9,
        fill: QUIET_INK,
        anchor: 'middle',
      });
    });
    svg += rectAt(0, height, width, fontPx * 0.2, '#a98352') + rectAt(0, 0, width, 1, '#fffaeb', 0.45);
    return { heightPx: height + fontPx * 1.65, svg };
  };
}

function patchSvg(
  region: Region,
  x: number,
  y: number,
  side: number,
  fontPx: number,
  colour: ReturnType<typeof toneColour>,
): string {
  if (region === 'no mark') return '';
  if (region !== 'cut') return rectAt(x, y, side, side, colour(middleTone(region)).formatRgb());
  return (
    `<rect x="${px(x)}" y="${px(y)}" width="${px(side)}" height="${px(side)}" fill="rgb(${PAPER.join(', ')})" ` +
    `stroke="${RIM}" stroke-width="${px(fontPx * 0.16)}"/>`
  );
}

/** A few long streaks, so that the offcut is of the board's wood. */
function streaks(width: number, height: number, grain: number, fontPx: number): string {
  if (grain === 0) return '';
  const paths = Array.from({ length: 7 }, (_, k) => {
    const y = ((k + 0.6) / 7) * height;
    const bow = fontPx * 0.16 * (k % 2 === 0 ? 1 : -1) * (1 + (k % 3));
    return `<path d="M0 ${px(y)}Q${px(width * (0.3 + 0.06 * k))} ${px(y + bow)} ${px(width)} ${px(y - bow * 0.4)}" stroke-opacity="${px((0.1 + 0.05 * (k % 3)) * grain)}"/>`;
  }).join('');
  return `<g fill="none" stroke="#8b673d" stroke-width="${px(fontPx * 0.07)}">${paths}</g>`;
}

/** One line for each kind of line and mark that the chart has. */
function lines({ panels }: Chart, fontPx: number): Block {
  const sizePx = fontPx * 0.9;
  const long = fontPx * 1.9;
  const middle = fontPx * 0.62;
  const stroke = (width: number, extra = '') =>
    `<path d="M0 ${px(middle)}H${px(long)}" stroke="${INK}" stroke-width="${px(fontPx * width)}"${extra}/>`;
  const kinds: [string, string, boolean][] = [
    [stroke(0.05, ' stroke-opacity="0.75"'), 'settings of equal dose', true],
    [
      stroke(0.075, ` stroke-dasharray="${px(fontPx * 0.36)} ${px(fontPx * 0.26)}"`),
      'cut through from here on, in several passes',
      panels.some(({ cuts }) => cuts.length > 0),
    ],
    [
      `<circle cx="${px(long / 2)}" cy="${px(middle)}" r="${px(fontPx * 0.5)}" fill="#fffaf0" stroke="${EMBER}" stroke-width="${px(fontPx * 0.085)}"/>`,
      'an operation of the job, at its feed and greatest S',
      panels.some(({ points }) => points.length > 0),
    ],
  ];
  return () => {
    const shown = kinds.filter(([, , there]) => there);
    const step = fontPx * 1.35;
    const svg = shown.map(([mark, words], k) =>
      shifted(
        0,
        k * step,
        mark + textAt(long + fontPx * 0.6, middle + sizePx * 0.33, words, { sizePx, fill: QUIET_INK }),
      ),
    );
    return { heightPx: shown.length * step, svg: svg.join('') };
  };
}
