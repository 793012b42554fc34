import type { Shade } from '../../src/outcome/say.ts';
import type { ToneSeen } from '../../src/piece/tones.ts';
import { numberWords } from '../../src/words.ts';

/** What a person may say of one operation; null: nothing. */
export type Answer =
  | null
  | 'through'
  | 'not through'
  | 'depth'
  | 'all but'
  | 'as forecast'
  | Shade
  | 'tone'
  | 'on the photo';

/** All that was said of an operation. */
export interface Answers {
  readonly answer: Answer;
  /** How deep it came, mm, where a depth is said. */
  readonly depthMm: number;
  /** How much of it is not through, mm, where that is said. */
  readonly uncutMm: number;
  /** Which shade was picked, 0 … 1; null: none yet. */
  readonly tone: number | null;
  readonly cornersDark: boolean;
}

export const nothingSaid = (thicknessMm: number): Answers => ({
  answer: null,
  depthMm: Number((thicknessMm / 2).toPrecision(2)),
  uncutMm: 10,
  tone: null,
  cornersDark: false,
});

/** What counts as said: of operations of which nothing was, what a photo of the piece shows. */
export function withPhoto(
  answers: ReadonlyMap<number, Answers>,
  tones: readonly ToneSeen[],
  thicknessMm: number,
): ReadonlyMap<number, Answers> {
  const all = new Map(answers);
  for (const { operation } of tones)
    if (!all.has(operation)) all.set(operation, { ...nothingSaid(thicknessMm), answer: 'on the photo' });
  return all;
}

/** The tones that the photo tells, of those operations of which nothing else was said. */
export const tonesTold = (
  answers: ReadonlyMap<number, Answers>,
  tones: readonly ToneSeen[],
): readonly ToneSeen[] => tones.filter(({ operation }) => answers.get(operation)?.answer === 'on the photo');

/** Whether a cut is told not to be through. */
export const isUncut = ({ answer }: Answers): boolean =>
  answer === 'not through' || answer === 'depth' || answer === 'all but';

/** The shades to pick from, from next to bare to char. */
export const SHADES_SHOWN: readonly number[] = [0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95];

/** What is said of the operations beside what a photo shows, in the words that `charcast learn --say` reads; empty: nothing is. */
export const saidWords = (answers: ReadonlyMap<number, Answers>): string =>
  [...answers]
    .sort(([a], [b]) => a - b)
    .flatMap(([n, each]) => {
      const words = wordsOf(each);
      return [...(words === null ? [] : [words]), ...(each.cornersDark ? ['corners dark'] : [])].map(
        (part) => `${n}: ${part}`,
      );
    })
    .join('; ');

function wordsOf({ answer, depthMm, uncutMm, tone }: Answers): string | null {
  switch (answer) {
    case 'depth':
      return `${numberWords(depthMm, 3)} mm`;
    case 'all but':
      return `through but for ${numberWords(uncutMm, 3)} mm`;
    case 'tone':
      return tone === null ? null : `tone ${numberWords(100 * tone, 2)} %`;
    case 'on the photo':
      return null;
    default:
      return answer;
  }
}
