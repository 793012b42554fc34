import { coarseningAt } from './dose/deposit.ts';
import { defocus } from './laser/spot.ts';
import type { Machine } from './machine/profile.ts';
import { isLit } from './program/beam-on.ts';
import type { Program } from './program/program.ts';
import { numberWords } from './words.ts';

/** A spot this much wider than in focus is worth a word. */
const WORTH_TELLING = 1.1;
/** Heights nearer than this are one height, mm. */
const SAME_HEIGHT_MM = 1e-6;

/**
 * Says what the heights at which the job burns do to the focus: how far out of it the head is at worst and how much
 * wider the spot is there (the Gaussian-beam law), or that the profile does not tell how it widens. null where the
 * job burns at one height, in focus.
 * @param cellMm side of the grid's cells: a spot that is huge on it is laid on coarser ones, which is said.
 */
export function focusNote({ moves }: Program, machine: Machine, cellMm: number): string | null {
  const { spot, laser } = machine;
  const { line, zMm, count } = moves;
  let least = Infinity;
  let most = -Infinity;
  let leastLine = 0;
  let mostLine = 0;
  for (let i = 0; i < count; i++) {
    if (!isLit(moves, i, laser.fires_on_rapids)) continue;
    const from = i > 0 ? zMm[i - 1]! : 0;
    const to = zMm[i]!;
    if (from < least || to < least) {
      least = Math.min(from, to);
      leastLine = line[i]!;
    }
    if (from > most || to > most) {
      most = Math.max(from, to);
      mostLine = line[i]!;
    }
  }
  if (!(least <= most)) return null;

  // The spot widens evenly to either side of its focus.
  const lowIsWorst = spot.focus_z_mm - least > most - spot.focus_z_mm;
  const worstMm = lowIsWorst ? least : most;
  const worstLine = lowIsWorst ? leastLine : mostLine;
  const worst = defocus(spot, worstMm);
  const severalHeights = most - least > SAME_HEIGHT_MM;
  const between = `at heights from z = ${numberWords(least, 4)} to ${numberWords(most, 4)} mm`;
  if (spot.rayleigh_mm === null) {
    return severalHeights
      ? `The job burns ${between}; the machine profile does not say how fast the spot widens out of focus (rayleigh_mm), so it keeps its width.`
      : null;
  }
  if (worst < WORTH_TELLING) {
    return severalHeights ? `The job burns ${between}, all of it in focus.` : null;
  }
  const where = severalHeights ? `The job burns ${between}; at` : 'The job burns at';
  const offMm = Math.abs(worstMm - spot.focus_z_mm);
  const times = coarseningAt(spot, worstMm, cellMm);
  const coarse = times > 1 ? ` Light spread so far is worked out on cells ${times} times as wide.` : '';
  return (
    `${where} z = ${numberWords(worstMm, 4)} mm${severalHeights ? ` (line ${worstLine})` : ''} it is ${numberWords(offMm)} mm out of focus ` +
    `(focus_z_mm ${numberWords(spot.focus_z_mm, 4)}): the spot is ${numberWords(worst)} times as wide there, and its middle gets ${numberWords(100 / worst ** 2, 2)} % of what it gets in focus.${coarse}`
  );
}
