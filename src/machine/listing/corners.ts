import { leastOf } from '../../lists.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../../units.ts';
import { RANGES } from '../profile.ts';
import type { Draft, Told } from './draft.ts';
import type { LetteredLine } from './lines.ts';
import type { Surroundings } from './surroundings.ts';
import { leave, numberBehind, rounded, tell, type Words, wordsOf } from './words.ts';

/** M205 and M566: how fast corners are taken. */

/** An X of M205 below this, with no Y beside it, is a deviation: steps of speed are several mm/s. */
const LARGEST_DEVIATION_MM = 0.5;

/** How a setting was understood, for the sentence, and the choice that would have it otherwise. */
interface Reason {
  readonly why: string;
  readonly doubt?: Told['doubt'];
}

/** M205: J is a junction deviation; X and Y are steps of speed, mm/s, but in some dialects X is a deviation. */
export function takeCorners(
  draft: Draft,
  listed: LetteredLine,
  mmPerUnit: number,
  { choices }: Surroundings,
): void {
  const words = wordsOf(draft, listed, 'XYJ');
  const { letter, ...reason } = deviationIn(words, listed.caption, choices.m205x);
  if (letter !== null) takeDeviation(draft, listed, words, letter, mmPerUnit, reason);
  else takeSteps(draft, listed, words, 'mm/s', mmPerUnit, reason);
}

/** The letter that holds a junction deviation; null where X and Y are steps of speed. */
function deviationIn(
  words: Words,
  caption: string,
  choice: 'step' | 'deviation' | undefined,
): Reason & { letter: 'J' | 'X' | null } {
  if (words.J !== undefined) return { letter: 'J', why: '' };
  if (words.X === undefined) return { letter: null, why: '' };
  if (choice) return { letter: choice === 'deviation' ? 'X' : null, why: ', as you said' };
  if (/jerk|step|junction|deviation/i.test(caption)) {
    return { letter: /jerk|step/i.test(caption) ? null : 'X', why: ', as the listing says beside it' };
  }
  if (words.Y !== undefined) return { letter: null, why: '' };
  return Number(words.X) < LARGEST_DEVIATION_MM
    ? {
        letter: 'X',
        why: `; so read since X is below ${LARGEST_DEVIATION_MM} and alone`,
        doubt: { choice: 'm205x', other: 'step' },
      }
    : {
        letter: null,
        why: `; so read since X is ${LARGEST_DEVIATION_MM} or more`,
        doubt: { choice: 'm205x', other: 'deviation' },
      };
}

function takeDeviation(
  draft: Draft,
  listed: LetteredLine,
  words: Words,
  letter: 'J' | 'X',
  mmPerUnit: number,
  { why, doubt }: Reason,
): void {
  const what = 'a junction deviation in mm';
  const mm = numberBehind(words, listed, letter, what, RANGES.deviationMm, mmPerUnit)!;
  draft.cornering = { rule: 'junction-deviation', deviation_mm: mm };
  tell(draft, listed, `corners are taken with a junction deviation of ${rounded(mm)} mm${why}`, doubt);
}

/** M566: steps of speed, mm/min. */
export function takeStepsPerMinute(draft: Draft, listed: LetteredLine, mmPerUnit: number): void {
  const words = wordsOf(draft, listed, 'XY');
  takeSteps(draft, listed, words, 'mm/min', mmPerMinToMmPerS(mmPerUnit), { why: '' });
}

/** The profile holds one step of speed for all axes: the smaller of x and y. */
function takeSteps(
  draft: Draft,
  listed: LetteredLine,
  words: Words,
  unit: string,
  factor: number,
  { why, doubt }: Reason,
): void {
  const steps = ['X', 'Y']
    .map((letter) =>
      numberBehind(words, listed, letter, `a step of speed in ${unit}`, RANGES.stepMmPerS, factor),
    )
    .filter((step) => step !== undefined);
  if (steps.length === 0) {
    leave(draft, listed, 'nothing in it concerns the corners of x and y');
    return;
  }
  const step = leastOf(steps);
  draft.cornering = { rule: 'speed-step', step_mm_s: step };
  const which = steps.some((each) => each !== step) ? ', the smaller of x and y' : '';
  tell(
    draft,
    listed,
    `at a corner an axis changes speed by up to ${rounded(mmPerSToMmPerMin(step))} mm/min at once${which}${why}`,
    doubt,
  );
}
