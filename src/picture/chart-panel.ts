import type { BurnWithDwell } from '../burn/burn-dose.ts';
import { burnDose } from '../burn/burn-dose.ts';
import { needAt, needOf } from '../burn/need.ts';
import { REGIONS, type Region, type SpeedPower, wattsAt } from '../burn/speed-power.ts';
import type { ChartPanel } from '../chart/chart.ts';
import { type Dose, oneHeight } from '../dose/dose.ts';
import type { GridFrame } from '../grid.ts';
import { speedPowerInRows } from '../warmth/rows.ts';
import { type ChartFrame, curvePx, type PxPoint, powerToPx, pxToSpeed, speedToPx } from './chart-frame.ts';
import { RIM } from './chart-key.ts';
import {
  type Box,
  boxSvg,
  crosses,
  onCurveAtY,
  overlap,
  pathData,
  textAlong,
  textBox,
  within,
} from './chart-labels.ts';
import { pointMarks } from './chart-points.ts';
import { twoDigits } from './numbers.ts';
import { INK, PAPER, px } from './svg.ts';

/** Ink on dark wood. */
const CREAM = '#f6e9d3';
/** From this tone on, ink is hard to read and cream easy. */
const CREAM_FROM_TONE = 0.36;

/**
 * The board of a panel, burned: every place of the field carries the dose its speed and power leave, and is asked
 * what it becomes exactly as a forecast asks.
 */
export function chartBurn(panel: ChartPanel, frame: GridFrame): BurnWithDwell {
  const answers = speedPowerInRows(panel.work);
  const { machine, material } = panel.work;
  const [from, to] = panel.speedsMmPerS;
  const { nx, ny } = frame;
  const data = new Float32Array(nx * ny);
  const perWatt = new Float64Array(nx);
  const lnDwell = new Float64Array(nx);
  const need = new Float64Array(nx);
  const needs = needOf(material, answers.beam.wavelengthNm);
  for (let i = 0; i < nx; i++) {
    const speed = from * (to / from) ** ((i + 0.5) / nx);
    const { doseJPerMm2, dwellS } = answers.outcome(speed, 1);
    perWatt[i] = doseJPerMm2;
    lnDwell[i] = Math.log(dwellS);
    need[i] = needAt(needs, dwellS);
  }
  for (let j = 0, k = 0; j < ny; j++) {
    const watts = wattsAt(machine.laser, (j + 0.5) / ny);
    for (let i = 0; i < nx; i++, k++) data[k] = perWatt[i]! * watts;
  }
  // What is cut away is drawn as an edge, so the board itself is never opened.
  const burned = (times: (doseJPerMm2: number, i: number) => number): BurnWithDwell => {
    const own = new Float32Array(nx * ny);
    const doseLnDwell = new Float32Array(nx * ny);
    for (let j = 0, k = 0; j < ny; j++) {
      for (let i = 0; i < nx; i++, k++) {
        own[k] = data[k]! * times(data[k]!, i);
        doseLnDwell[k] = own[k]! * lnDwell[i]!;
      }
    }
    const dose: Dose = {
      grid: { ...frame, unit: 'J/mm²', data: own },
      doseLnDwell,
      height: oneHeight(answers.beam.headZMm ?? 0),
      energyJ: 0,
      outsideJ: 0,
    };
    return burnDose(dose, material, { ...answers.beam, thicknessMm: null });
  };
  if (!answers.isArea) return burned(() => 1);
  // An area of rows that do not run together is seen by another dose than its mean, and deepest where its lines are.
  const seen = burned((doseJPerMm2, i) => answers.seenTimes(doseJPerMm2 / need[i]!));
  const { depthMm } = burned(() => answers.deepestTimes);
  return { ...seen, depthMm };
}

/** Everything that is drawn over a panel's board. `id` tells its clip and mask from other panels'. */
export function chartPanelSvg(panel: ChartPanel, frame: ChartFrame, id: string): string {
  const answers = speedPowerInRows(panel.work);
  const drawn = panel.edges.map(({ region, line }) => ({ region, points: curvePx(frame, line) }));
  const taken: Box[] = [];
  const points = pointMarks(panel.points, frame, taken);
  const pills = taken.length;
  const edgeCurves = drawn.map(({ points: curve }) => curve);
  const cutCurves = panel.cuts.map(({ line }) => curvePx(frame, line));
  const names = regionNames(panel, answers, frame, taken, edgeCurves, cutCurves);
  const cuts = panel.cuts.flatMap(({ passes }, k) =>
    labelled(
      cutCurves[k]!,
      { text: `cut in ${passes} passes`, ink: CREAM, powers: CUT_LABELS },
      frame,
      taken,
      edgeCurves,
    ),
  );
  const doses = panel.doses.flatMap(({ doseJPerMm2, line }) => {
    const curve = curvePx(frame, line);
    const ink = inkOn(toneAtTop(curve, panel, answers, frame));
    const others = [...edgeCurves, ...cutCurves];
    const label = { text: `${twoDigits(doseJPerMm2)} J/mm²`, ink, powers: DOSE_LABELS };
    return labelled(curve, label, frame, taken, others);
  });
  const { widthPx, heightPx, fontPx } = frame;
  const field = `width="${px(widthPx)}" height="${px(heightPx)}"`;
  const dash = `stroke-dasharray="${px(fontPx * 0.36)} ${px(fontPx * 0.26)}"`;
  const paths = (curves: readonly Labelled[], stroke: string): string =>
    `<g fill="none" ${stroke}>${curves.map(({ path }) => path).join('')}</g>`;
  const edges = drawn
    .filter(({ region }) => region !== 'cut')
    .map(({ region, points: curve }) => curveSvg(curve, inkOn(EDGE_TONES[region] ?? 0)))
    .join('');
  const cut = drawn.find(({ region }) => region === 'cut');
  return (
    `<defs><clipPath id="${id}-field"><rect ${field}/></clipPath>` +
    `<mask id="${id}-labels" maskUnits="userSpaceOnUse" x="0" y="0" ${field}><rect ${field} fill="#fff"/>` +
    `${taken
      .slice(pills)
      .map((box) => boxSvg(box, '#000'))
      .join('')}</mask></defs>` +
    `<g clip-path="url(#${id}-field)">${cut ? cutAway(cut.points, frame) : ''}<g mask="url(#${id}-labels)">` +
    paths(doses, `stroke-opacity="0.62" stroke-width="${px(fontPx * 0.05)}"`) +
    `<g fill="none" stroke-width="${px(fontPx * 0.085)}">${edges}</g>` +
    paths(cuts, `stroke-width="${px(fontPx * 0.075)}" ${dash}`) +
    `</g>${[...doses, ...cuts].map(({ label }) => label).join('')}</g>${names}${points}`
  );
}

/** Tones at which a curve's ink is chosen: the darker side of a region's beginning is what it lies on. */
const EDGE_TONES: Partial<Record<Region, number>> = { tan: 0, brown: 0.4, char: 0.75 };
/** Heights tried for a curve's label, as shares of full power: all labels of a kind stand in a row if they can. */
const CUT_LABELS = [0.86, 0.76, 0.66, 0.56, 0.46, 0.36];
const DOSE_LABELS = [0.62, 0.54, 0.7, 0.46, 0.78, 0.38, 0.86, 0.3, 0.22, 0.14];

const inkOn = (tone: number): string => (tone >= CREAM_FROM_TONE ? CREAM : INK);

/** The tone where the curve is highest on the panel; 0 where that is cut away: paper again. */
function toneAtTop(
  curve: readonly PxPoint[],
  panel: ChartPanel,
  answers: SpeedPower,
  frame: ChartFrame,
): number {
  const [x, y] = curve.findLast(([x]) => x >= 0 && x <= frame.widthPx) ?? curve.at(-1)!;
  const power = 1 - y / frame.heightPx;
  const speed = pxToSpeed(frame, x);
  if (speed < edgeSpeed(panel, answers, 'cut', power)) return 0;
  return answers.outcome(speed, wattsAt(answers.work.machine.laser, power)).tone;
}

/** Where a region begins at this share of full power, mm/s; a cut where the panel's edge of it stands. */
function edgeSpeed(panel: ChartPanel, answers: SpeedPower, region: Region, power: number): number {
  if (region !== 'cut') return answers.fastest(region, wattsAt(panel.work.machine.laser, power));
  const line = panel.edges.find((edge) => edge.region === 'cut')?.line;
  if (!line) return 0;
  const above = line.findIndex(([, there]) => there >= power);
  if (above < 1) return line.at(above)![0];
  const [[slow, low], [fast, high]] = [line[above - 1]!, line[above]!];
  return slow + ((fast - slow) * (power - low)) / (high - low);
}

/** The corner of the board that is cut away: paper, with the board's charred rim along it. */
function cutAway(curve: readonly PxPoint[], { fontPx }: ChartFrame): string {
  const edge = pathData(curve);
  const [first, last] = [curve[0]!, curve.at(-1)!];
  const corner = `${edge}L${px(last[0])} -9L-9 -9L-9 ${px(first[1] + 9)}L${px(Math.min(-9, first[0]))} ${px(first[1])}Z`;
  const rim = (width: number, opacity: number): string =>
    `<path d="${edge}" fill="none" stroke="${RIM}" stroke-opacity="${opacity}" stroke-width="${px(fontPx * width)}"/>`;
  return `<path d="${corner}" fill="rgb(${PAPER.join(', ')})"/>${rim(0.5, 0.25)}${rim(0.2, 1)}`;
}

/** What is written along a curve, and the heights where it may stand. */
interface CurveLabel {
  readonly text: string;
  readonly ink: string;
  /** Shares of full power, the most liked first. */
  readonly powers: readonly number[];
}

/** A curve and, apart from it, its label. */
interface Labelled {
  readonly path: string;
  readonly label: string;
}

const curveSvg = (curve: readonly PxPoint[], ink: string): string =>
  `<path d="${pathData(curve)}" stroke="${ink}"/>`;

/**
 * A curve with its label along it, at the first of its heights where there is room and none
 * of `others` runs through it. Where there is nowhere, the curve is left out: it hugs another, or hardly shows.
 */
function labelled(
  curve: readonly PxPoint[],
  { text, ink, powers }: CurveLabel,
  frame: ChartFrame,
  taken: Box[],
  others: readonly (readonly PxPoint[])[],
): Labelled[] {
  const sizePx = frame.fontPx * 0.78;
  for (const power of powers) {
    const place = onCurveAtY(curve, powerToPx(frame, power));
    if (!place) continue;
    const box = textBox(text, sizePx, place);
    if (!within(box, frame.widthPx, frame.heightPx) || taken.some((other) => overlap(box, other))) continue;
    if (others.some((other) => crosses(other, box))) continue;
    taken.push(box);
    return [{ path: curveSvg(curve, ink), label: textAlong(text, place, { sizePx, fill: ink }) }];
  }
  return [];
}

/** Names and their ink. */
const NAMES: Readonly<Record<Region, string>> = {
  'no mark': INK,
  tan: INK,
  brown: CREAM,
  char: CREAM,
  cut: INK,
};
/** The heights tried for a name, from the most liked on. */
const NAME_POWERS = [0.3, 0.24, 0.36, 0.42, 0.18, 0.48, 0.12, 0.54, 0.6, 0.66, 0.74, 0.82, 0.9, 0.94];

/** The slope of a band is taken over this share of full power. */
const NAME_SLOPE = 0.02;
/** Where in its band a name is tried, from the slow edge to the fast one. */
const NAME_PLACES = [0.5, 0.34, 0.66, 0.2, 0.8];

/**
 * The regions' names, each inside its band: level where the band is wide, else along it. None touches an edge, and
 * none is laid over a curve of `cuts` if it can be helped.
 */
function regionNames(
  panel: ChartPanel,
  answers: SpeedPower,
  frame: ChartFrame,
  taken: Box[],
  edges: readonly (readonly PxPoint[])[],
  cuts: readonly (readonly PxPoint[])[],
): string {
  const style = { sizePx: frame.fontPx * 1.12, bold: true };
  const bandAt = (region: Region, power: number): readonly [slow: number, fast: number] => {
    const next = REGIONS[REGIONS.indexOf(region) + 1];
    const slow = next ? Math.max(0, speedToPx(frame, edgeSpeed(panel, answers, next, power))) : 0;
    return [slow, Math.min(frame.widthPx, speedToPx(frame, edgeSpeed(panel, answers, region, power)))];
  };
  const boxAt = (region: Region, power: number, place: number): Box | null => {
    const [slow, fast] = bandAt(region, power);
    const [slowAbove, fastAbove] = bandAt(region, power + NAME_SLOPE);
    const along = (from: number, to: number) => from + place * (to - from);
    const x = along(slow, fast);
    const level = textBox(region, style.sizePx, { x, y: powerToPx(frame, power), angle: 0 }, true);
    const angle = Math.atan2(-NAME_SLOPE * frame.heightPx, along(slowAbove, fastAbove) - x);
    const isWide = fast - slow > level.halfWidth * 2.6;
    // Along a band a name takes up its height over the sine of the slope.
    const half = isWide ? level.halfWidth : level.halfHeight / Math.abs(Math.sin(angle));
    const box = isWide ? level : { ...level, angle };
    if (x - half < slow || x + half > fast || !within(box, frame.widthPx, frame.heightPx)) return null;
    const meets = taken.some((other) => overlap(box, other)) || edges.some((edge) => crosses(edge, box));
    return meets ? null : box;
  };
  return REGIONS.map((region) => {
    const boxes = NAME_POWERS.flatMap((power) =>
      NAME_PLACES.flatMap((place) => boxAt(region, power, place) ?? []),
    );
    const box = boxes.find((candidate) => !cuts.some((cut) => crosses(cut, candidate))) ?? boxes[0];
    if (!box) return '';
    taken.push(box);
    return textAlong(region, box, { ...style, fill: NAMES[region] });
  }).join('');
}
