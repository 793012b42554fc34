import { depthInside, type Polygon } from '../polygon.ts';
import { numberWords } from '../words.ts';
import { eachBurnPlace } from './evidence/burn-places.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Told } from './evidence/told.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/**
 * So near to the edge wood splinters and smoke stains round it, and the outline itself is known to half a millimetre (a
 * judgement, no source).
 */
export const NEAR_MM = 1.5;

/** How far the burn keeps from an outline, mm; less than 0 where it leaves it; and where it comes nearest, by which move. */
export function clearanceWithin(told: Pick<Told, 'program' | 'machine'>, outline: Polygon) {
  let nearest = { leastMm: Infinity, x: 0, y: 0, move: 0 };
  eachBurnPlace(told, (x, y, move) => {
    const leastMm = depthInside(outline, x, y);
    if (leastMm < nearest.leastMm) nearest = { leastMm, x, y, move };
  });
  return nearest;
}

/**
 * `near-edge`: the burn stays on a board whose outline is known, but comes close to its edge; and `off-stock`, where it
 * leaves it. One finding for the job, at the worst place.
 */
export function findByOutline(evidence: Evidence): Finding[] {
  const { stock, machine, program } = evidence;
  const outline = stock?.outline;
  if (!outline) return [];
  const { leastMm: least, x, y, move } = clearanceWithin(evidence, outline);
  const slackMm = Math.max(...machine.spot.width_mm) / 2;
  if (least > NEAR_MM) return [];
  const isOff = least < -slackMm;
  const mm = numberWords(Math.abs(least), 2);
  return [
    {
      kind: isOff ? 'off-stock' : 'near-edge',
      severity: isOff ? 'stop' : 'warning',
      line: program.moves.line[move]!,
      atMm: [round(x, 3), round(y, 3)],
      operation: program.moves.operation[move]! || null,
      message: isOff
        ? `The burn reaches beyond the outline of the board, by ${mm} mm at the worst place: that part is missing from the piece and burns the bed instead.`
        : `The burn comes within ${mm} mm of the board’s edge: wood may break out there, and the outline itself is known to about half a millimetre.`,
      remedy: `Move or turn the job on the board so that it keeps ${numberWords(NEAR_MM)} mm from the edge (all: shift X x Y, turn 90), or make it smaller.`,
      measure: { clearance_mm: round(least, 3) },
    },
  ];
}
