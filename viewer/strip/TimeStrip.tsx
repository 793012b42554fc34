import { useSignalEffect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import { labOf } from '../../src/burn/respond.ts';
import { durationS, pause, seek, tS } from '../state/clock.ts';
import { moments, scene } from '../state/store.ts';
import { envelopeOf } from '../time/envelope.ts';
import { clockWords } from '../words/clock-words.ts';
import { cssOfLab } from '../words/css-colour.ts';
import { Transport } from './Transport.tsx';

/** The band of tone lies at this part of the strip's height, speed above it, power below. */
const BAND_FROM = 0.56;
const BAND_TO = 0.72;
/** Page up and page down go such a share of the job on and back. */
const PAGE = 0.1;

/**
 * Time as a strip: the operations as bands of the tone they burn, speed above, emitted power hanging below,
 * one cursor. Drag to explore; turn the wheel to look closer; double-click for the whole job again.
 */
export function TimeStrip() {
  const holder = useRef<HTMLDivElement>(null);
  const cursor = useRef<HTMLDivElement>(null);
  const slider = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  const span = useRef<[number, number]>([0, 1]);

  const placeCursor = () => {
    const u = plot.current;
    if (!u || !cursor.current) return;
    const x = u.valToPos(tS.value, 'x');
    cursor.current.style.transform = `translateX(${(x + u.over.offsetLeft).toFixed(1)}px)`;
    cursor.current.style.opacity = x < -1 || x > u.over.clientWidth + 1 ? '0' : '1';
  };

  const redraw = () => {
    const u = plot.current;
    const at = scene.value;
    const now = moments.value;
    if (!u || !at || !now) return;
    const [from, to] = span.current;
    const { motion, machine } = at.forecast;
    const points = Math.max(50, Math.min(1600, Math.round(u.over.clientWidth)));
    const curve = envelopeOf(motion, machine, now, from, to, points);
    u.setData(
      [
        Array.from(curve.tS),
        Array.from(curve.highMmPerS),
        Array.from(curve.lowMmPerS),
        Array.from(curve.powerW, (w) => -w),
      ],
      false,
    );
    u.setScale('x', { min: from, max: to });
    placeCursor();
  };

  useEffect(() => {
    const box = holder.current!;
    const u = new uPlot(
      options(box.clientWidth, box.clientHeight),
      [
        [0, 1],
        [0, 0],
        [0, 0],
        [0, 0],
      ],
      box,
    );
    plot.current = u;
    const watch = new ResizeObserver(() => {
      u.setSize({ width: box.clientWidth, height: box.clientHeight });
      redraw();
    });
    watch.observe(box);
    const room = matchMedia('(prefers-color-scheme: dark)');
    const repaint = () => u.redraw(false);
    room.addEventListener('change', repaint);
    redraw();
    return () => {
      watch.disconnect();
      room.removeEventListener('change', repaint);
      u.destroy();
      plot.current = null;
    };
  }, []);

  useSignalEffect(() => {
    const duration = durationS.value;
    moments.value;
    if (duration > 0) {
      const [from, to] = span.current;
      if (from === 0 || to > duration) span.current = [0, duration];
      redraw();
    }
  });
  useSignalEffect(() => {
    tS.value;
    placeCursor();
  });

  const seekTo = (clientX: number) => {
    const u = plot.current;
    if (!u) return;
    const box = u.over.getBoundingClientRect();
    pause();
    seek(u.posToVal(Math.min(box.width, Math.max(0, clientX - box.left)), 'x'));
  };

  const zoom = (factor: number, around: number) => {
    const [from, to] = span.current;
    const whole = durationS.value;
    const width = Math.min(whole, Math.max(0.05, (to - from) * factor));
    const start = Math.min(Math.max(0, around - ((around - from) * width) / (to - from)), whole - width);
    span.current = [start, start + width];
    redraw();
  };

  const duration = durationS.value;
  const of = scene.value?.tones.find((each) => tS.value >= each.fromS && tS.value <= each.toS);
  return (
    <section class="strip" aria-label="Time">
      <Transport />
      <div
        ref={slider}
        class="strip-plot"
        role="slider"
        tabIndex={0}
        aria-label="Moment of the job"
        aria-valuemin={0}
        aria-valuemax={duration}
        aria-valuenow={tS.value}
        aria-valuetext={`${clockWords(tS.value)} of ${clockWords(duration)}${of ? `, operation ${of.n}` : ''}`}
        onPointerDown={(event) => {
          if (event.button !== 0) return;
          event.currentTarget.setPointerCapture(event.pointerId);
          seekTo(event.clientX);
        }}
        onPointerMove={(event) => {
          if (event.currentTarget.hasPointerCapture(event.pointerId)) seekTo(event.clientX);
        }}
        onWheel={(event) => {
          const u = plot.current;
          if (!u) return;
          event.preventDefault();
          const x = event.clientX - u.over.getBoundingClientRect().left;
          zoom(event.deltaY > 0 ? 1.25 : 0.8, u.posToVal(x, 'x'));
        }}
        onDblClick={() => {
          span.current = [0, durationS.value];
          redraw();
        }}
        onKeyDown={(event) => {
          if (event.key === 'PageUp' || event.key === 'PageDown') {
            pause();
            seek(tS.value + (event.key === 'PageUp' ? PAGE : -PAGE) * durationS.value);
          } else if (event.key === '+' || event.key === '=') zoom(0.5, tS.value);
          else if (event.key === '-') zoom(2, tS.value);
          else return;
          event.preventDefault();
          event.stopPropagation();
        }}
      >
        <div ref={holder} class="strip-canvas" aria-hidden="true" />
        <div ref={cursor} class="strip-cursor" aria-hidden="true" />
      </div>
    </section>
  );
}

const ink = (name: string): string =>
  getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function options(width: number, height: number): uPlot.Options {
  return {
    width,
    height,
    padding: [4, 14, 0, 14],
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false },
      speed: {
        range: (u) => {
          const top = Math.max(1, ...(u.data[1] as number[]));
          return [(-top * BAND_FROM) / (1 - BAND_FROM) / 0.78, top * 1.06];
        },
      },
      power: {
        range: (u) => {
          const top = Math.max(0.1, ...(u.data[3] as number[]).map((w) => -w));
          return [-top * 1.05, (top * 1.05 * BAND_TO) / (1 - BAND_TO)];
        },
      },
    },
    axes: [
      {
        scale: 'x',
        stroke: () => ink('--quiet'),
        font: '11px "Source Serif 4", Georgia, serif',
        size: 22,
        gap: 2,
        grid: { show: false },
        ticks: { size: 3, stroke: () => ink('--line') },
        values: (_u, splits) =>
          splits.map((s) => clockWords(s, splits.length > 1 && splits[1]! - splits[0]! < 1)),
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
    hooks: { drawClear: [drawBands] },
  };
}

/** The operations as bands of the tone they burn. */
function drawBands(u: uPlot): void {
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
  ctx.font = `${Math.round(10 * devicePixelRatio)}px "Source Serif 4", Georgia, serif`;
  ctx.textBaseline = 'middle';
  for (const { n, fromS, toS, tone } of at.tones) {
    const left = u.valToPos(fromS, 'x', true);
    const right = u.valToPos(toS, 'x', true);
    const lab = labOf(tone, at.forecast.material);
    ctx.fillStyle = cssOfLab(lab);
    ctx.fillRect(left, top, Math.max(1, right - left - 1), tall);
    if (right - left < 16 * devicePixelRatio) continue;
    ctx.fillStyle = lab[0] > 55 ? '#2b2119' : '#f6efe2';
    ctx.fillText(String(n), Math.max(left, bbox.left) + 5 * devicePixelRatio, top + tall / 2);
  }
  ctx.restore();
}
