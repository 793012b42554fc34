import { useEffect, useRef, useState } from 'preact/hooks';
import type { ChartPanel } from '../../src/chart/chart.ts';
import { chartAxes, powerToPx, pxToSpeed, speedToPx } from '../../src/picture/chart-frame.ts';
import { chartField, headingWords } from '../../src/picture/chart-picture.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import type { Operation } from '../../src/program/program.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { ownSettings } from '../state/changes.ts';
import { beginStretch, endStretch } from '../state/steps.ts';
import { change, changes, operations, setup } from '../state/store.ts';
import { drawOn } from '../words/draw-on.ts';

const WIDTH = 560;
const HEIGHT = 330;
const FONT = 15;
const OFFSET = 4;

interface ChartBoardProps {
  readonly panel: ChartPanel;
  readonly id: string;
}

/** One board of the chart, drawn as the command line draws it, with its operations to be taken hold of. */
export function ChartBoard({ panel, id }: ChartBoardProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const over = useRef<SVGGElement>(null);
  const sizes = { fontPx: FONT, offsetPx: OFFSET };
  const frame = { widthPx: WIDTH, heightPx: HEIGHT, fontPx: FONT, speedsMmPerS: panel.speedsMmPerS };
  const axes = chartAxes(frame);
  const room = axes.room(sizes);
  const above = FONT * 1.6;
  const whole = { width: WIDTH + room.leftPx + 20, height: HEIGHT + room.belowPx + above };
  useEffect(() => {
    const tonePath = tonePathOf(panel.work.material);
    // The points are controls of the page, laid over it.
    const field = chartField(
      { ...panel, points: [] },
      { widthPx: WIDTH, heightPx: HEIGHT, fontPx: FONT, id, tonePath },
    );
    drawOn(canvas.current!, field.raster);
    // Our own drawing, in which every text is escaped.
    over.current!.innerHTML = field.overlaySvg + axes.svg(sizes);
  }, [panel]);
  const [name, about] = headingWords(panel);
  const own = new Set(panel.points.map(({ operation }) => operation.n));
  return (
    <figure class="settings-board">
      <figcaption>
        <b>{name}</b> <span class="quiet">{about}</span>
      </figcaption>
      <div class="settings-field" style={{ aspectRatio: `${whole.width} / ${whole.height}` }}>
        <canvas
          ref={canvas}
          style={{
            left: percent(room.leftPx, whole.width),
            top: percent(above, whole.height),
            width: percent(WIDTH, whole.width),
            height: percent(HEIGHT, whole.height),
          }}
        />
        <svg
          viewBox={`${-room.leftPx} ${-above} ${whole.width} ${whole.height}`}
          role="img"
          aria-label={`${name}: what each speed and power does`}
        >
          <g ref={over} />
        </svg>
        {operations.value
          .filter(({ n }) => own.has(n))
          .map((operation) => (
            <Point
              key={operation.n}
              operation={operation}
              placed={(speed, power) => ({
                left: percent(room.leftPx + speedToPx(frame, speed), whole.width),
                top: percent(above + powerToPx(frame, power), whole.height),
              })}
              settingAt={(x, y) => [
                pxToSpeed(frame, x * whole.width - room.leftPx),
                1 - (y * whole.height - above) / HEIGHT,
              ]}
              speeds={panel.speedsMmPerS}
            />
          ))}
      </div>
    </figure>
  );
}

const percent = (part: number, whole: number): string => `${((100 * part) / whole).toFixed(3)}%`;

interface PointProps {
  readonly operation: Operation;
  readonly placed: (speedMmPerS: number, power: number) => { readonly left: string; readonly top: string };
  /** The setting at a place of the field, told in shares of its width and height. */
  readonly settingAt: (x: number, y: number) => readonly [speedMmPerS: number, power: number];
  readonly speeds: readonly [number, number];
}

/** A press of an arrow key changes the speed by this factor. */
const KEY_FACTOR = 1.02;

/** An operation as a point: drag it, or move it by arrow keys, and its sentence and the wood follow. */
function Point({ operation, placed, settingAt, speeds }: PointProps) {
  const [held, setHeld] = useState(false);
  const at = setup.value!;
  const { n } = operation;
  const own = ownSettings(operation, at.machine.laser.s_max);
  const { speedMmPerS, powerFraction, passes } = { ...own, ...changes.value.get(n) };
  const shownSpeed = Math.min(speeds[1], Math.max(speeds[0], speedMmPerS));
  const set = (speed: number, power: number) => {
    const within = Math.min(speeds[1], Math.max(speeds[0], speed));
    const feed = Number(mmPerSToMmPerMin(within).toPrecision(2));
    const fine = Math.abs(feed / mmPerSToMmPerMin(speedMmPerS) - 1) < 0.04;
    const feedNow = fine ? Math.round(mmPerSToMmPerMin(within)) : feed;
    change(n, {
      speedMmPerS: mmPerMinToMmPerS(feedNow),
      powerFraction: Math.round(Math.min(1, Math.max(0.01, power)) * 100) / 100,
    });
  };
  return (
    <button
      type="button"
      class={held ? 'setting-point held' : 'setting-point'}
      style={placed(shownSpeed, powerFraction)}
      data-times={passes > 1 ? `×${passes}` : undefined}
      aria-label={`Operation ${n}: ${numberWords(mmPerSToMmPerMin(speedMmPerS), 4)} mm/min with ${numberWords(powerFraction * 100, 3)} % power${passes > 1 ? `, ${passes} times` : ''}; arrow keys change speed and power`}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        setHeld(true);
        beginStretch();
      }}
      onPointerMove={(event) => {
        if (!held) return;
        const box = event.currentTarget.parentElement!.getBoundingClientRect();
        set(...settingAt((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height));
      }}
      onPointerUp={() => {
        setHeld(false);
        endStretch();
      }}
      onPointerCancel={() => {
        setHeld(false);
        endStretch();
      }}
      onKeyDown={(event) => {
        const times = event.shiftKey ? 10 : 1;
        if (event.key === 'ArrowRight') set(speedMmPerS * KEY_FACTOR ** times, powerFraction);
        else if (event.key === 'ArrowLeft') set(speedMmPerS / KEY_FACTOR ** times, powerFraction);
        else if (event.key === 'ArrowUp') set(speedMmPerS, powerFraction + 0.01 * times);
        else if (event.key === 'ArrowDown') set(speedMmPerS, powerFraction - 0.01 * times);
        else return;
        event.preventDefault();
        event.stopPropagation();
      }}
    >
      {n}
    </button>
  );
}
