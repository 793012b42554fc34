/**
 * Walks the beam along the job and hands out its energy as simple pieces, in order of time: straight
 * strokes over which energy is spread evenly, and rests at a point. Everything that follows where energy
 * lands (the deposit on the grid, tallies, arrival times) is a visitor of this one walk, so they agree.
 */
export interface BeamVisitor {
  /** One object carries all strokes, so that nothing is allocated per stroke: read it, and do not keep it. */
  stroke(stroke: Readonly<Stroke>): void;
  /** A stroke without length, while the head rests at one point; `move` is the move that led there (-1: none). */
  rest(stroke: Readonly<Stroke>): void;
}

/**
 * `energyJ` spread evenly from (x0, y0) to (x1, y1) at height z, within `durationS` from `startS` of the job on, on move
 * `move`. Lengths in mm.
 */
export interface Stroke {
  x0: number;
  y0: number;
  x1: number;
  y1: number;
  z: number;
  energyJ: number;
  startS: number;
  durationS: number;
  move: number;
}

/** A stroke to be filled in. Fractions to start with, so that the engine keeps these fields as doubles. */
export const blankStroke = (): Stroke => ({
  x0: 0.5,
  y0: 0.5,
  x1: 0.5,
  y1: 0.5,
  z: 0.5,
  energyJ: 0.5,
  startS: 0.5,
  durationS: 0.5,
  move: -1,
});

/** One walk for several visitors. */
export function toAll(visitors: readonly BeamVisitor[]): BeamVisitor {
  const [one, other] = visitors;
  if (visitors.length === 1) return one!;
  if (visitors.length === 2)
    return {
      stroke(stroke) {
        one!.stroke(stroke);
        other!.stroke(stroke);
      },
      rest(stroke) {
        one!.rest(stroke);
        other!.rest(stroke);
      },
    };
  return {
    stroke(stroke) {
      for (const visitor of visitors) visitor.stroke(stroke);
    },
    rest(stroke) {
      for (const visitor of visitors) visitor.rest(stroke);
    },
  };
}
