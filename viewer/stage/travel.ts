import { BufferAttribute, BufferGeometry, LineBasicMaterial, LineSegments } from 'three';
import { type Bounds, holdsPoint } from '../../src/grid.ts';
import type { Motion } from '../../src/motion/motion.ts';
import { burnsAtFeed } from '../../src/program/beam-on.ts';

/** Above the wood, so that it is seen over it, mm. */
const LIFT_MM = 0.4;
/** Inside the wood, so that only what lies beside it is seen, mm. */
const SUNK_MM = -0.6;
/** Of a job with more burning moves than this no lines beside the board are drawn: they would be as many again. */
const MOST_ASTRAY = 300_000;

/** The head's rapids as faint lines, in one object however many there are; in order of time. */
export const makeTravel = (motion: Motion, colour: number): LineSegments =>
  linesOf(motion, colour, LIFT_MM, ({ rapid }, i) => rapid[i] !== 0);

/** What is burned beside the board, as faint lines; of a line that begins or ends there, what lies in the wood hides. */
export const makeAstray = (motion: Motion, colour: number, board: Bounds): LineSegments =>
  linesOf(
    motion,
    colour,
    SUNK_MM,
    (moves, i) =>
      burnsAtFeed(moves, i) &&
      !(
        holdsPoint(board, i > 0 ? moves.xMm[i - 1]! : 0, i > 0 ? moves.yMm[i - 1]! : 0) &&
        holdsPoint(board, moves.xMm[i]!, moves.yMm[i]!)
      ),
    MOST_ASTRAY,
  );

type Moves = Motion['program']['moves'];

function linesOf(
  { program: { moves } }: Motion,
  colour: number,
  zMm: number,
  isShown: (moves: Moves, i: number) => boolean,
  most = Infinity,
): LineSegments {
  const asked = moves.count <= most ? moves.count : 0;
  let count = 0;
  for (let i = 0; i < asked; i++) if (isShown(moves, i)) count++;
  const points = new Float32Array(6 * count);
  for (let i = 0, to = 0; i < asked; i++) {
    if (!isShown(moves, i)) continue;
    points[to++] = i === 0 ? 0 : moves.xMm[i - 1]!;
    points[to++] = i === 0 ? 0 : moves.yMm[i - 1]!;
    points[to++] = zMm;
    points[to++] = moves.xMm[i]!;
    points[to++] = moves.yMm[i]!;
    points[to++] = zMm;
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(points, 3));
  return new LineSegments(
    geometry,
    new LineBasicMaterial({ color: colour, transparent: true, opacity: 0.3, depthWrite: false }),
  );
}

export function dropTravel(travel: LineSegments): void {
  travel.geometry.dispose();
  (travel.material as LineBasicMaterial).dispose();
}
