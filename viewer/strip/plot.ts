import uPlot from 'uplot';
import { labOf } from '../../src/burn/colour.ts';
import { greatestOf, leastOf } from '../../src/lists.ts';
import { scene } from '../state/store.ts';
import { clockTicks } from '../words/clock-words.ts';
import { cssOfLab } from '../words/css-colour.ts';

/** The band of tone lies at this part of the strip's height, speed above it, power below (and so do their names). */
const BAND_FROM = 0.56;
const BAND_TO = 0.72;
/** Room for the names of the three beside them, and at the right for half a number of the last tick; in rem. */
const NAMES_REM = 4;
const END_REM = 1.25;

const remPx = (): number => Number.parseFloat(getComputedStyle(document.documentElement).fontSize);

const ink = (name: string): string =>
  getComputedStyle(document.documentElement).getPropertyValue(name).trim();

/** The strip's plot, empty; `drawn` is told whenever it has been drawn, at its new size and scale. */
export function plotOn(box: HTMLElement, drawn: () => void): uPlot {
  const rem = remPx();
  const empty = [0, 0];
  return new uPlot(
    {
      width: box.clientWidth,
      height: box.clientHeight,
      padding: [4, END_REM * rem, 0, NAMES_REM * rem],
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false },
        speed: {
          range: (u) => {
            const top = Math.max(1, greatestOf(u.data[1] as number[]));
            return [(-top * BAND_FROM) / (1 - BAND_FROM) / 0.78, top * 1.06];
          },
        },
        power: {
          range: (u) => {
            const top = Math.max(0.1, -leastOf(u.data[3] as number[]));
            return [-top * 1.05, (top * 1.05 * BAND_TO) / (1 - BAND_TO)];
          },
        },
      },
      axes: [
        {
          scale: 'x',
          stroke: () => ink('--quiet'),
          font: `${(0.6875 * rem).toFixed(1)}px "Source Serif 4", Georgia, serif`,
          size: 1.375 * rem,
          gap: 2,
          space: 3.2 * rem,
          grid: { show: false },
          ticks: { size: 3, stroke: () => ink('--line') },
          values: (_u, splits) => clockTicks(splits),
        },
      ],
      series: [
        {},
        { scale: 'speed', stroke: () => ink('--ink-soft'), width: 1, points: { show: false } },
        { scale: 'speed', stroke: () => ink('--line'), width: 0.5, points: { show: false } },
        {
          scale: 'power',
          stroke: () => ink('--ember'),
          fill: () => ink('--ember-wash'),
          fillTo: 0,
          width: 1,
          points: { show: false },
        },
      ],
      bands: [{ series: [1, 2], fill: () => ink('--ink-wash') }],
      hooks: { drawClear: [(u) => drawBands(u, rem)], draw: [drawn] },
    },
    [[0, 1], empty, empty, empty],
    box,
  );
}

/** The operations as bands of the tone they burn. */
function drawBands(u: uPlot, rem: number): void {
  const at = scene.peek();
  if (!at) return;
  const { ctx, bbox } = u;
  const top = bbox.top + bbox.height * BAND_FROM;
  const tall = bbox.height * (BAND_TO - BAND_FROM);
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.fillStyle = cssOfLab(labOf(0, at.forecast.material));
  ctx.fillRect(bbox.left, top, bbox.width, tall);
  ctx.font = `${Math.round((10 / 16) * rem * devicePixelRatio)}px "Source Serif 4", Georgia, serif`;
  ctx.textBaseline = 'middle';
  for (const { n, fromS, toS, tone } of at.tones) {
    const left = u.valToPos(fromS, 'x', true);
    const right = u.valToPos(toS, 'x', true);
    const lab = labOf(tone, at.forecast.material);
    ctx.fillStyle = cssOfLab(lab);
    ctx.fillRect(left, top, Math.max(1, right - left - 1), tall);
    if (right - left < rem * devicePixelRatio) continue;
    ctx.fillStyle = lab[0] > 55 ? '#2b2119' : '#f6efe2';
    ctx.fillText(String(n), Math.max(left, bbox.left) + 5 * devicePixelRatio, top + tall / 2);
  }
  ctx.restore();
}
