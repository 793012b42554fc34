import { InputError } from '../errors.ts';

/**
 * How a burn turned out, as a person tells it:
 *
 *     3: 1.6 mm; 1: darker; 2: as forecast; 3: through but for 12 mm; 1: tone 60 %; 3: corners dark
 *
 * Before the colon an operation's number, which a job with a single one to tell of may leave out.
 */
export type Said =
  | { readonly kind: 'through' }
  | { readonly kind: 'not through' }
  /** How deep it is, measured with a stick. */
  | { readonly kind: 'depth'; readonly depthMm: number }
  /** The same as a part of the board's thickness. */
  | { readonly kind: 'part'; readonly part: number }
  /** Through but for this length. */
  | { readonly kind: 'all but'; readonly uncutMm: number }
  | { readonly kind: 'as forecast' }
  | { readonly kind: 'shade'; readonly shade: Shade }
  | { readonly kind: 'tone'; readonly tone: number }
  | { readonly kind: 'corners dark' };

export type Shade = 'much lighter' | 'lighter' | 'darker' | 'much darker';

/** What people call lighter or darker, as a difference of tone; and how sure the word is (judgements, no source). */
export const SHADES: Readonly<Record<Shade, readonly [shift: number, plusMinus: number]>> = {
  'much lighter': [-0.3, 0.1],
  lighter: [-0.13, 0.06],
  darker: [0.13, 0.06],
  'much darker': [0.3, 0.1],
};

const OF_CUTS: ReadonlySet<Said['kind']> = new Set(['through', 'not through', 'depth', 'part', 'all but']);

/** Whether it is said of a cut: how far it came. */
export const isOfCut = ({ kind }: Said): boolean => OF_CUTS.has(kind);

/** Whether it is said of how dark an operation came out. */
export const isOfTone = (said: Said): boolean => !isOfCut(said) && said.kind !== 'corners dark';

/** What was told of one operation; null: of the only one there is to tell of. */
export interface Told {
  readonly operation: number | null;
  readonly said: Said;
  /** As it was written. */
  readonly words: string;
}

const NUMBER = String.raw`(\d+(?:\.\d+)?|\.\d+)`;
const MM = `${NUMBER} ?mm`;
const DEEPEST_MM = 1000;
const LONGEST_MM = 1e6;

interface Phrase {
  readonly pattern: RegExp;
  read(match: RegExpExecArray): Said;
}

const phrase = (source: string, read: Phrase['read']): Phrase => ({
  pattern: new RegExp(`^(?:${source})$`, 'i'),
  read,
});

const PHRASES: readonly Phrase[] = [
  phrase(`(?:cut )?(?:all )?through (?:all )?(?:but|except) (?:for )?${MM}`, ([, mm]) => ({
    kind: 'all but',
    uncutMm: Number(mm),
  })),
  phrase('not (?:cut )?through|did not come through', () => ({ kind: 'not through' })),
  phrase('(?:cut |came )?through', () => ({ kind: 'through' })),
  phrase(`(?:reached |depth )?${MM}(?: deep)?`, ([, mm]) => ({ kind: 'depth', depthMm: Number(mm) })),
  phrase(`(?:reached )?${NUMBER} ?(?:%|per ?cent)(?: through)?`, ([, percent]) => ({
    kind: 'part',
    part: Number(percent) / 100,
  })),
  phrase('as forecast', () => ({ kind: 'as forecast' })),
  phrase('((?:much )?(?:lighter|darker))', ([, shade]) => ({
    kind: 'shade',
    shade: shade!.toLowerCase() as Shade,
  })),
  phrase(`tone ${NUMBER}( ?(?:%|per ?cent))?`, ([, value, percent]) => ({
    kind: 'tone',
    tone: percent === undefined ? Number(value) : Number(value) / 100,
  })),
  phrase('(?:dark corners|corners (?:are )?dark)', () => ({ kind: 'corners dark' })),
];

const EXPECTED =
  'through, not through, a depth such as 1.6 mm or 40 %, through but for 12 mm, as forecast, lighter, darker, much darker, tone 60 % or corners dark';
/** The first operation: every job has one. */
const EXAMPLE = '“1: darker” or “1: 1.6 mm”';

/**
 * Reads what a person says of a burn.
 * @throws {InputError} that shows what was not understood and what was expected there.
 */
export function readSaid(text: string): Told[] {
  const parts = text
    .split(';')
    .map((part) => part.trim().replace(/\s+/g, ' '))
    .filter((part) => part !== '');
  if (parts.length === 0)
    throw new InputError(`found nothing told; expected how it turned out, as in ${EXAMPLE}`);
  return parts.map(readPart);
}

/** What an answer says: how far a cut came, how dark it is, how dark its corners are. One operation has one of each. */
const questionOf = (said: Said): string =>
  isOfCut(said) ? 'how far it came' : said.kind === 'corners dark' ? 'its corners' : 'how dark it came out';

/**
 * Two answers to one question exclude each other: learned from together, they lead wood and machine astray.
 * @param numbers the operation that each thing told is about.
 * @throws {InputError} that names the first two.
 */
export function refuseTwoAnswers(told: readonly Told[], numbers: readonly number[]): void {
  told.forEach(({ said, words }, k) => {
    const question = questionOf(said);
    const before = told.findIndex(
      (other, at) => at < k && numbers[at] === numbers[k] && questionOf(other.said) === question,
    );
    if (before < 0) return;
    throw new InputError(
      `found “${told[before]!.words}” and “${words}” told of operation ${numbers[k]}; expected one answer to ${question}`,
    );
  });
}

function readPart(text: string): Told {
  const [, number, words] = /^(?:(?:operation )?([^:]*):)?(.*)$/i.exec(text)!;
  const target = number?.trim();
  if (target !== undefined && !/^[1-9]\d{0,5}$/.test(target)) {
    throw new InputError(
      `found “${target}” before the colon; expected an operation's number, as in ${EXAMPLE}`,
    );
  }
  return {
    operation: target === undefined ? null : Number(target),
    said: readWords(words!.trim()),
    words: words!.trim(),
  };
}

/** Null: no phrase is like it. */
function understood(text: string): Said | null {
  for (const { pattern, read } of PHRASES) {
    const match = pattern.exec(text);
    if (match) return read(match);
  }
  return null;
}

/** Whether an answer compares with the forecast, as *darker* does: then its tone is the forecast's and the word's, not seen. */
export function isCompared(words: string): boolean {
  const said = understood(words);
  return said?.kind === 'shade' || said?.kind === 'as forecast';
}

function readWords(text: string): Said {
  const said = understood(text);
  if (said) return checked(said, text);
  throw new InputError(`found “${text}”; expected ${EXPECTED}`);
}

function checked(said: Said, text: string): Said {
  const refuse = (expected: string): never => {
    throw new InputError(`found “${text}”; expected ${expected}`);
  };
  if (said.kind === 'depth' && said.depthMm > DEEPEST_MM) return refuse('a depth in mm, as in 1.6 mm');
  if (said.kind === 'part' && said.part > 1) return refuse("a part of the board's thickness up to 100 %");
  if (said.kind === 'tone' && said.tone > 1)
    return refuse('a tone from 0 (bare) to 1 (char), as in tone 60 %');
  if (said.kind === 'all but' && !(said.uncutMm > 0 && said.uncutMm <= LONGEST_MM))
    return refuse('a length that is uncut, or through');
  return said;
}
