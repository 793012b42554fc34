import { greatest } from 'd3-array';
import { crossed, type EvenRows, ownShare, rippleOf, spacingForRipple } from '../burn/ripple.ts';
import { powerFor } from '../burn/speed-power.ts';
import { widthAcrossMm } from '../laser/spot.ts';
import type { Spot } from '../machine/profile.ts';
import { numberWords, percentWords } from '../words.ts';
import { byDirection, type Evidence, type OperationEvidence } from './evidence/evidence.ts';
import { comesUpTo } from './evidence/reach.ts';
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
  const spacing = evenSpacingMm(spot, rows, widthMm);
  // What counts is how far apart rows lie in widths of the spot.
  const evenWidthMm = Math.ceil((100 * widthMm * rows.spacingMm) / spacing - 1e-9) / 100;
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
    remedy: `Lay the rows ${numberWords(spacing)} mm apart or closer, ${keepsTone(evidence, each, rows.spacingMm / spacing)}`,
    measure: {
      row_spacing_mm: round(rows.spacingMm),
      spot_across_mm: round(widthMm),
      ripple_percent: round(swing * 100, 2),
      colour_difference: round(difference, 1),
      even_spacing_mm: spacing,
    },
  };
}

/** How rows so many times as close keep their tone: with as much more speed, or where that is not to be had less power. */
function keepsTone(evidence: Evidence, each: OperationEvidence, times: number): string {
  const { machine, law } = evidence;
  const { operation, fullSpeedMmPerS } = each;
  const factor = numberWords(times, 2);
  if (comesUpTo(evidence, each, operation.firstMove, times * fullSpeedMmPerS))
    return `and speed up as much as they come closer (${factor} times) to keep the tone.`;
  const { laser } = machine;
  const watts = law.watts(Math.min(operation.sMax, laser.s_max), 1) / times;
  const power = Math.max(0.1, Math.round(1000 * powerFor(laser, watts)) / 10);
  const upTo = operation.sMin === operation.sMax ? '' : 'at most ';
  return (
    `and burn them with ${upTo}${numberWords(power, 3)} % power to keep the tone: this machine does not come up to ` +
    `${factor} times the speed there.`
  );
}

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
