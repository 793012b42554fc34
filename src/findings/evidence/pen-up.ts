import { burnsAtFeed } from '../../program/beam-on.ts';
import type { Program } from '../../program/program.ts';
import { numberWords } from '../../words.ts';

/**
 * Says how Z was understood where a job uses it as a pen-up signal: the head goes up before it travels and down
 * before it burns, as for a pen plotter, rather than to refocus. Z is simulated as it stands either way: the
 * head moves, and the spot widens with its distance from focus if the profile gives a Rayleigh length.
 *
 * @returns one sentence, or null where Z never changes or follows the work (passes that step down).
 */
export function penUpNote({ moves }: Program): string | null {
  const { count, xMm, yMm, zMm, rapid, line } = moves;
  let moved = 0;
  while (moved < count && zMm[moved] === zMm[0]) moved++;
  if (moved === count) return null;
  let lifts = 0;
  let firstLine = 0;
  let drawsAt = Number.NaN;
  let travelsAt = Number.NaN;
  let burnsGoingDown = 0;
  for (let i = 0; i < count; i++) {
    const z0 = i > 0 ? zMm[i - 1]! : 0;
    const z1 = zMm[i]!;
    const flat = xMm[i] !== (i > 0 ? xMm[i - 1]! : 0) || yMm[i] !== (i > 0 ? yMm[i - 1]! : 0);
    if (flat) {
      if (z0 !== z1) return null; // a slope: Z means height
      const burning = burnsAtFeed(moves, i);
      if (burning && z1 !== travelsAt) {
        if (!Number.isNaN(drawsAt) && drawsAt !== z1) return null; // several working heights: Z means focus
        drawsAt = z1;
      } else if (burning) return null;
      else if (rapid[i] === 1 && z1 > drawsAt) travelsAt = z1;
      continue;
    }
    if (z1 > z0) {
      lifts++;
      if (firstLine === 0) firstLine = line[i]!;
    } else if (burnsAtFeed(moves, i)) burnsGoingDown++;
  }
  if (lifts < 2 || Number.isNaN(drawsAt) || Number.isNaN(travelsAt)) return null;
  const dots =
    burnsGoingDown > 0
      ? ` The beam is on while it goes down ${burnsGoingDown} times, which burns a dot each time.`
      : '';
  return (
    `Z goes up for travel and down to burn (first in line ${firstLine}, between ${numberWords(travelsAt)} and ` +
    `${numberWords(drawsAt)} mm), like a pen that is lifted; a laser needs no lifting, and every lift takes its time. ` +
    `It was simulated as written, with the beam switched by M and S words alone.${dots}`
  );
}
