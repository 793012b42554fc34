import { lab } from 'd3-color';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import { labOf } from '../../src/burn/colour.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { speedPowerInRows } from '../../src/warmth/rows.ts';
import { numberWords } from '../../src/words.ts';
import { GANTRY, WOOD, wattsAt } from './gantry.ts';

const SLOW_MM_PER_MIN = 300;
const FAST_MM_PER_MIN = 6000;
const SPEED_TICKS = [300, 600, 1200, 3000, 6000];
const POWER_TICKS = [0, 25, 50, 75, 100];
const W = 300;
const H = 180;

/** Place on the chart: along x every doubling of the speed is equally wide; power along y. */
const xOf = (mmPerMin: number) =>
  Math.log(mmPerMin / SLOW_MM_PER_MIN) / Math.log(FAST_MM_PER_MIN / SLOW_MM_PER_MIN);
const speedAt = (x: number) =>
  SLOW_MM_PER_MIN * (FAST_MM_PER_MIN / SLOW_MM_PER_MIN) ** Math.min(1, Math.max(0, x));

/** The power setting at which the laser emits so many watts, %: the other way round than `wattsAt`. */
const percentFor = (watts: number): number => {
  const { optical_power_w: full, threshold_fraction: threshold } = GANTRY.laser;
  return (threshold + (watts / full) * (1 - threshold)) * 100;
};

interface SpeedPowerProps {
  readonly speedMmPerMin: number;
  readonly percent: number;
  readonly rowSpacingMm: number;
  readonly onChange: (speedMmPerMin: number, percent: number) => void;
}

/** The tones of filled rows over speed and power, with a point to drag. */
export function SpeedPower({ speedMmPerMin, percent, rowSpacingMm, onChange }: SpeedPowerProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const answer = useMemo(
    () =>
      speedPowerInRows({
        machine: GANTRY,
        material: WOOD,
        thicknessMm: 4,
        use: { kind: 'rows', rowSpacingMm },
        passes: 1,
      }),
    [rowSpacingMm],
  );
  useEffect(() => {
    const draw = canvas.current!.getContext('2d')!;
    const image = draw.createImageData(W, H);
    for (let y = 0, k = 0; y < H; y++) {
      const watts = wattsAt((1 - (y + 0.5) / H) * 100);
      for (let x = 0; x < W; x++, k += 4) {
        const { tone } = answer.outcome(mmPerMinToMmPerS(speedAt((x + 0.5) / W)), watts);
        const { r, g, b } = lab(...labOf(tone, WOOD)).rgb();
        image.data.set([r, g, b, 255], k);
      }
    }
    draw.putImageData(image, 0, 0);
  }, [answer]);

  const dragTo = (event: PointerEvent & { currentTarget: HTMLElement }) => {
    const box = event.currentTarget.getBoundingClientRect();
    const speed = speedAt((event.clientX - box.left) / box.width);
    const power = 1 - (event.clientY - box.top) / box.height;
    onChange(Math.round(speed / 10) * 10, Math.round(Math.min(1, Math.max(0.04, power)) * 100));
  };
  const left = `${(xOf(speedMmPerMin) * 100).toFixed(1)}%`;
  const top = `${(100 - percent).toFixed(1)}%`;
  const dose = answer.outcome(mmPerMinToMmPerS(speedMmPerMin), wattsAt(percent));
  // Where P/v is the same as at the point.
  const same = Array.from({ length: 60 }, (_, k) => {
    const speed = speedAt(k / 59);
    return [(k / 59) * W, H * (1 - percentFor((wattsAt(percent) * speed) / speedMmPerMin) / 100)] as const;
  }).filter(([, y]) => y >= 0);
  return (
    <div class="speed-power">
      <div class="power-ticks" aria-hidden="true">
        {POWER_TICKS.map((tick) => (
          <span key={tick} style={{ top: `${100 - tick}%` }}>
            {tick}
          </span>
        ))}
      </div>
      <div
        class="field"
        role="slider"
        tabIndex={0}
        aria-label="Speed and power: left and right change speed, up and down power"
        aria-valuemin={SLOW_MM_PER_MIN}
        aria-valuemax={FAST_MM_PER_MIN}
        aria-valuenow={speedMmPerMin}
        aria-valuetext={`${numberWords(speedMmPerMin)} mm/min at ${percent} %, ${numberWords(dose.doseJPerMm2, 2)} J/mm², ${dose.region}`}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          dragTo(event);
        }}
        onPointerMove={(event) => {
          if (event.currentTarget.hasPointerCapture(event.pointerId)) dragTo(event);
        }}
        onKeyDown={(event) => {
          const way = {
            ArrowLeft: [1 / 1.06, 0],
            ArrowRight: [1.06, 0],
            ArrowUp: [1, 2],
            ArrowDown: [1, -2],
          }[event.key];
          if (!way) return;
          event.preventDefault();
          const speed = Math.min(FAST_MM_PER_MIN, Math.max(SLOW_MM_PER_MIN, speedMmPerMin * way[0]!));
          onChange(Math.round(speed / 10) * 10, Math.min(100, Math.max(4, percent + way[1]!)));
        }}
      >
        <canvas ref={canvas} width={W} height={H} />
        <svg viewBox={`0 0 ${W} ${H}`} preserveAspectRatio="none" aria-hidden="true">
          <path
            d={same.map(([x, y], k) => `${k === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('')}
            class="same-dose"
          />
        </svg>
        <span class="point" style={{ left, top }} />
      </div>
      <div class="ticks" aria-hidden="true">
        {SPEED_TICKS.map((tick) => (
          <span key={tick} style={{ left: `${(xOf(tick) * 100).toFixed(1)}%` }}>
            {tick}
          </span>
        ))}
      </div>
      <p class="axis-name" aria-hidden="true">
        Across: speed, mm/min, every doubling equally wide. Up: power, % of{' '}
        {numberWords(GANTRY.laser.optical_power_w)} W. Dashed: the same dose.
      </p>
    </div>
  );
}
