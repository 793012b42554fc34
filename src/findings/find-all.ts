import { findBeamLeftOn } from './beam-left-on.ts';
import { findBeamNeverOn } from './beam-never-on.ts';
import { findBeamOnAtRest } from './beam-on-at-rest.ts';
import { findBeamOnTravel } from './beam-on-travel.ts';
import { findBelowSpeed } from './below-speed.ts';
import { findBelowThreshold } from './below-threshold.ts';
import { findBurnedTwice } from './burned-twice.ts';
import { findControllerMayStop } from './controller-may-stop.ts';
import { findCutBeforeEngraved } from './cut-before-engraved.ts';
import { findDarkCorners } from './dark-corner.ts';
import { findDarkRowEnds } from './dark-row-end.ts';
import { findDarkStartStops } from './dark-start-stop.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence } from './evidence/evidence.ts';
import { findFaintCorners } from './faint-corner.ts';
import { byCost, type Finding } from './finding.ts';
import { findMayIgnite } from './may-ignite.ts';
import { findMoreThanNeeded } from './more-than-needed.ts';
import { findNoMark } from './no-mark.ts';
import { findNotSimulated } from './not-simulated.ts';
import { findNotThrough } from './not-through.ts';
import { findOffBed } from './off-bed.ts';
import { findOffStock } from './off-stock.ts';
import { findPowerClipped } from './power-clipped.ts';
import { findRowsShifted } from './rows-shifted.ts';
import { findSpeedCapped } from './speed-capped.ts';
import { findStarved } from './starved.ts';
import { findStripes } from './stripes.ts';
import { findTonesLost } from './tones-lost.ts';
import { findTooDeep } from './too-deep.ts';
import { findWrongSize } from './wrong-size.ts';

/**
 * Every kind of finding. Each function looks for one kind, gives at most one finding per operation (or per job)
 * and none on a job that has none.
 */
const FINDERS: readonly ((evidence: Evidence, cuts: readonly Cut[]) => Finding[])[] = [
  findBeamNeverOn,
  ({ program }) => findNotSimulated(program),
  ({ program }) => findControllerMayStop(program),
  findOffBed,
  findOffStock,
  findWrongSize,
  findBeamLeftOn,
  findBeamOnAtRest,
  findBeamOnTravel,
  findMayIgnite,
  findPowerClipped,
  findBelowThreshold,
  findNoMark,
  findTonesLost,
  findCutBeforeEngraved,
  findNotThrough,
  findMoreThanNeeded,
  findTooDeep,
  findDarkRowEnds,
  findDarkCorners,
  findDarkStartStops,
  findFaintCorners,
  findStripes,
  findRowsShifted,
  findBurnedTwice,
  findSpeedCapped,
  findBelowSpeed,
  findStarved,
];

/** No kind is told more often than this; a job of hundreds of operations would drown what matters. */
const MOST_OF_A_KIND = 8;

/**
 * Everything the forecast expects to go wrong, worst first, then in the order of the file.
 * @param cuts the operations that are meant to cut through.
 */
export function findAll(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const known = { ...evidence, cutOperations: new Set(cuts.map(({ each }) => each.operation.n)) };
  return FINDERS.flatMap((find) => withoutFlood(find(known, cuts).sort(byCost))).sort(byCost);
}

/** Keeps the worst few of each kind; the last one kept says how many more there are. */
function withoutFlood(findings: readonly Finding[]): Finding[] {
  const told = new Map<string, number>();
  for (const { kind } of findings) told.set(kind, (told.get(kind) ?? 0) + 1);
  const kept = new Map<string, number>();
  return findings.flatMap((finding) => {
    if (finding.kind === 'not-simulated' || finding.kind === 'controller-may-stop') return [finding];
    const n = (kept.get(finding.kind) ?? 0) + 1;
    kept.set(finding.kind, n);
    const more = told.get(finding.kind)! - MOST_OF_A_KIND;
    if (n > MOST_OF_A_KIND) return [];
    if (n < MOST_OF_A_KIND || more <= 0) return [finding];
    const message = `${finding.message} The same goes for ${more} more ${more === 1 ? 'operation' : 'operations'}.`;
    return [{ ...finding, message, measure: { ...finding.measure, more_operations: more } }];
  });
}
