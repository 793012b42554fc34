import { widthAlongMm } from '../laser/spot.ts';
import { feedWords, numberWords } from '../words.ts';
import { NO_SPEED, type TrueSpeed } from './evidence/capped.ts';
import {
  canDarken,
  fullSpeedStandard,
  pointInside,
  slowEnough,
  timesDarker,
} from './evidence/dark-places.ts';
import { type DarkPlaces, darkness, gatherDarkPlaces } from './evidence/darkness.ts';
import { evenOut } from './evidence/even-out.ts';
import { byDirection, type Evidence, hatchOf, type OperationEvidence } from './evidence/evidence.ts';
import { paceBeside, paceMmPerS } from './evidence/pace.ts';
import { ALONG, type RowLines } from './evidence/row-lines.ts';
import { roomWords, rowsRunUp, runUp } from './evidence/run-up.ts';
import { timesFullSpeed } from './evidence/survey.ts';
import type { Finding } from './finding.ts';
import { countWords, doseInstead, manyTimes, mmWords, round } from './phrases.ts';

/**
 * `dark-row-end`: raster rows whose ends burn darker than their middle, because the head brakes and turns with
 * the beam on. One finding per operation, with the overscan that would do: v²/2a.
 */
export function findDarkRowEnds(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) => {
    const { operation, rows } = each;
    if (rows === null || !canDarken(evidence, operation)) return [];
    const places = gatherDarkPlaces(evidence, each, 0);
    for (const one of byDirection(each)) gatherRowEnds(evidence, one, one.rows!, places);
    const gathered = places.finish();
    return gathered ? [finding(evidence, each, gathered)] : [];
  });
}

/** Goes along the burned pieces of rows of one direction and looks at both ends of each. */
function gatherRowEnds(
  evidence: Evidence,
  each: OperationEvidence,
  rows: RowLines,
  places: ReturnType<typeof gatherDarkPlaces>,
): void {
  const { motion, energies, machine, program, survey } = evidence;
  const { xMm, yMm, line } = program.moves;
  const { firstMove, lastMove, n } = each.operation;
  const { nominalMmPerS } = energies;
  const { entryMmPerS, lengthMm } = motion;
  const spotMm = widthAlongMm(machine.spot, rows.ux, rows.uy);
  const standard = fullSpeedStandard(timesFullSpeed(survey, n));
  const slowFrom = slowEnough(evidence, standard.dark);

  /** Looks at the end of a piece at a junction; the piece lies behind it (`onward`) or before it. */
  const look = (junction: number, onward: boolean, pieceMm: number): void => {
    const i = onward ? junction : junction - 1;
    if (entryMmPerS[junction]! >= slowFrom * nominalMmPerS[i]!) return;
    const withinMm = Math.min(spotMm, pieceMm);
    const times = energies.timesNominal(junction, withinMm, onward);
    // Judge it half a spot inside: at the very end half the light is missing.
    const [x, y] = pointInside(evidence, i, onward, withinMm / 2);
    const darker = timesDarker(evidence, each, i, [x, y], times, standard);
    if (darker === 0) return;
    places.add(darker, 0, { xMm: x, yMm: y, line: line[i]!, move: i, times });
    places.lift();
  };

  let start = -1;
  let pieceMm = 0;
  let ux = 0;
  let uy = 0;
  for (let i = firstMove; i <= lastMove + 1; i++) {
    const burning = i <= lastMove && nominalMmPerS[i] !== 0;
    let vx = 0;
    let vy = 0;
    if (burning) {
      vx = (xMm[i]! - (i > 0 ? xMm[i - 1]! : 0)) / lengthMm[i]!;
      vy = (yMm[i]! - (i > 0 ? yMm[i - 1]! : 0)) / lengthMm[i]!;
    }
    const along = burning && Math.abs(vx * rows.ux + vy * rows.uy) > ALONG;
    if (start >= 0 && !(along && vx * ux + vy * uy > ALONG)) {
      look(start, true, pieceMm);
      look(i, false, pieceMm);
      start = -1;
    }
    if (!along) continue;
    if (start < 0) {
      start = i;
      pieceMm = 0;
      ux = vx;
      uy = vy;
    }
    pieceMm += lengthMm[i]!;
  }
}

function finding(evidence: Evidence, each: OperationEvidence, found: DarkPlaces): Finding {
  const { operation } = each;
  const rows = hatchOf(each);
  const { count, worst, places } = found.all;
  const { energies } = evidence;
  const speed = energies.nominalMmPerS[worst.move]!;
  const at = operation.powerMode === 'constant' ? paceBeside(evidence, each) : NO_SPEED;
  const runSpeed = at === NO_SPEED ? speed : Math.min(speed, paceMmPerS(evidence, each));
  const { neededMm: needed, overscanMm: overscan, accelMmPerS2: accel } = rowsRunUp(evidence, rows, runSpeed);
  const { there, usual, times, word, depthWords, measure } = darkness(evidence, each, found);
  const room = roomWords(evidence, operation.n, rows, overscan);
  const remedy = remedyOf(evidence, each, {
    neededMm: needed,
    overscanMm: overscan,
    speed: runSpeed,
    at,
    room,
    times,
  });
  return {
    kind: 'dark-row-end',
    severity: 'warning',
    line: worst.line,
    atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
    operation: operation.n,
    message:
      `Rows burn ${word} where they end: the head brakes from ${feedWords(speed)} and turns with the beam on, so ` +
      `${countWords(count, 'row end')} ${count === 1 ? 'gets' : 'get'} up to ${manyTimes(times)} the dose of ` +
      `the middle (${doseInstead(there, usual)} at the worst${depthWords}), over as much as ${mmWords(runUp(speed, accel).neededMm)}.`,
    remedy: remedy.words,
    measure: {
      count,
      ...measure,
      needed_mm: round(needed),
      overscan_mm: overscan,
      full_speed_mm_s: round(speed),
      acceleration_mm_s2: round(accel),
      places,
    },
    advice: { operation: operation.n, change: remedy.change },
  };
}

/** Overscan, with what proportional power does besides; where the bed has no room for it, proportional power first. */
function remedyOf(
  evidence: Evidence,
  each: OperationEvidence,
  {
    room,
    times,
    at,
    ...run
  }: Pick<ReturnType<typeof rowsRunUp>, 'neededMm' | 'overscanMm'> & {
    readonly room: string;
    readonly times: number;
    readonly speed: number;
    readonly at: TrueSpeed;
  },
): { readonly words: string; readonly change: string } {
  const { laser } = evidence.machine;
  const { n, powerMode } = each.operation;
  const overscan = `${numberWords(run.overscanMm, 4)} mm of overscan`;
  const needs = `at ${numberWords(run.speed)} mm/s this machine needs ${mmWords(run.neededMm)} to turn.`;
  if (powerMode !== 'constant' || laser.m4_power !== 'proportional')
    return {
      words: `Leave ${overscan}${at.words}: ${needs}${room}`,
      change: `${n}: ${at.setting}overscan ${run.overscanMm} mm`,
    };
  if (room !== '') {
    const even = evenOut(evidence, each, 'which turns the beam down with the head', times);
    return { words: `${even.remedy} Or leave ${overscan}: ${needs}${room}`, change: even.change };
  }
  return {
    words: `Leave ${overscan}: ${needs} Proportional power (M4)${at.words} keeps what is left of it even.`,
    change: `${n}: proportional, ${at.setting}overscan ${run.overscanMm} mm`,
  };
}
