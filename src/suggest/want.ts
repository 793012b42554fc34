import { TONE_REGIONS } from '../burn/tone.ts';
import { InputError } from '../errors.ts';

/** What a person wants of the wood. */
export type Want =
  | { readonly kind: 'cut' }
  /** One of the named regions, wherever in it there is most room. */
  | { readonly kind: 'region'; readonly region: 'tan' | 'brown' | 'char' }
  /** Exactly this tone, above 0 and at most 1. */
  | { readonly kind: 'tone'; readonly tone: number };

const EXPECTED =
  'expected cut, tan, brown, char, or a tone above 0 (bare) and up to 1 (char) such as 0.4 or 40%';

/**
 * Reads what is wanted: a region's name, `cut`, a tone as a number from 0 to 1, or the same in percent.
 * @throws {InputError} for anything else; bare wood (0) is not something to burn.
 */
export function readWant(text: string): Want {
  const word = text.trim().toLowerCase();
  if (word === 'cut') return { kind: 'cut' };
  const region = TONE_REGIONS.slice(1).find(({ name }) => name === word)?.name;
  if (region) return { kind: 'region', region: region as 'tan' | 'brown' | 'char' };
  const match = /^(\d+(?:\.\d*)?|\.\d+)\s*(%?)$/.exec(word);
  const tone = match ? Number(match[1]) / (match[2] === '%' ? 100 : 1) : Number.NaN;
  if (!(tone > 0 && tone <= 1)) throw new InputError(`found --want ${text}; ${EXPECTED}`);
  return { kind: 'tone', tone };
}

/** The want in words: *cut through*, *brown*, *a tone of 40 %*. */
export const wantWords = (want: Want): string =>
  want.kind === 'cut'
    ? 'cut through'
    : want.kind === 'region'
      ? want.region
      : `a tone of ${Number((want.tone * 100).toPrecision(3))} %`;
