import { greatestOf } from '../../lists.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../../units.ts';
import { RANGES } from '../profile.ts';
import { AXIS_NAMES, type Draft } from './draft.ts';
import type { LetteredLine } from './lines.ts';
import type { Surroundings } from './surroundings.ts';
import { leave, numberBehind, rounded, tell, type Words, wordsOf } from './words.ts';

/** M201, M203, M204: how fast the axes go, and how fast they get there. */

/** Greatest speeds of x or y from here on are mm/min: 1000 mm/s is beyond a small gantry, 1000 mm/min slow for one. */
const FASTEST_MM_S = 1000;

/** M201: acceleration of each axis, mm/s². */
export function takeAcceleration(draft: Draft, listed: LetteredLine, mmPerUnit: number): void {
  const words = wordsOf(draft, listed, 'XYZ');
  const parts = AXIS_NAMES.flatMap((name, axis) => {
    const a = accelerationBehind(words, listed, name.toUpperCase(), mmPerUnit);
    if (a === undefined) return [];
    draft.accelerationMmPerS2[axis] = a;
    return [`${name} ${rounded(a)} mm/s²`];
  });
  if (parts.length === 0) leave(draft, listed, 'nothing in it concerns x, y or z');
  else tell(draft, listed, `speed is gained and lost at up to ${parts.join(', ')}`);
}

/** M203: greatest speed of each axis, mm/s or mm/min. */
export function takeSpeed(draft: Draft, listed: LetteredLine, mmPerUnit: number, around: Surroundings): void {
  const words = wordsOf(draft, listed, 'XYZS');
  const { unit, why, isSure } = speedUnit(words, listed.caption, around);
  const factor = mmPerUnit * (unit === 'mm/min' ? mmPerMinToMmPerS(1) : 1);
  const parts = AXIS_NAMES.flatMap((name, axis) => {
    const what = `a speed in ${unit}`;
    const speed = numberBehind(words, listed, name.toUpperCase(), what, RANGES.speedMmPerS, factor);
    if (speed === undefined) return [];
    draft.maxSpeedMmPerS[axis] = speed;
    return [`${name} at up to ${rounded(mmPerSToMmPerMin(speed))} mm/min`];
  });
  if (parts.length === 0) {
    leave(draft, listed, 'nothing in it concerns x, y or z');
    return;
  }
  const other = unit === 'mm/min' ? 'mm/s' : 'mm/min';
  tell(
    draft,
    listed,
    `${parts.join(', ')}; read in ${unit}, ${why}`,
    isSure ? undefined : { choice: 'm203', other },
  );
}

/**
 * The unit of M203: by choice, by what the listing says beside it, by S1 or M566 (both belong to the dialect in
 * which it is mm/min: there S1 means mm/s after all), or else by the size of the numbers.
 */
function speedUnit(
  words: Words,
  caption: string,
  { choices, hasM566 }: Surroundings,
): { unit: 'mm/s' | 'mm/min'; why: string; isSure: boolean } {
  if (choices.m203) return { unit: choices.m203, why: 'as you said', isSure: true };
  const named = /(?:units|mm|inch(?:es)?|in)[ \t]*\/[ \t]*([sm])/i.exec(caption)?.[1]?.toLowerCase();
  if (named) {
    return { unit: named === 'm' ? 'mm/min' : 'mm/s', why: 'as the listing says beside it', isSure: true };
  }
  if (words.S !== undefined && Number(words.S) === 1) {
    return { unit: 'mm/s', why: 'as its S1 says', isSure: true };
  }
  if (hasM566) return { unit: 'mm/min', why: 'since the listing has M566 too', isSure: false };
  const fastest = greatestOf(['X', 'Y', 'Z'].map((letter) => Number(words[letter] ?? 0)));
  return fastest >= FASTEST_MM_S
    ? { unit: 'mm/min', why: `since no small gantry does ${fastest} mm/s`, isSure: false }
    : { unit: 'mm/s', why: `since ${fastest} mm/min would be very slow`, isSure: false };
}

/** M204: acceleration along the path. The profile holds it for each axis, which is exact along x and along y. */
export function takePathAcceleration(draft: Draft, listed: LetteredLine, mmPerUnit: number): void {
  const words = wordsOf(draft, listed, 'PSZ');
  const along = accelerationBehind(words, listed, words.P === undefined ? 'S' : 'P', mmPerUnit);
  const z = words.P === undefined ? accelerationBehind(words, listed, 'Z', mmPerUnit) : undefined;
  if (z !== undefined) draft.accelerationMmPerS2[2] = z;
  if (along === undefined) {
    if (z === undefined) leave(draft, listed, 'nothing in it concerns moves at feed');
    else tell(draft, listed, `speed is gained and lost at up to z ${rounded(z)} mm/s²`);
    return;
  }
  draft.pathAccelerationMmPerS2 = along;
  tell(
    draft,
    listed,
    `moves gain and lose speed at no more than ${rounded(along)} mm/s² along their path; held as a limit of each axis, which lets a diagonal have up to 1.41 times that`,
  );
}

const accelerationBehind = (words: Words, listed: LetteredLine, letter: string, mmPerUnit: number) =>
  numberBehind(words, listed, letter, 'an acceleration in mm/s²', RANGES.accelerationMmPerS2, mmPerUnit);
