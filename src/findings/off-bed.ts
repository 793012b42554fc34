import { type Bounds, EMPTY_BOUNDS, isEmptyBounds, reach } from '../grid.ts';
import { isLit } from '../program/beam-on.ts';
import { MM_PER_INCH } from '../units.ts';
import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import { fitShiftMm, fitWords, overhang, wayWords } from './evidence/overhang.ts';
import type { Finding } from './finding.ts';
import { ontoBoardMm } from './off-stock.ts';
import { round } from './phrases.ts';

/** Less than the last decimal of a file is rounding. */
const ROUNDING_MM = 0.01;

/** `off-bed`: the head is sent where the machine does not reach. One finding for the job, on the first such move. */
export function findOffBed(evidence: Evidence): Finding[] {
  const { machine, jobBounds } = evidence;
  const { moves, mmPerUnit } = evidence.program;
  const [width, height] = machine.work_area_mm;
  const bed = { minXMm: 0, minYMm: 0, maxXMm: width, maxYMm: height };
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
        `The head is sent off the bed of ${numberWords(width, 4)} × ${numberWords(height, 4)} mm, by ` +
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

type Shift = readonly [xMm: number, yMm: number];

/** What to do, and by how much to shift all of the job for it; null: no shift of all that is written does it. */
function fitOf(evidence: Evidence, bed: Bounds): { readonly remedy: string; readonly shiftMm: Shift | null } {
  const written = boundsOfMoves(evidence, true);
  const ontoBoth = ontoBoardAndBedMm(evidence, written, bed);
  if (ontoBoth) {
    const remedy = `Move the job ${wayWords(ontoBoth)}; it fits the bed and the board then.`;
    return { remedy, shiftMm: ontoBoth };
  }
  const shiftMm = fitShiftMm(written, bed);
  if (shiftMm) return { remedy: fitWords(written, bed, 'job', 'bed'), shiftMm };
  // What comes home to the origin may go on doing so: only the rest has to move.
  return { remedy: fitWords(boundsOfMoves(evidence, false), bed, 'job', 'bed'), shiftMm: null };
}

/**
 * The extent of where the job sends the head. Where the head stands before it is no part of that: it stays.
 * @param withHome also of moves to the origin that burn nothing.
 */
function boundsOfMoves({ program: { moves }, machine }: Evidence, withHome: boolean): Bounds {
  const { xMm, yMm, count } = moves;
  const burns = (i: number) => i < count && isLit(moves, i, machine.laser.fires_on_rapids);
  const bounds = { ...EMPTY_BOUNDS };
  // The job may burn from where the head stands.
  if (burns(0)) reach(bounds, 0, 0);
  for (let i = 0; i < count; i++) {
    const isHome = xMm[i] === 0 && yMm[i] === 0 && !burns(i) && !burns(i + 1);
    if (withHome || !isHome) reach(bounds, xMm[i]!, yMm[i]!);
  }
  return bounds;
}

/** The way onto a board that the burn lies partly beside, if it brings all that is written onto the bed as well. */
function ontoBoardAndBedMm({ stock, burnBounds }: Evidence, written: Bounds, bed: Bounds): Shift | null {
  if (!stock || stock.outline || isEmptyBounds(burnBounds)) return null;
  const shiftMm = ontoBoardMm(burnBounds, stock);
  if (!shiftMm || shiftMm.every((mm) => mm === 0)) return null;
  const [x, y] = shiftMm;
  const { minXMm, minYMm, maxXMm, maxYMm } = written;
  const moved = { minXMm: minXMm + x, minYMm: minYMm + y, maxXMm: maxXMm + x, maxYMm: maxYMm + y };
  return overhang(moved, bed, ROUNDING_MM) ? null : shiftMm;
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
