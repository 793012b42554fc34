import { useSignalEffect } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import type uPlot from 'uplot';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { names, pair, second } from '../state/beside.ts';
import { durationS, pause, seek, tS } from '../state/clock.ts';
import { loaded, moments, place, scene, settled } from '../state/store.ts';
import { envelopeOf } from '../time/envelope.ts';
import { timeOnClock } from '../words/clock-words.ts';
import type { Setup } from '../worker/messages.ts';
import { plotOn } from './plot.ts';
import { following, kept, type Span, zoomed } from './span.ts';
import { Transport } from './Transport.tsx';

/** Page up and page down go such a share of the job on and back. */
const PAGE = 0.1;
/** While a number is being dragged the wood comes first: curves, which ask every move, follow once it rests for so long. */
const REST_MS = 200;
/** The strip of a job that takes no time shows so much of it. */
const LEAST_S = 1;
/** Those of a longer job wait until its forecast is the fine one. */
const MOST_LIVE_MOVES = 100_000;

/**
 * Time as a strip: the operations as bands of the tone they burn, speed above, emitted power hanging below,
 * one cursor. Drag to explore; turn the wheel to look closer; point to be told.
 */
export function TimeStrip() {
  const holder = useRef<HTMLDivElement>(null);
  const cursor = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  /** What is looked at closely; null: the whole job. */
  const [close, setClose] = useState<Span | null>(null);
  const closeNow = useRef(close);
  /** Which job the curves are of. */
  const drawnOf = useRef<Setup | null>(null);
  /** What they were drawn of: moments, span and points. */
  const drawnWith = useRef<readonly unknown[]>([]);
  const [told, setTold] = useState<number | null>(null);
  const spanNow = (): Span => closeNow.current ?? [0, durationS.peek() || LEAST_S];

  const placeCursor = () => {
    const u = plot.current;
    if (!u || !cursor.current) return;
    const x = u.valToPos(tS.peek(), 'x');
    cursor.current.style.transform = `translateX(${(x + u.over.offsetLeft).toFixed(1)}px)`;
    cursor.current.style.opacity = x < -1 || x > u.over.clientWidth + 1 ? '0' : '1';
  };

  const redraw = () => {
    const u = plot.current;
    const at = scene.peek();
    const now = moments.peek();
    if (!u || !at || !now) return;
    drawnOf.current = loaded.peek();
    const [from, to] = spanNow();
    const { motion } = at.forecast;
    const points = Math.max(50, Math.min(1600, Math.round(u.over.clientWidth)));
    const of = [now, from, to, points];
    if (of.every((each, k) => each === drawnWith.current[k])) return;
    drawnWith.current = of;
    const curve = envelopeOf(motion, now, from, to, points);
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
  };
  const look = (span: Span | null) => {
    if (span === closeNow.current) return;
    closeNow.current = span;
    setClose(span);
    redraw();
  };

  useEffect(() => {
    const box = holder.current!;
    // The scale is only changed when it is drawn: then the cursor finds its place on it.
    const u = plotOn(box, placeCursor);
    plot.current = u;
    drawnWith.current = [];
    const watch = new ResizeObserver(() => {
      const { clientWidth: width, clientHeight: height } = box;
      // It is told of its first size as well, which it has.
      if (width === u.width && height === u.height) return;
      u.setSize({ width, height });
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

  // Another job, or two of them: seen as a whole first.
  useSignalEffect(() => {
    loaded.value;
    second.value;
    place.value;
    look(null);
  });
  useSignalEffect(() => {
    const whole = durationS.value;
    moments.value;
    if (closeNow.current) look(kept(closeNow.current, whole));
    if (settled.peek()) {
      redraw();
      return;
    }
    const [min, max] = spanNow();
    plot.current?.setScale('x', { min, max });
    const moves = scene.peek()?.forecast.program.moves.count ?? 0;
    if (moves > MOST_LIVE_MOVES && drawnOf.current === loaded.peek()) return;
    const later = setTimeout(redraw, REST_MS);
    return () => clearTimeout(later);
  });
  useSignalEffect(() => {
    const t = tS.value;
    if (closeNow.current) look(following(closeNow.current, t, durationS.peek()));
    placeCursor();
  });

  const timeAt = (clientX: number): number | null => {
    const u = plot.current;
    if (!u) return null;
    const box = u.over.getBoundingClientRect();
    return u.posToVal(Math.min(box.width, Math.max(0, clientX - box.left)), 'x');
  };
  const seekTo = (clientX: number) => {
    const t = timeAt(clientX);
    if (t === null) return;
    pause();
    seek(t);
  };
  const zoom = (factor: number, around: number) => look(zoomed(spanNow(), factor, around, durationS.peek()));

  const whose = pair.value ? (second.value ? 0 : 1) : null;
  const letter = whose === null ? null : 'AB'[whose];
  const of = letter ? ` of ${letter}` : '';
  const duration = durationS.value;
  return (
    <section class="strip" aria-label="Time">
      <Transport />
      <div class="strip-time">
        <div
          class="strip-plot"
          role="slider"
          tabIndex={0}
          aria-label="Moment of the job"
          aria-valuemin={0}
          aria-valuemax={duration}
          aria-valuenow={tS.value}
          aria-valuetext={`${timeOnClock(tS.value, duration)} of ${timeOnClock(duration, duration)}${stateWords(
            tS.value,
          )
            .map((part) => `, ${part}`)
            .join('')}`}
          onPointerDown={(event) => {
            if (event.button !== 0) return;
            event.currentTarget.setPointerCapture(event.pointerId);
            seekTo(event.clientX);
          }}
          onPointerMove={(event) => {
            if (event.currentTarget.hasPointerCapture(event.pointerId)) seekTo(event.clientX);
            if (event.pointerType !== 'touch') setTold(timeAt(event.clientX));
          }}
          onPointerLeave={() => setTold(null)}
          onWheel={(event) => {
            const around = timeAt(event.clientX);
            if (around === null) return;
            event.preventDefault();
            zoom(event.deltaY > 0 ? 1.25 : 0.8, around);
            setTold(timeAt(event.clientX));
          }}
          onDblClick={() => look(null)}
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
          <div class="strip-names" aria-hidden="true">
            <span>speed{of}</span>
            <span>operation</span>
            <span>power{of}</span>
          </div>
          <div ref={cursor} class="strip-cursor" aria-hidden="true" />
        </div>
        {close ? (
          <button type="button" class="link show-all" onClick={() => look(null)}>
            show all
          </button>
        ) : null}
        {told !== null && scene.value ? (
          <Told
            tS={told}
            part={partOf(told, spanNow())}
            who={whose === null ? null : `${letter}, ${names.value[whose]}`}
            hint={close === null}
          />
        ) : null}
      </div>
    </section>
  );
}

const partOf = (t: number, [from, to]: Span): number => (t - from) / (to - from);

/** What the machine does at a moment, in words. */
function stateWords(t: number): string[] {
  const now = moments.value;
  const at = scene.value;
  if (!now || !at) return [];
  if (t > now.durationS + 1e-6) return ['finished'];
  const { speedMmPerS, emittedW } = now.at(t);
  const operation = at.tones.find(({ fromS, toS }) => t >= fromS && t <= toS);
  return [
    ...(operation ? [`operation ${operation.n}`] : []),
    `${numberWords(mmPerSToMmPerMin(speedMmPerS), 3)} mm/min`,
    emittedW > 0 ? `${numberWords(emittedW, 2)} W` : 'beam off',
  ];
}

interface ToldProps {
  readonly tS: number;
  /** How far along the strip, 0 … 1. */
  readonly part: number;
  readonly who: string | null;
  readonly hint: boolean;
}

/** Above the pointed moment: what the machine does then. */
function Told({ tS, part, who, hint }: ToldProps) {
  return (
    <div class="strip-told" aria-hidden="true" style={{ '--part': part.toFixed(4) }}>
      {who ? <span class="quiet">{who}</span> : null}
      <span>
        <b>{timeOnClock(tS, durationS.value)}</b> {stateWords(tS).join(', ')}
      </span>
      {hint ? <span class="quiet">turn the wheel to look closer</span> : null}
    </div>
  );
}
