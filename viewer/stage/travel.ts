import { BufferAttribute, BufferGeometry, LineBasicMaterial, LineSegments } from 'three';
import type { Motion } from '../../src/motion/motion.ts';

/** Above the wood, so that it is seen over it, mm. */
const LIFT_MM = 0.4;

/** The head's rapids as faint lines, in one object however many there are; in order of time. */
export function makeTravel(motion: Motion, colour: number): LineSegments {
  const { moves } = motion.program;
  let count = 0;
  for (let i = 0; i < moves.count; i++) if (moves.rapid[i]) count++;
  const points = new Float32Array(6 * count);
  for (let i = 0, to = 0; i < moves.count; i++) {
    if (!moves.rapid[i]) continue;
    points[to++] = i === 0 ? 0 : moves.xMm[i - 1]!;
    points[to++] = i === 0 ? 0 : moves.yMm[i - 1]!;
    points[to++] = LIFT_MM;
    points[to++] = moves.xMm[i]!;
    points[to++] = moves.yMm[i]!;
    points[to++] = LIFT_MM;
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
