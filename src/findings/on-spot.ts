import { numberWords } from '../words.ts';
import { eachBurnPlace } from './evidence/burn-places.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** `on-spot`: the burn runs over a place that the person marked, a knot or an old hole. One finding for the job. */
export function findOnSpots(evidence: Evidence): Finding[] {
  const spots = evidence.stock?.avoid ?? [];
  if (spots.length === 0) return [];
  const burned = new Set<number>();
  let first: { readonly at: readonly [number, number]; readonly move: number } | null = null;
  eachBurnPlace(evidence, (x, y, move) => {
    spots.forEach(({ xMm, yMm, radiusMm }, k) => {
      if (Math.hypot(x - xMm, y - yMm) > radiusMm) return;
      burned.add(k);
      first ??= { at: [x, y], move };
    });
  });
  if (!first) return [];
  const { at, move } = first as { readonly at: readonly [number, number]; readonly move: number };
  const { moves } = evidence.program;
  const places = [...burned].map(
    (k) => `x ${numberWords(spots[k]!.xMm, 4)}, y ${numberWords(spots[k]!.yMm, 4)} mm`,
  );
  return [
    {
      kind: 'on-spot',
      severity: 'warning',
      line: moves.line[move]!,
      atMm: [round(at[0], 3), round(at[1], 3)],
      operation: moves.operation[move]! || null,
      message:
        `The burn runs over ${burned.size === 1 ? 'a place that was marked' : `${burned.size} places that were marked`} to keep off, ` +
        `at ${places.join(' and ')}: a knot burns slower and unevenly, and may keep a cut from coming through; a hole leaves a gap.`,
      remedy:
        'Move or turn the job on the board so that it keeps clear (a change such as “all: shift 5x-3, turn 90”), or burn it elsewhere.',
      measure: { count: burned.size },
    },
  ];
}
