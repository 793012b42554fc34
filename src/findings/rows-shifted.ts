import { least } from 'd3-array';
import { widthAlongMm } from '../laser/spot.ts';
import { mmPerSToMmPerMin, msToS } from '../units.ts';
import { feedWords, numberWords } from '../words.ts';
import { byDirection, type Evidence, type OperationEvidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { mmWords, round } from './phrases.ts';
import { steadyFeed } from './settings-words.ts';

/** A shift of less than half the spot's width along the rows drowns in the spot's own soft edge. */
const SHOWS = 0.5;
/** From a whole spot's width on, edges fall apart into two. */
const SPOILS = 1;
/** Fewer rows than this part against the others is no back and forth. */
const BACK_AND_FORTH = 0.2;
/** One direction takes twice as long; going slower than a third of the speed is worse. */
const SLOWEST = 3;

/**
 * `rows-shifted`: rows burned to and fro out of line with each other, because the beam follows the head late: by
 * twice speed × lateness, which is the fixed delay plus the time constant of the rise (the mean delay of a
 * first-order lag). One finding per operation.
 */
export function findRowsShifted(evidence: Evidence): Finding[] {
  const { rise_time_ms, beam_delay_ms } = evidence.machine.laser;
  const lateS = msToS(beam_delay_ms + rise_time_ms);
  if (lateS === 0) return [];
  return evidence.operations.flatMap((each) => {
    const found = byDirection(each).flatMap((one) => shiftOf(evidence, one, lateS) ?? []);
    // All are shifted alike; it shows most where the spot is narrowest along the rows.
    const worst = least(found, ({ measure }) => Number(measure.spot_along_mm));
    return worst === undefined ? [] : [worst];
  });
}

function shiftOf(evidence: Evidence, each: OperationEvidence, lateS: number): Finding | null {
  const { operation, rows, fullSpeedMmPerS: speed } = each;
  if (!rows || rows.againstShare < BACK_AND_FORTH) return null;
  const shiftMm = Math.abs(2 * speed * lateS);
  const spotMm = widthAlongMm(evidence.machine.spot, rows.ux, rows.uy);
  if (shiftMm < SHOWS * spotMm) return null;
  const slow = steadyFeed(operation, evidence.machine, (SHOWS * spotMm) / (2 * Math.abs(lateS)));
  const slowEnough = slow.feedMmPerMin > mmPerSToMmPerMin(speed) / SLOWEST;
  const { moves } = evidence.program;
  const early = lateS < 0;
  return {
    kind: 'rows-shifted',
    severity: shiftMm >= SPOILS * spotMm ? 'warning' : 'note',
    line: operation.lines[0],
    atMm: [moves.xMm[operation.firstMove]!, moves.yMm[operation.firstMove]!],
    operation: operation.n,
    message:
      `Rows burned one way lie ${mmWords(shiftMm)} off those burned the other way, so upright edges come out ` +
      `toothed: the beam ${early ? 'leads' : 'follows'} the head by ${numberWords(Math.abs(lateS) * 1000, 2)} ms, ` +
      `and twice that at ${feedWords(speed)} is the shift.`,
    remedy: slowEnough
      ? `Burn the rows in one direction only, or at ${numberWords(slow.feedMmPerMin, 4)} mm/min with ` +
        `${numberWords(slow.powerPercent, 3)} % power, where the shift falls to half the spot's width.`
      : `Burn the rows in one direction only; it takes about twice as long.`,
    measure: {
      shift_mm: round(shiftMm),
      late_ms: round(lateS * 1000),
      spot_along_mm: round(spotMm),
      full_speed_mm_s: round(speed),
    },
    advice: { operation: operation.n, change: `${operation.n}: one direction` },
  };
}
