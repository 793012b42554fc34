import type { Bounds } from '../grid.ts';
import { MM_PER_INCH } from '../units.ts';
import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import { fitShiftMm, fitWords, overhang } from './evidence/overhang.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** Less than the last decimal of a file is rounding. */
const ROUNDING_MM = 0.01;

/** `off-bed`: the head is sent where the machine does not reach. One finding for the job, on the first such move. */
export function findOffBed({ program: { moves, mmPerUnit }, machine, jobBounds }: Evidence): Finding[] {
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
  const shiftMm = inches === null ? fitShiftMm(jobBounds, bed) : null;
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
      remedy: inches ?? fitWords(jobBounds, bed, 'job', 'bed'),
      measure: {
        left_mm: round(over.leftMm),
        right_mm: round(over.rightMm),
        front_mm: round(over.frontMm),
        back_mm: round(over.backMm),
        work_area_mm: [width, height],
        ...(shiftMm ? { shift_mm: shiftMm } : {}),
      },
    },
  ];
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
