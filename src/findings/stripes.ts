import { greatest } from 'd3-array';
import { crossed, type EvenRows, ownShare, rippleOf, spacingForRipple } from '../burn/ripple.ts';
import { powerFor, type SpeedPower } from '../burn/speed-power.ts';
import { FULL_CHAR_TONE } from '../burn/tone.ts';
import { widthAcrossMm } from '../laser/spot.ts';
import { leastOf } from '../lists.ts';
import type { Spot } from '../machine/profile.ts';
import { headZMm } from '../program/operations.ts';
import { speedPowerInRows } from '../warmth/rows.ts';
import { numberWords, percentWords } from '../words.ts';
import { byDirection, type Evidence, hatchOf, type OperationEvidence } from './evidence/evidence.ts';
import { comesUpTo } from './evidence/reach.ts';
import type { RowLines } from './evidence/row-lines.ts';
import { measuredShape, useOfRows } from './evidence/rows-use.ts';
import { PLAINLY_DIFFERENT } from './evidence/visible-difference.ts';
import type { Finding } from './finding.ts';
import { mmWords, round } from './phrases.ts';

/** A ripple of this much is even to any eye, and what the remedy aims at. */
const EVEN = 0.02;
/** Ripple below this part of the mean is no stripe, however touchy the wood. */
export const LEAST_RIPPLE = 0.1;
const FEWEST_ROWS = 3;
/**
 * The eye tells lines apart from 2 minutes of arc on, one for the line and one for the gap (what Snellen's chart
 * calls full sight), which at 250 mm is 0.145 mm. Closer rows are seen as a paler area: worth a note.
 */
const EYE_PARTS_MM = 250 * Math.tan((2 / 60) * (Math.PI / 180));

/**
 * `stripes`: rows further apart than the spot is wide across them, so that dose rises and falls from row to row
 * and the rows stand apart to the eye. One finding per operation: of several directions of rows the one that shows most.
 */
export function findStripes(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) => {
    const found = byDirection(each).flatMap((one) => stripesOf(evidence, one) ?? []);
    const worst = greatest(found, ({ measure }) => Number(measure.colour_difference));
    return worst === undefined ? [] : [worst];
  });
}

function stripesOf(evidence: Evidence, each: OperationEvidence): Finding | null {
  const { machine, program, eye } = evidence;
  const { operation, rows, nominalJPerMm, straightDwellS, straightNeedTimes } = each;
  if (!rows?.spacingMm || rows.count < FEWEST_ROWS) return null;
  const { spot } = machine;
  const { moves } = program;
  const widthMm = widthAcrossMm(spot, rows.ux, rows.uy, moves.zMm[operation.firstMove]!);
  const ripple = rippleOf(spot, rows, widthMm, rows.spacingMm);
  if (ripple.peakToValley < LEAST_RIPPLE) return null;
  const own = ownShare(rows);
  const mean = (nominalJPerMm * operation.passes) / rows.spacingMm / own;
  const { most, least, peakToValley: swing } = crossed(ripple, own);
  const [peak, valley] = [most, least].map((times) => (mean * times) / straightNeedTimes);
  const difference = eye.difference(peak!, straightDwellS, valley!, straightDwellS);
  if (difference < PLAINLY_DIFFERENT) return null;
  const spacing = evenFor(spot, rows, moves.zMm[operation.firstMove]!);
  // What counts is how far apart rows lie in widths of the spot.
  const evenWidthMm =
    Math.ceil((100 * widthMm * rows.spacingMm) / evenSpacingMm(spot, rows, widthMm) - 1e-9) / 100;
  const seen = rows.spacingMm >= EYE_PARTS_MM;
  const [x, y] = [moves.xMm[operation.firstMove]!, moves.yMm[operation.firstMove]!];
  return {
    kind: 'stripes',
    severity: seen ? 'warning' : 'note',
    line: operation.lines[0],
    atMm: [x, y],
    operation: operation.n,
    message:
      `Its rows lie ${mmWords(rows.spacingMm)} apart, and the spot is ${mmWords(widthMm)} wide across them; for rows so far ` +
      `apart to run together it would have to be ${mmWords(evenWidthMm)}. So dose swings by ${percentWords(round(swing, 3))} of its mean from row to row: ` +
      (seen
        ? 'the engraving will show stripes.'
        : 'stripes too fine for the bare eye, which make the area paler.'),
    remedy: remedyOf(evidence, each, rows, spacing),
    measure: {
      row_spacing_mm: round(rows.spacingMm),
      spot_across_mm: round(widthMm),
      ripple_percent: round(swing * 100, 2),
      colour_difference: round(difference, 1),
      even_spacing_mm: spacing,
    },
  };
}

/** Rows so near that they run together, and what keeps their tone: more speed, or where that is not to be had less power. */
function remedyOf(evidence: Evidence, each: OperationEvidence, rows: RowLines, spacingMm: number): string {
  const { machine, law } = evidence;
  const { operation, fullSpeedMmPerS } = each;
  const mm = mmWords(spacingMm);
  const lay = `Lay ${rows.crossing ? 'these rows and those that cross them' : 'the rows'} ${mm} apart or closer. At ${mm}`;
  const { speedTimes, powerTimes } = keepingTone(evidence, each, rows, spacingMm);
  if (comesUpTo(evidence, each, operation.firstMove, speedTimes * fullSpeedMmPerS))
    return `${lay}, ${numberWords(speedTimes, 3)} times the speed keeps the tone.`;
  const { laser } = machine;
  const watts = law.watts(Math.min(operation.sMax, laser.s_max), 1) * powerTimes;
  const power = Math.max(0.1, Math.round(1000 * powerFor(laser, watts)) / 10);
  const upTo = operation.sMin === operation.sMax ? '' : 'at most ';
  return `${lay}, ${upTo}${numberWords(power, 3)} % power keeps the tone: this machine does not come up to ${numberWords(speedTimes, 2)} times the speed there.`;
}

/** From full char on more dose hardly shows. */
const DARKEST = FULL_CHAR_TONE;

/**
 * By how much more speed, or how much less power, rows laid closer look as they do now: stripes are paler or darker than the
 * same dose spread evenly, and rows that overlap fire a place more often. What is bare or black keeps its dose.
 */
function keepingTone(
  { machine, material, stock, program }: Evidence,
  each: OperationEvidence,
  rows: RowLines,
  spacingMm: number,
): { readonly speedTimes: number; readonly powerTimes: number } {
  const { operation, nominalJPerMm, fullSpeedMmPerS } = each;
  const shapeOf = measuredShape(program, operation, hatchOf(each));
  const [now, then] = [rows, closer(rows, spacingMm)].map((laid) =>
    speedPowerInRows({
      machine,
      material,
      thicknessMm: stock?.thicknessMm ?? null,
      use: useOfRows(laid, shapeOf),
      passes: operation.passes,
      headZMm: headZMm(program, operation),
    }),
  ) as [SpeedPower, SpeedPower];
  const watts = nominalJPerMm * fullSpeedMmPerS;
  const { tone, doseJPerMm2 } = now.outcome(fullSpeedMmPerS, watts);
  if (!(tone > 0 && tone < DARKEST)) {
    const speedTimes = then.speedForDose(doseJPerMm2, watts) / fullSpeedMmPerS;
    return { speedTimes, powerTimes: 1 / speedTimes };
  }
  return {
    speedTimes: then.speedForTone(tone, watts) / fullSpeedMmPerS,
    powerTimes: then.wattsForTone(tone, fullSpeedMmPerS) / watts,
  };
}

/** The same rows, and those that cross them, at most so far apart, each with the light they have. */
function closer(rows: RowLines, spacingMm: number): RowLines {
  const nearer = <R extends Pick<RowLines, 'spacingMm' | 'count'>>(each: R): R => {
    const times = Math.max(1, each.spacingMm! / spacingMm);
    return { ...each, spacingMm: each.spacingMm! / times, count: Math.round(each.count * times) };
  };
  const laid = nearer(rows);
  if (!rows.crossing) return laid;
  const crossing = rows.crossing.map((other) => {
    const across = nearer(other);
    const times = other.spacingMm / across.spacingMm / (rows.spacingMm! / laid.spacingMm!);
    return { ...across, meanTimes: other.meanTimes * times };
  });
  return { ...laid, crossing };
}

/** The spacing at which rows run together and those that cross them as well, mm. */
const evenFor = (spot: Spot, rows: RowLines, zMm: number): number =>
  leastOf(
    [rows, ...(rows.crossing ?? [])].map((each) =>
      evenSpacingMm(spot, each, widthAcrossMm(spot, each.ux, each.uy, zMm)),
    ),
  );

/** Row spacings are told in such steps. */
const STEP_MM = 0.005;

/**
 * The widest spacing at which rows of this spot run together, mm. A Gaussian's ripple falls fast once they do; that
 * of a spot with an edge hardly falls, so there the widest of at most half its width without stripes is looked for.
 */
export function evenSpacingMm(spot: Spot, rows: EvenRows, widthMm: number): number {
  const isGaussian = spot.shape === 'gaussian';
  let steps = Math.floor((isGaussian ? spacingForRipple(EVEN, widthMm) : widthMm / 2) / STEP_MM);
  const shows = () => rippleOf(spot, rows, widthMm, steps * STEP_MM).peakToValley >= LEAST_RIPPLE;
  if (!isGaussian) while (steps > 1 && shows()) steps--;
  return Number((Math.max(1, steps) * STEP_MM).toFixed(3));
}
