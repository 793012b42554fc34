import { findBeamLeftOn } from './beam-left-on.ts';
import { findBeamNeverOn } from './beam-never-on.ts';
import { findBeamOnAtRest } from './beam-on-at-rest.ts';
import { findBeamOnTravel } from './beam-on-travel.ts';
import { findBelowSpeed } from './below-speed.ts';
import { findBelowThreshold } from './below-threshold.ts';
import type { About } from './besides-wood.ts';
import { findBurnedTwice } from './burned-twice.ts';
import { findControllerMayStop } from './controller-may-stop.ts';
import { findCutBeforeEngraved } from './cut-before-engraved.ts';
import { findDarkCorners } from './dark-corner.ts';
import { findDarkRowEnds } from './dark-row-end.ts';
import { findDarkStartStops } from './dark-start-stop.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence } from './evidence/evidence.ts';
import { findFaintCorners } from './faint-corner.ts';
import { byCost, bySeverity, type Finding, type FindingKind } from './finding.ts';
import { findMayIgnite } from './may-ignite.ts';
import { findMoreThanNeeded } from './more-than-needed.ts';
import { findNearEdge } from './near-edge.ts';
import { findNoMark } from './no-mark.ts';
import { findNotSimulated } from './not-simulated.ts';
import { findNotThrough } from './not-through.ts';
import { findOffBed } from './off-bed.ts';
import { findOffStock } from './off-stock.ts';
import { findOnSpots } from './on-spot.ts';
import { findOtherScale } from './other-scale.ts';
import { findPowerClipped } from './power-clipped.ts';
import { findRowsShifted } from './rows-shifted.ts';
import { findSpeedCapped } from './speed-capped.ts';
import { findStarved } from './starved.ts';
import { findStripes } from './stripes.ts';
import { findTonesLost } from './tones-lost.ts';
import { findTooDeep } from './too-deep.ts';
import { findWarmFills } from './warm-fill.ts';
import { findWrongSize } from './wrong-size.ts';

/** Looks for one kind of finding: gives at most one per operation (or per job), and none on a job that has none. */
type Finder = (evidence: Evidence, cuts: readonly Cut[]) => Finding[];

/** In the order in which findings of equal weight are told. */
const FINDERS: readonly (readonly [Finder, About])[] = [
  [findBeamNeverOn, 'bench'],
  [({ program }) => findNotSimulated(program), 'bench'],
  [({ program }) => findControllerMayStop(program), 'bench'],
  [findOffBed, 'bench'],
  [findOffStock, 'places'],
  [findNearEdge, 'places'],
  [findOnSpots, 'places'],
  [findWrongSize, 'places'],
  [findBeamLeftOn, 'bench'],
  [findBeamOnAtRest, 'bench'],
  [findBeamOnTravel, 'bench'],
  [findMayIgnite, 'bench'],
  [findOtherScale, 'bench'],
  [findPowerClipped, 'bench'],
  [findBelowThreshold, 'wood'],
  [findNoMark, 'wood'],
  [findTonesLost, 'wood'],
  [findCutBeforeEngraved, 'wood'],
  [findNotThrough, 'wood'],
  [findMoreThanNeeded, 'wood'],
  [findTooDeep, 'wood'],
  [findWarmFills, 'wood'],
  [findDarkRowEnds, 'wood'],
  [findDarkCorners, 'wood'],
  [findDarkStartStops, 'wood'],
  [findFaintCorners, 'wood'],
  [findStripes, 'wood'],
  [findRowsShifted, 'bench'],
  [findBurnedTwice, 'wood'],
  [findSpeedCapped, 'bench'],
  [findBelowSpeed, 'wood'],
  [findStarved, 'bench'],
];

/** No kind is told more often than this; a job of hundreds of operations would drown what matters. */
const MOST_OF_A_KIND = 8;
/** What is told once per word anyway. */
const NEVER_LEFT_OUT: readonly FindingKind[] = ['not-simulated', 'controller-may-stop'];

/**
 * Everything the forecast expects to go wrong, worst first, then in the order of the file.
 * @param cuts the operations that are meant to cut through.
 * @param told what is told of this job: nothing else is looked for.
 */
export function findAll(evidence: Evidence, cuts: readonly Cut[], told: readonly About[]): Finding[] {
  const known = { ...evidence, cutOperations: new Set(cuts.map(({ each }) => each.operation.n)) };
  return FINDERS.filter(([, about]) => told.includes(about))
    .flatMap(([find]) => withoutFlood(find(known, cuts).sort(byCost)))
    .sort(byCost);
}

/** By which of its numbers a finding is worse than another of its kind, where there may be one for each operation. */
const WORSE_BY: Partial<Record<FindingKind, (measure: Finding['measure']) => unknown>> = {
  'power-clipped': (measure) => measure.clipped_mm,
  'below-threshold': (measure) => measure.unlit_mm,
  'no-mark': (measure) => -Number(measure.marked_share),
  'tones-lost': (measure) => measure.lost_share,
  'may-ignite': (measure) => measure.times_black,
  'cut-before-engraved': (measure) => measure.count,
  'not-through': (measure) => Number(measure.share) - Number(measure.chance_through),
  'more-than-needed': (measure) => measure.times_needed,
  'too-deep': (measure) => measure.depth_mm,
  'warm-fill': (measure) => -Number(measure.power_times),
  'dark-row-end': (measure) => measure.times_straight,
  'dark-corner': (measure) => measure.times_straight,
  'dark-start-stop': (measure) => measure.times_straight,
  'faint-corner': (measure) => measure.bare_mm,
  stripes: (measure) => measure.ripple_percent,
  'rows-shifted': (measure) => measure.shift_mm,
  'burned-twice': (measure) => measure.overlap_mm,
  'speed-capped': (measure) => measure.times_feed,
  'below-speed': (measure) => measure.times_straight,
  starved: (measure) => measure.lost_s,
};

const worstFirst = (a: Finding, b: Finding): number =>
  bySeverity(a, b) || Number(WORSE_BY[b.kind]?.(b.measure) ?? 0) - Number(WORSE_BY[a.kind]?.(a.measure) ?? 0);

/**
 * Keeps the worst few findings of one kind, by severity and by their measure, in the order of the file; the last one
 * kept says how many more there are.
 */
function withoutFlood(findings: readonly Finding[]): Finding[] {
  const more = findings.length - MOST_OF_A_KIND;
  const [first] = findings;
  if (!first || more <= 0 || NEVER_LEFT_OUT.includes(first.kind)) return [...findings];
  const kept = findings.toSorted(worstFirst).slice(0, MOST_OF_A_KIND).sort(byCost);
  const last = kept.at(-1)!;
  const message = `${last.message} The same goes for ${more} more ${more === 1 ? 'operation' : 'operations'}.`;
  return [...kept.slice(0, -1), { ...last, message, measure: { ...last.measure, more_operations: more } }];
}
