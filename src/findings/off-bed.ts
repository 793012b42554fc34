import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import { fitWords, overhang } from './evidence/overhang.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** Less than the last decimal of a file is rounding. */
const ROUNDING_MM = 0.01;

/** `off-bed`: the head is sent where the machine does not reach. One finding for the job, on the first such move. */
export function findOffBed({ program: { moves }, machine, jobBounds }: Evidence): Finding[] {
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
      remedy: fitWords(jobBounds, bed, 'job', 'bed'),
      measure: {
        left_mm: round(over.leftMm),
        right_mm: round(over.rightMm),
        front_mm: round(over.frontMm),
        back_mm: round(over.backMm),
        work_area_mm: [width, height],
      },
    },
  ];
}
