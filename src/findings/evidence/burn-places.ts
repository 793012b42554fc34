import { isLit } from '../../program/beam-on.ts';
import { dotsOf } from '../../program/dots.ts';
import type { Told } from './told.ts';

/** What burns is looked at so often along its way, mm: no knot and no slip of an outline is smaller. */
const EVERY_MM = 1;

/**
 * Calls `visit` for places along all that burns: both ends of every stroke, and at most a millimetre apart between; then
 * the dots that are burned where the head rests, by the move that led there.
 */
export function eachBurnPlace(
  { program, machine }: Pick<Told, 'program' | 'machine'>,
  visit: (xMm: number, yMm: number, move: number) => void,
): void {
  const { moves } = program;
  const firing = machine.laser.fires_on_rapids;
  let [x, y] = [0, 0];
  for (let k = 0; k < moves.count; k++) {
    const [u, v] = [moves.xMm[k]!, moves.yMm[k]!];
    if (isLit(moves, k, firing)) {
      // Not Math.hypot, which is ten times slower; lengths here cannot overflow.
      const steps = Math.max(1, Math.ceil(Math.sqrt((u - x) ** 2 + (v - y) ** 2) / EVERY_MM));
      for (let n = 0; n <= steps; n++) visit(x + ((u - x) * n) / steps, y + ((v - y) * n) / steps, k);
    }
    [x, y] = [u, v];
  }
  for (const { xMm, yMm, move } of dotsOf(program, firing)) visit(xMm, yMm, move);
}
