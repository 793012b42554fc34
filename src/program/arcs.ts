import { InputError } from '../errors.ts';

/**
 * Circles and helices in a plane with axes a and b (G17: X, Y; G18: Z, X; G19: Y, Z) and the third axis c.
 * All lengths in mm, angles in rad, counter-clockwise positive as seen from the + end of c.
 */
export interface Arc {
  readonly centreA: number;
  readonly centreB: number;
  readonly startRadius: number;
  readonly endRadius: number;
  readonly startAngle: number;
  /** Signed; whole turns included. */
  readonly sweep: number;
}

export interface ArcEnds {
  readonly startA: number;
  readonly startB: number;
  readonly endA: number;
  readonly endB: number;
  readonly clockwise: boolean;
  readonly line: number;
}

/** Beyond this no hobby machine draws a circle; the number is a slip. */
const LARGEST_RADIUS_MM = 1e6;
const MOST_CHORDS = 5_000_000;
/** An arc shorter than a nanometre is a full turn whose ends differ by rounding. */
const SHORTEST_ARC_MM = 1e-6;

/** Files written with three decimals put the ends of an arc this far off its circle. */
const ROUNDING_MM = 0.005;

/**
 * Whether the end of an arc is so far off its circle that stricter controllers refuse it, by the common-practice
 * rule: more than 0.5 mm, or more than 0.005 mm and more than 0.1 % of the radius. (NISTIR 6556 §3.5.3.2 allows
 * 0.002 mm, which files written with three decimals break.)
 */
export const isOffCircle = (offByMm: number, radiusMm: number): boolean =>
  offByMm > 0.5 || (offByMm > ROUNDING_MM && offByMm > 0.001 * radiusMm);

/**
 * Whether it is so far off that no one can tell which arc was meant: beyond 0.5 mm or 2 % of the radius, whichever is
 * smaller (our own bound, no source), but never for rounding alone.
 */
const isNoCircle = (offByMm: number, radiusMm: number): boolean =>
  offByMm > Math.max(ROUNDING_MM, Math.min(0.5, 0.02 * radiusMm));

/**
 * The arc around a given centre. Ends at the same place make a full turn. Where the ends are a little off one circle
 * the radius is to run evenly from one to the other.
 * @param turns how many turns are begun: 1 for an ordinary arc
 * @throws {InputError} when the ends lie on different radii, or the radius is 0 or absurd.
 */
export function arcAround(ends: ArcEnds, centreA: number, centreB: number, turns: number): Arc {
  const fromA = ends.startA - centreA;
  const fromB = ends.startB - centreB;
  const toA = ends.endA - centreA;
  const toB = ends.endB - centreB;
  const startRadius = Math.hypot(fromA, fromB);
  const endRadius = Math.hypot(toA, toB);
  if (startRadius < SHORTEST_ARC_MM) {
    throw noArc('found an arc of radius 0; expected a centre away from the start point', ends);
  }
  refuseAbsurdRadius(Math.max(startRadius, endRadius), ends);
  if (isNoCircle(Math.abs(startRadius - endRadius), startRadius)) {
    throw noArc(
      `found an arc that starts ${mm(startRadius)} from its centre but ends ${mm(endRadius)} from it; expected both ends on one circle`,
      ends,
    );
  }
  let sweep = Math.atan2(fromA * toB - fromB * toA, fromA * toA + fromB * toB);
  if (ends.clockwise) sweep = -sweep;
  if (sweep < 0) sweep += 2 * Math.PI;
  if (sweep * startRadius < SHORTEST_ARC_MM) sweep = 2 * Math.PI;
  sweep += (turns - 1) * 2 * Math.PI;
  return {
    centreA,
    centreB,
    startRadius,
    endRadius,
    startAngle: Math.atan2(fromB, fromA),
    sweep: ends.clockwise ? -sweep : sweep,
  };
}

/**
 * The arc of a given radius: at most half a turn when the radius is positive, at least that when negative
 * (NISTIR 6556 §3.5.3.1). Ends a little farther apart than the diameter make a half circle.
 * @throws {InputError} when the ends coincide or are too far apart.
 */
export function arcOfRadius(ends: ArcEnds, radius: number): Arc {
  const chordA = ends.endA - ends.startA;
  const chordB = ends.endB - ends.startB;
  const chord = Math.hypot(chordA, chordB);
  const size = Math.abs(radius);
  if (chord < SHORTEST_ARC_MM) {
    throw noArc(
      'found an arc with R that ends where it starts; expected another end point, or I and J for a full circle',
      ends,
    );
  }
  refuseAbsurdRadius(size, ends);
  if (size === 0 || isNoCircle(chord / 2 - size, size)) {
    throw noArc(
      `found an arc of radius ${mm(size)} between points ${mm(chord)} apart; expected a radius of at least ${mm(chord / 2)}`,
      ends,
    );
  }
  const height = Math.sqrt(Math.max(0, (size - chord / 2) * (size + chord / 2)));
  // The centre lies left of the chord for a short counter-clockwise arc; each of the two signs flips that.
  const side = ends.clockwise === radius > 0 ? -height : height;
  const centreA = (ends.startA + ends.endA) / 2 - (chordB / chord) * side;
  const centreB = (ends.startB + ends.endB) / 2 + (chordA / chord) * side;
  return arcAround(ends, centreA, centreB, 1);
}

/**
 * How many chords keep within the tolerance. A chord over the angle θ is off its circle by
 * r·(1 − cos θ/2) = 2r·sin²(θ/4), so θ = 4·asin √(tolerance/2r); written so, it stays exact for large radii.
 * No fewer than three to the turn, so that a circle smaller than the tolerance stays one.
 * @throws {InputError} above `MOST_CHORDS`.
 */
export function chordCount(arc: Arc, toleranceMm: number, line: number): number {
  const radius = Math.max(arc.startRadius, arc.endRadius);
  const widest = 4 * Math.asin(Math.sqrt(Math.min(1, toleranceMm / (2 * radius))));
  const count = Math.ceil(Math.abs(arc.sweep) / Math.min(widest, (2 * Math.PI) / 3));
  if (!(count <= MOST_CHORDS)) {
    throw noArc(
      `found an arc that would need ${count} chords at a tolerance of ${toleranceMm} mm; expected at most ${MOST_CHORDS}`,
      { line },
    );
  }
  return Math.max(1, count);
}

function refuseAbsurdRadius(radiusMm: number, ends: ArcEnds): void {
  if (radiusMm <= LARGEST_RADIUS_MM) return;
  throw noArc(`found an arc of radius ${mm(radiusMm)}; expected at most ${LARGEST_RADIUS_MM / 1000} m`, ends);
}

/** An error about where the head goes: from another place it might be none. */
const noArc = (message: string, { line }: { line: number }): InputError =>
  new InputError(message, { line, topic: 'way' });

const mm = (length: number): string => `${Number(length.toPrecision(6))} mm`;
