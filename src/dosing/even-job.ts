import type { Changed } from '../change/changed.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { planMotion } from '../motion/plan.ts';
import { isLitAtRest } from '../program/beam-on.ts';
import type { Program } from '../program/program.ts';
import { numberWords, percentWords } from '../words.ts';
import { type Evened, evenLines } from './even-lines.ts';
import { EVEN_WITHIN, type Evenness, evennessOf } from './evenness.ts';
import { meantBy } from './meant.ts';

/** A job whose lines are even, and how even they were and are. */
export interface EvenJob {
  readonly evened: Evened;
  readonly before: Evenness;
  readonly after: Evenness;
}

/** How far speed may be from its mean within a piece: as it should be, and where the link cannot carry that many lines. */
const FINE = 0.09;
const COARSE = [0.2, 0.4];

/**
 * Lets S follow the speed of the head, in as many pieces as the link can carry: no rest with the beam on that the job
 * did not have.
 * @param readBack the changed program as its text reads, with the bytes of its lines.
 * @param leave operations, by number, that are left as they are.
 * @returns null where it would make no line more even.
 */
export function evenJob(
  changed: Changed,
  machine: Machine,
  readBack: (changed: Changed) => Program,
  leave: ReadonlySet<number> = new Set(),
): EvenJob | null {
  const motion = planMotion(changed.program, machine);
  const meant = meantBy(motion, machine, leave);
  const before = evennessOf(motion, machine, meant.jPerMm);
  const tries = machine.link === null ? [FINE] : [FINE, ...COARSE];
  for (const within of tries) {
    const evened = evenLines(changed, machine, within, meant);
    if (evened.changedMoves === 0) return null;
    const written = machine.link === null ? evened.changed.program : readBack(evened.changed);
    const motionThen = planMotion(written, machine);
    if (litWaitS(motionThen, machine) > litWaitS(motion, machine)) continue;
    const after = evennessOf(motionThen, machine, evened.meantJPerMm);
    if (after.evenShare > before.evenShare) return { evened, before, after };
  }
  return null;
}

/** How long the head waits for lines with the beam on, s. */
function litWaitS({ rests }: Motion, machine: Machine): number {
  let sum = 0;
  for (let k = 0; k < rests.count; k++)
    if (rests.starved[k] === 1 && isLitAtRest(rests, k, machine.laser.fires_on_rapids))
      sum += rests.durationS[k]!;
  return sum;
}

/** What was done, in plain sentences. */
export function evenWords({ evened, before, after }: EvenJob): string {
  const share = (part: number) => percentWords(Math.floor(part * 1000) / 1000);
  const lines = evened.addedMoves === 1 ? '1 line was' : `${evened.addedMoves} lines were`;
  return [
    `Lines: ${share(after.evenShare)} of what is burned now gets within ${percentWords(EVEN_WITHIN)} of what its ` +
      `straight parts get (before: ${share(before.evenShare)}), by S alone; ${lines} added.`,
    after.evenShare < 1
      ? `The rest gets ${numberWords(after.least, 2)} to ${numberWords(after.most, 2)} times as much.`
      : '',
  ]
    .filter((sentence) => sentence !== '')
    .join(' ');
}
