import type { Material } from '../burn/material.ts';
import { listWords } from '../findings/phrases.ts';
import { IS_OF_PHOTO, PHOTO_DOUBTS } from '../piece/light-of-doses.ts';
import type { ToneSeen } from '../piece/tones.ts';
import { type Joint, MACHINE_NAMES } from '../sure/together.ts';
import type { Observation } from './observe.ts';
import { BOARD_NAME, suppose } from './prior.ts';

/** What explains that an operation came out otherwise than forecast, as parts of the difference that sum to 1. */
export interface Shares {
  readonly wood: number;
  readonly machine: number;
  /** How the camera shows light and dark. */
  readonly photo: number;
  /** What the wood looks like at a tone: the profile's colours. */
  readonly colours: number;
  readonly rest: number;
}

/** How what was learned shares out the difference between what was seen and what was to be expected. */
export function sharesOf(seen: Observation, prior: Joint, now: Joint, material: Material): Shares {
  const { names } = prior;
  const at = (logs: readonly number[]) => seen.of(suppose(material, names, logs));
  const expected = at(prior.mean);
  const difference = seen.value - expected;
  const part = (isOf: (name: string) => boolean): number =>
    (at(prior.mean.map((mean, k) => (isOf(names[k]!) ? now.mean[k]! : mean))) - expected) / difference;
  const isDoubt = (name: string, ofPhoto: boolean) =>
    PHOTO_DOUBTS.some((doubt, k) => doubt === name && IS_OF_PHOTO[k] === ofPhoto);
  const isOfMachine = (name: string) => (MACHINE_NAMES as readonly string[]).includes(name);
  const machine = part(isOfMachine);
  const photo = part((name) => isDoubt(name, true));
  const colours = part((name) => isDoubt(name, false));
  const wood = part(
    (name) => !isOfMachine(name) && !isDoubt(name, true) && !isDoubt(name, false) && name !== BOARD_NAME,
  );
  return { wood, machine, photo, colours, rest: 1 - wood - machine - photo - colours };
}

/** Tones nearer than this are the same to the eye. */
const SAME_TONE = 0.03;
/** *Operation 1 came out darker than forecast: tone 58 %, forecast 45 %.* */
export function toneSentence({ operation, seenTone, forecastTone, isAtLeast }: ToneSeen): string {
  const points = 100 * (seenTone - forecastTone);
  const way =
    Math.abs(points) < 100 * SAME_TONE ? 'as forecast' : `${points > 0 ? 'darker' : 'lighter'} than forecast`;
  return `Operation ${operation} came out ${way}: tone ${isAtLeast ? 'at least ' : ''}${pointsOf(seenTone)} %, forecast ${pointsOf(forecastTone)} %.`;
}

const pointsOf = (tone: number): number => Math.round(100 * tone);

/**
 * *Operation 1 came out darker than forecast: tone 58 %, forecast 45 %. Of these 13 points explain: the wood 8 …* The points
 * are those between the two tones as they are told, and the parts add up to them.
 */
export function seenSentence(seen: ToneSeen, { wood, machine, photo, colours, rest }: Shares): string {
  if (Math.abs(seen.seenTone - seen.forecastTone) < SAME_TONE) return toneSentence(seen);
  const points = Math.abs(pointsOf(seen.seenTone) - pointsOf(seen.forecastTone));
  const explained = [
    ['the wood', wood],
    ['the machine', machine],
    ['how the photo shows light', photo],
    ['how dark this wood’s char looks', colours],
    ['nothing known', rest],
  ] as const;
  const whole = wholeParts(
    explained.map(([, share]) => share),
    points,
  );
  const parts = explained.flatMap(([words], k) => (whole[k] === 0 ? [] : [`${words} ${whole[k]}`]));
  return `${toneSentence(seen)} Of these ${points} points explain: ${listWords(parts)}.`;
}

/** Whole parts of a total by shares that sum to 1: rounded down, and what is left to those that lost most by it. */
function wholeParts(shares: readonly number[], total: number): number[] {
  const exact = shares.map((share) => share * total);
  const whole = exact.map(Math.floor);
  const lost = exact.map((each, k) => ({ k, by: each - whole[k]! })).sort((a, b) => b.by - a.by);
  const left = total - whole.reduce((sum, each) => sum + each, 0);
  for (const { k } of lost.slice(0, left)) whole[k]!++;
  return whole;
}
