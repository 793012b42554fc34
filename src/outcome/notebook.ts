import { z } from 'zod';
import { toneOf } from '../burn/tone.ts';
import { engravedPlace } from '../findings/evidence/engravings.ts';
import { gatherEvidence } from '../findings/evidence/evidence.ts';
import { listWords } from '../findings/phrases.ts';
import { type Forecast, toldOf } from '../forecast.ts';
import { readChecked } from '../schema.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { numberWords, timesWords } from '../words.ts';
import { isCompared, isOfCut, type Said, SHADES, type Told } from './say.ts';

/**
 * The notebook: every burn that was told of, in a plain JSON file that belongs to the person. Nothing in it is worked out
 * from anything else but what the forecast had for the settings, so that a tone told as *darker* can be told as a tone.
 */

const operation = z.strictObject({
  n: z.number().int().positive(),
  kind: z.enum(['rows', 'outline']),
  feed_mm_min: z.number().positive(),
  power_percent: z.number().min(0),
  power_mode: z.enum(['constant', 'proportional']),
  passes: z.number().int().positive(),
  /** What was said of it. */
  said: z.string().max(300),
  /** The tone it came to, 0 … 1, and the depth, mm; null where nobody told. */
  tone: z.number().min(0).max(1).nullable(),
  depth_mm: z.number().min(0).nullable(),
  through: z.boolean().nullable(),
});

const entry = z.strictObject({
  date: z.string().max(40),
  job: z.string().max(300),
  job_hash: z.string().max(64),
  machine: z.string().max(200),
  wood: z.string().max(200),
  /** The name of the profile that was learned from it; null: none was written. */
  learned_as: z.string().max(200).nullable(),
  board_mm: z
    .strictObject({ width: z.number(), height: z.number(), thickness: z.number().nullable() })
    .nullable(),
  operations: z.array(operation).max(1000),
  /** A picture of the piece: a file beside the notebook. */
  picture: z.string().max(1000).nullable(),
});

const notebook = z.strictObject({
  notebook: z.literal('burns that were told of'),
  entries: z.array(entry).max(100_000),
});

export type Notebook = z.infer<typeof notebook>;
export type Entry = z.infer<typeof entry>;
export type BurnedOperation = z.infer<typeof operation>;

export const emptyNotebook = (): Notebook => ({ notebook: 'burns that were told of', entries: [] });

/** @throws {InputError} one sentence that names the field, what was found and what was expected. */
export const readNotebook = (value: unknown, source?: string): Notebook =>
  readChecked(notebook, value, 'a notebook', source);

/** What an entry holds besides what the forecast knows. */
type Given = Pick<Entry, 'date' | 'job' | 'job_hash' | 'learned_as' | 'picture'>;

/** The entry of a burn. @param told each with its operation's number. */
export function entryOf(forecast: Forecast, told: readonly Told[], given: Given): Entry {
  const { machine, material, stock } = forecast;
  const evidence = gatherEvidence(toldOf(forecast));
  return {
    ...given,
    machine: machine.name,
    wood: material.name,
    board_mm: stock && {
      width: stock.widthMm,
      height: stock.heightMm,
      thickness: stock.thicknessMm,
    },
    operations: told.flatMap(({ operation: n, said, words }): BurnedOperation[] => {
      const each = n === null ? undefined : evidence.operations[n - 1];
      if (!each) return [];
      const { operation: burned } = each;
      const { doseJPerMm2, dwellS, needTimes } = engravedPlace(evidence, each);
      const forecastTone = toneOf(doseJPerMm2 / needTimes, dwellS, material, machine.laser.wavelength_nm);
      return [
        {
          n: burned.n,
          kind: burned.kind,
          feed_mm_min: Number(mmPerSToMmPerMin(burned.feedMmPerS).toFixed(3)),
          power_percent: Number((100 * Math.min(1, burned.sMax / machine.laser.s_max)).toFixed(3)),
          power_mode: burned.powerMode,
          passes: burned.passes,
          said: words,
          tone: toneSaid(said, forecastTone),
          depth_mm: depthSaid(said, stock?.thicknessMm ?? null),
          through: throughSaid(said),
        },
      ];
    }),
  };
}

function toneSaid(said: Said, forecast: number): number | null {
  const tone =
    said.kind === 'tone'
      ? said.tone
      : said.kind === 'shade'
        ? forecast + SHADES[said.shade][0]
        : said.kind === 'as forecast'
          ? forecast
          : null;
  return tone === null ? null : Number(Math.min(1, Math.max(0, tone)).toFixed(3));
}

function depthSaid(said: Said, thicknessMm: number | null): number | null {
  if (said.kind === 'depth') return said.depthMm;
  if (said.kind === 'part' && thicknessMm !== null) return said.part * thicknessMm;
  return null;
}

function throughSaid(said: Said): boolean | null {
  return isOfCut(said) ? said.kind === 'through' : null;
}

/** What is wanted of a wood, as `suggest` is asked for it. */
export type Wanted =
  | { readonly kind: 'cut'; readonly thicknessMm: number | null }
  | { readonly kind: 'tone'; readonly tone: number };

/** A tone this near to the wanted one is what was wanted; and a board this much thinner or thicker is another. */
const SAME_TONE = 0.1;
const SAME_THICKNESS = 0.06;
/** Settings nearer than this are the same. */
const SAME_SETTING = 0.02;
const MOST_TOLD = 5;

/** A setting that worked on a wood before. */
export interface Worked {
  readonly operation: BurnedOperation;
  /** It, what it came to and when, and where boards came out otherwise with it. */
  readonly sentence: string;
}

/**
 * What worked on this wood before, the last first; and where it does not go together with other burns: boards of it that came
 * out otherwise with the same settings, or paler, or not through, with more energy.
 * @param wood the profile's name, or that of the profile it was learned into.
 * @param machine the name of the machine that it is wanted on; another is told.
 */
export function workedOn(notebook: Notebook, wood: string, wanted: Wanted, machine: string): Worked[] {
  const burned = entriesOn(notebook, wood).flatMap((each) =>
    each.operations.map((operation) => ({ entry: each, operation })),
  );
  const worked = burned.filter((each) => isWanted(each, wanted));
  return worked
    .toReversed()
    .slice(0, MOST_TOLD)
    .map((each) => {
      const { operation, entry } = each;
      const on = entry.machine === machine ? '' : ` on ${entry.machine}`;
      const sentence = `${settingWords(operation)}: ${outcomeWords(operation)}${on} (${entry.date}, ${entry.job}).`;
      const others = burned.filter((other) => other !== each);
      return { operation, sentence: [sentence, ...againstSentences(each, others)].join(' ') };
    });
}

/** How other burns do not go together with one. */
function againstSentences(each: BurnedThen, others: readonly BurnedThen[]): string[] {
  const otherwise = others.filter(
    (other) =>
      other.entry !== each.entry &&
      isSameSetting(each, other) &&
      isLikeBoard(each, other) &&
      !isAlike(each, other),
  );
  const against = others.filter(
    (other) => (hasMore(other, each) && isLess(other, each)) || (hasMore(each, other) && isLess(each, other)),
  );
  const sentences: string[] = [];
  if (otherwise.length > 0) {
    const came = otherwise.map(
      ({ entry: { date }, operation }) => `${outcomeWords(operation)} on the board of ${date}`,
    );
    sentences.push(`The same settings came to ${listWords(came)}: boards of this wood differ.`);
  }
  if (against.length > 0) {
    const came = against.map((other) => {
      const { feed_mm_min, power_percent, passes } = other.operation;
      const setting = `${numberWords(feed_mm_min, 4)} mm/min, ${numberWords(power_percent, 3)} % power, ${timesWords(passes)}`;
      return `${hasMore(other, each) ? 'more' : 'less'} energy (${setting}) came to ${outcomeWords(other.operation)} on the board of ${other.entry.date}`;
    });
    sentences.push(`That does not go together with others: ${listWords(came)}.`);
  }
  return sentences;
}

interface BurnedThen {
  readonly entry: Entry;
  readonly operation: BurnedOperation;
}

function isWanted(
  { entry: { board_mm }, operation: { through, tone } }: BurnedThen,
  wanted: Wanted,
): boolean {
  if (wanted.kind === 'tone') return tone !== null && Math.abs(tone - wanted.tone) <= SAME_TONE;
  const { thicknessMm } = wanted;
  const then = board_mm?.thickness ?? null;
  const isSameBoard =
    thicknessMm === null || (then !== null && Math.abs(then / thicknessMm - 1) <= SAME_THICKNESS);
  return through === true && isSameBoard;
}

function isSameSetting(
  { operation: a, entry: from }: BurnedThen,
  { operation: b, entry: to }: BurnedThen,
): boolean {
  const near = (x: number, y: number) => Math.abs(x / y - 1) <= SAME_SETTING;
  return (
    from.machine === to.machine &&
    a.kind === b.kind &&
    a.power_mode === b.power_mode &&
    a.passes === b.passes &&
    near(a.feed_mm_min, b.feed_mm_min) &&
    near(a.power_percent, b.power_percent)
  );
}

/** Whether what came of a cut through a board says something of another. */
function isLikeBoard({ entry: a, operation }: BurnedThen, { entry: b }: BurnedThen): boolean {
  const [here, there] = [a.board_mm?.thickness ?? null, b.board_mm?.thickness ?? null];
  if (operation.through === null || here === null || there === null) return true;
  return Math.abs(here / there - 1) <= SAME_THICKNESS;
}

/**
 * Whether one burn gave more energy to its way than another, no setting the other way. How far apart rows lie no notebook
 * knows, so these are only those of one job.
 */
function hasMore(
  { operation: a, entry: from }: BurnedThen,
  { operation: b, entry: to }: BurnedThen,
): boolean {
  const more = [b.feed_mm_min / a.feed_mm_min, a.power_percent / b.power_percent, a.passes / b.passes];
  const isOneJob = from.job_hash === to.job_hash && a.n === b.n;
  return (
    from.machine === to.machine &&
    a.kind === b.kind &&
    a.power_mode === b.power_mode &&
    (a.kind === 'outline' || isOneJob) &&
    more.every((times) => times >= 1 - SAME_SETTING) &&
    more.some((times) => times > 1 + SAME_SETTING)
  );
}

/** Whether a burn came out paler than another, or not through where that did. */
function isLess(of: BurnedThen, other: BurnedThen): boolean {
  const [a, b] = [of.operation, other.operation];
  if (a.through !== null || b.through !== null)
    return a.through === false && b.through === true && isLikeBoard(of, other);
  return a.tone !== null && b.tone !== null && a.tone < b.tone - SAME_TONE;
}

const isAlike = ({ operation: a }: BurnedThen, { operation: b }: BurnedThen): boolean =>
  a.through === b.through && (a.tone === null || b.tone === null || Math.abs(a.tone - b.tone) <= SAME_TONE);

const settingWords = ({ kind, feed_mm_min, power_percent, power_mode, passes }: BurnedOperation): string =>
  `${kind === 'rows' ? 'Rows' : 'A line'} at ${numberWords(feed_mm_min, 4)} mm/min with ${numberWords(power_percent, 3)} % power, ${power_mode}, ${timesWords(passes)}`;

function outcomeWords({ through, depth_mm, tone, said }: BurnedOperation): string {
  if (through === true) return 'through';
  if (depth_mm !== null) return `${numberWords(depth_mm, 2)} mm deep`;
  if (through === false) return 'not through';
  if (tone === null) return 'told otherwise';
  const percent = `tone ${numberWords(100 * tone, 2)} %`;
  return isCompared(said)
    ? `about ${percent}, compared with its forecast (“${said}”), not measured`
    : percent;
}

/** The burns on a wood, by the profile's name or that of the profile it was learned into; all where no wood is given. */
export const entriesOn = ({ entries }: Notebook, wood: string | null): Entry[] =>
  entries.filter((each) => wood === null || each.wood === wood || each.learned_as === wood);

/** Two notebooks as one, by date; what is in both is there once. */
export function joinNotebooks(own: Notebook, other: Notebook): Notebook {
  const wordsOf = (each: Entry): string => JSON.stringify(entry.parse(each));
  const known = new Set(own.entries.map(wordsOf));
  const more = other.entries.filter((each) => !known.has(wordsOf(each)));
  const entries = [...own.entries, ...more].sort((a, b) => (a.date < b.date ? -1 : a.date > b.date ? 1 : 0));
  return { ...own, entries };
}

/** The notebook as a list to read, the last burn first. */
export function entrySentences(notebook: Notebook, wood: string | null): string[] {
  return entriesOn(notebook, wood)
    .toReversed()
    .flatMap((each) => [
      `${each.date}: ${burnSentence(each)}`,
      ...each.operations.map((operation) => `  ${operationSentence(operation)}`),
    ]);
}

/** What was burned on what, and by which machine. */
export const burnSentence = ({ job, wood, machine, board_mm, picture }: Entry): string =>
  `${job} on ${wood}${board_mm?.thickness ? `, ${numberWords(board_mm.thickness, 3)} mm` : ''}, ${machine}${picture ? `, picture ${picture}` : ''}`;

/** An operation as it was burned, and what was said of it. */
export const operationSentence = (operation: BurnedOperation): string =>
  `${operation.n}. ${settingWords(operation)}: “${operation.said}”`;
