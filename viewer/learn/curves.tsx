import type { Forecast } from '../../src/forecast.ts';
import { greatestOf } from '../../src/lists.ts';
import type { View } from '../../src/picture/view.ts';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { envelopeOf } from '../time/envelope.ts';
import { momentsOf } from '../time/moments.ts';

/** How many times as wide a picture is as the chart beside it; the style sheet sets them side by side so. */
const FIGURE_TO_CHART = 1.6;
/** Points of a curve over time. */
const POINTS = 280;

const path = (points: readonly (readonly [number, number])[]): string =>
  points.map(([x, y], k) => `${k === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

/** Speed and power while the beam burns, one under the other; of a long burning only `seconds` from its middle. */
export function SpeedAndPower({
  forecast,
  seconds = Infinity,
}: {
  readonly forecast: Forecast;
  readonly seconds?: number;
}) {
  const { motion, machine, operations } = forecast;
  const [burning] = operations;
  if (!burning) return null;
  const startS = motion.startS[burning.operation.firstMove]!;
  const whole = burning.durationS;
  const fromS = seconds < whole ? startS + (whole - seconds) / 2 : startS;
  const toS = fromS + Math.min(whole, seconds);
  const curve = envelopeOf(motion, momentsOf(motion, machine), fromS, toS, POINTS);
  const topSpeed = Math.max(1, greatestOf(curve.highMmPerS));
  const topPower = Math.max(0.1, greatestOf(curve.powerW));
  const x = (k: number) => 10 + (k / (POINTS - 1)) * 280;
  const speed = Array.from(curve.highMmPerS, (v, k): [number, number] => [x(k), 94 - (v / topSpeed) * 72]);
  const power = Array.from(curve.powerW, (v, k): [number, number] => [x(k), 198 - (v / topPower) * 72]);
  return (
    <svg viewBox="0 0 300 206" class="chart" role="img" aria-label="Speed and power while the beam burns">
      <line x1="10" x2="290" y1="94" y2="94" class="axis" />
      <line x1="10" x2="290" y1="198" y2="198" class="axis" />
      <path d={path(speed)} class="curve" />
      <path d={`${path(power)}L290 198L10 198Z`} class="area" />
      <path d={path(power)} class="curve hot" />
      <text x="10" y="13" class="name">
        speed, up to {numberWords(mmPerSToMmPerMin(topSpeed), 2)} mm/min
      </text>
      <text x="10" y="117" class="name">
        power, up to {numberWords(topPower, 2)} W
      </text>
    </svg>
  );
}

/** Dose along a line across the rows, through the middle of the board. */
export function Profile({
  forecast,
  figure,
  needed,
}: {
  readonly forecast: Forecast;
  /** The picture beside it: as tall as this, and of the same stretch of the board, so that rows and peaks line up. */
  readonly figure: View;
  readonly needed: number;
}) {
  const { grid } = forecast.dose;
  const i = grid.nx >> 1;
  const tall = 300 * FIGURE_TO_CHART * (figure.heightPx / figure.widthPx);
  const x = (dose: number) => 10 + (dose / top) * 270;
  const y = (j: number) => {
    const yMm = grid.y0Mm + (j + 0.5) * grid.cellMm;
    return tall * (1 - ((yMm - figure.bottomMm) * figure.pxPerMm) / figure.heightPx);
  };
  const seen = Array.from({ length: grid.ny }, (_, j) => j).filter((j) => y(j) >= 0 && y(j) <= tall);
  const values = seen.map((j) => grid.data[j * grid.nx + i]!);
  const top = Math.max(needed * 1.5, greatestOf(values)) * 1.1;
  const points = values.map((dose, k): [number, number] => [x(dose), y(seen[k]!)]);
  const bottom = tall.toFixed(1);
  return (
    <>
      <svg viewBox={`0 0 300 ${bottom}`} class="chart" role="img" aria-label="Dose across the rows">
        <line x1="10" x2="10" y1="0" y2={bottom} class="axis" />
        <line x1={x(needed)} x2={x(needed)} y1="0" y2={bottom} class="axis dashed" />
        <path d={`${path(points)}L10 0L10 ${bottom}Z`} class="area" />
        <path d={path(points)} class="curve hot" />
        <text x={x(needed) + 3} y="14" class="name">
          marks
        </text>
      </svg>
      <p class="axis-name" aria-hidden="true">
        dose across the rows, to {numberWords(top / 1.1, 2)} J/mm²
      </p>
    </>
  );
}

/** The beam from the side: how wide it is above and in the wood. */
export function Waist({
  widthMm,
  rayleighMm,
  offMm,
}: {
  readonly widthMm: number;
  readonly rayleighMm: number;
  readonly offMm: number;
}) {
  const z = (mm: number) => 110 + mm * 14;
  const half = (mm: number) => (widthMm / 2) * Math.sqrt(1 + ((mm - 0) / rayleighMm) ** 2) * 90;
  const steps = Array.from({ length: 61 }, (_, k) => -8 + (k / 60) * 15);
  const left = steps.map((mm): [number, number] => [150 - half(mm), z(mm)]);
  const right = steps.map((mm): [number, number] => [150 + half(mm), z(mm)]).reverse();
  return (
    <svg
      viewBox="0 0 300 214"
      class="chart"
      role="img"
      aria-label="The beam from the side, and where the wood lies in it"
    >
      <path d={`${path([...left, ...right])}Z`} class="light" />
      <rect x="6" y={z(offMm)} width="288" height={Math.max(0, 206 - z(offMm))} class="board" />
      <line x1="20" x2="280" y1={z(0)} y2={z(0)} class="axis dashed" />
      <text x="22" y={z(0) - 4} class="name">
        focus
      </text>
      <text x="12" y={Math.min(202, z(offMm) + 14)} class="name on-wood">
        the wood
      </text>
    </svg>
  );
}

/** A section across a cut, true to scale: the kerf and how far it goes. */
export function Section({
  forecast,
  thicknessMm,
}: {
  readonly forecast: Forecast;
  readonly thicknessMm: number;
}) {
  const { frame, depthMm, through } = forecast.burn;
  const i = frame.nx >> 1;
  const pxPerMm = 190 / Math.max(6, thicknessMm + 0.6);
  const middle = (frame.ny * frame.cellMm) / 2;
  const top = 10;
  const wide = 150;
  const points = Array.from({ length: frame.ny }, (_, j): [number, number] => [
    wide + ((j + 0.5) * frame.cellMm - middle) * pxPerMm * 3,
    top + depthMm[j * frame.nx + i]! * pxPerMm,
  ]).filter(([x]) => x > 6 && x < 294);
  const bottom = top + thicknessMm * pxPerMm;
  const open =
    through !== null && Array.from({ length: frame.ny }, (_, j) => through[j * frame.nx + i]).includes(1);
  return (
    <svg viewBox="0 0 300 214" class="chart" role="img" aria-label="A section across the cut">
      <path d={`${path([[6, top], ...points, [294, top], [294, bottom], [6, bottom]])}Z`} class="board" />
      <path d={path([[6, top], ...points, [294, top]])} class={open ? 'curve hot' : 'curve'} />
      <text x="6" y={bottom + 14} class="name">
        {numberWords(thicknessMm, 2)} mm, widths drawn threefold
      </text>
    </svg>
  );
}
