import type { Bounds } from '../grid.ts';
import { MM_PER_INCH } from '../units.ts';
import { numberWords } from '../words.ts';
import {
  bedBounds,
  boardBeyondBedWords,
  boundsOfMoves,
  ontoBothMm,
  ROUNDING_MM,
  staysOnBoard,
} from './evidence/board-on-bed.ts';
import type { Evidence } from './evidence/evidence.ts';
import { fitShiftMm, fitWords, overhang, type Shift, wayWords } from './evidence/overhang.ts';
import type { Finding } from './finding.ts';
import { NEAR_MM } from './near-edge.ts';
import { ontoBoardMm } from './off-stock.ts';
import { round } from './phrases.ts';

const ASSUMED = ' (this size is assumed, as the machine’s profile tells none: its field is work_area_mm)';

/** `off-bed`: the head is sent where the machine does not reach. One finding for the job, on the first such move. */
export function findOffBed(evidence: Evidence): Finding[] {
  const { machine, jobBounds } = evidence;
  const { moves, mmPerUnit } = evidence.program;
  const [width, height] = machine.work_area_mm;
  const bed = bedBounds(machine);
  const over = overhang(jobBounds, bed, ROUNDING_MM);
  if (!over) return [];
  const { xMm, yMm } = moves;
  const isOff = (k: number) =>
    xMm[k]! < -ROUNDING_MM ||
    yMm[k]! < -ROUNDING_MM ||
    xMm[k]! > width + ROUNDING_MM ||
    yMm[k]! > height + ROUNDING_MM;
  let first = 0;
  while (first < moves.count - 1 && !isOff(first)) first++;
  let line = moves.line[first]!;
  if (!isOff(first)) line = moves.line[0]!;
  const inches = inchWords(jobBounds, bed, mmPerUnit);
  const fit = inches === null ? fitOf(evidence, bed) : { remedy: inches, shiftMm: null };
  return [
    {
      kind: 'off-bed',
      severity: 'stop',
      line,
      atMm: [round(xMm[first]!, 3), round(yMm[first]!, 3)],
      operation: moves.operation[first]! || null,
      message:
        `The head is sent off the bed of ${numberWords(width, 4)} × ${numberWords(height, 4)} mm${evidence.bedIsAssumed ? ASSUMED : ''}, by ` +
        `${over.sides.join(' and ')}: it runs into its end, loses its place, and all that follows is shifted.`,
      remedy: fit.remedy,
      measure: {
        left_mm: round(over.leftMm),
        right_mm: round(over.rightMm),
        front_mm: round(over.frontMm),
        back_mm: round(over.backMm),
        work_area_mm: [width, height],
        ...(fit.shiftMm ? { shift_mm: fit.shiftMm } : {}),
      },
    },
  ];
}

/** What to do, and by how much to shift all of the job for it; null: no shift of all that is written does it. */
function fitOf(evidence: Evidence, bed: Bounds): { readonly remedy: string; readonly shiftMm: Shift | null } {
  const written = boundsOfMoves(evidence, true);
  // What comes home to the origin may go on doing so: only the rest has to move.
  const withoutHome = boundsOfMoves(evidence, false);
  const onBed = fitShiftMm(written, bed);
  const least = onBed ?? fitShiftMm(withoutHome, bed);
  const toBed = { remedy: fitWords(onBed ? written : withoutHome, bed, 'job', 'bed'), shiftMm: onBed };
  const losesNothing = !least || staysOnBoard(evidence, least);
  if (losesNothing && staysOnBoard(evidence, [0, 0])) return toBed;
  for (const sent of [written, withoutHome]) {
    const ontoBoth = ontoBothMm(evidence, sent, NEAR_MM);
    const remedy = ontoBoth && `Move the job ${wayWords(ontoBoth)}; it fits the bed and the board then.`;
    if (remedy) return { remedy, shiftMm: sent === written ? ontoBoth : null };
  }
  if (losesNothing) return toBed;
  const beyond = boardBeyondBedWords(evidence);
  if (beyond) return { remedy: beyond, shiftMm: null };
  // A burn too large for its board loses nothing by it; of another outline than a rectangle nobody knows.
  if (!evidence.stock || (!evidence.stock.outline && !ontoBoardMm(evidence.burnBounds, evidence.stock)))
    return toBed;
  const remedy = `Move the job ${wayWords(least)} and lay the board anew under it; where the board lies now, the job does not fit both bed and board.`;
  return { remedy, shiftMm: null };
}

/** Where a job in inches lies on the bed if its numbers are millimetres, that is the likely slip. */
function inchWords(job: Bounds, bed: Bounds, mmPerUnit: number): string | null {
  if (mmPerUnit !== MM_PER_INCH) return null;
  const inMm = scaledBounds(job, 1 / MM_PER_INCH);
  if (overhang(inMm, bed, ROUNDING_MM) !== null) return null;
  const [wide, high] = [inMm.maxXMm - inMm.minXMm, inMm.maxYMm - inMm.minYMm];
  return (
    `The job is in inches (G20). Were its numbers meant in millimetres? Then write G21 instead; it spans ` +
    `${numberWords(wide, 4)} × ${numberWords(high, 4)} mm so and fits the bed, and its feeds are millimetres too. ` +
    'If inches are meant, make it smaller.'
  );
}

const scaledBounds = (bounds: Bounds, by: number): Bounds => ({
  minXMm: bounds.minXMm * by,
  minYMm: bounds.minYMm * by,
  maxXMm: bounds.maxXMm * by,
  maxYMm: bounds.maxYMm * by,
});
