import { mmPerMinToMmPerS } from '../../src/units.ts';
import { below } from '../support/random.ts';

/** A file with an oddity in it, and the same written properly, line for line. */
export interface OddAndProper {
  readonly odd: string;
  readonly proper: string;
  /** The feed given beside the odd file. */
  readonly feedMmPerS?: number;
  /** Whether the oddity got into the file at all: there may be no place for it. */
  readonly happened: boolean;
}

/** A way to spoil a file. */
export interface Oddity {
  readonly name: string;
  /** What is told of it; null: nothing, since no controller minds. */
  readonly told: RegExp | null;
  readonly spoil: (text: string, random: () => number) => OddAndProper;
}

/** Where the code of a line ends: before its comment. */
const codeEnd = (line: string): number => {
  const at = line.search(/[(;*]/);
  return at < 0 ? line.length : at;
};

const codeOf = (line: string): string => line.slice(0, codeEnd(line));

/** Puts text behind the words of a line. */
const append = (line: string, text: string): string => codeOf(line) + text + line.slice(codeEnd(line));

/** Spoils about every third line that `spoil` has a place in; it leaves the others as they are. */
const onLines =
  (spoil: (line: string, random: () => number) => string | undefined) =>
  (text: string, random: () => number): OddAndProper => {
    let happened = false;
    const odd = text
      .split(/(\r\n|\r|\n)/)
      .map((line) => {
        const spoiled = random() < 0.35 ? spoil(line, random) : undefined;
        happened ||= spoiled !== undefined;
        return spoiled ?? line;
      })
      .join('');
    return { odd, proper: text, happened };
  };

/** Puts a line of its own into the file, and a comment in its place into the proper one. */
const withLine =
  (lines: readonly string[]) =>
  (text: string, random: () => number): OddAndProper => {
    const parts = text.split(/(?<=\r\n|\r(?!\n)|(?<!\r)\n)/);
    const end = /[\r\n]+$/.exec(parts[0]!)?.[0] ?? '\n';
    // Before the last line, which may be a “%”.
    const at = 1 + below(random, parts.length - 3);
    const put = (line: string): string => [...parts.slice(0, at), line + end, ...parts.slice(at)].join('');
    return { odd: put(lines[below(random, lines.length)]!), proper: put('; left out'), happened: true };
  };

const WORD = /([A-Za-z])([-+]?(?:\d+\.?\d*|\.\d+))/g;

/** A line whose code is words only, with at least one. */
const hasWords = (line: string): boolean => /[A-Za-z][-+.]?\d/.test(codeOf(line));
const isArc = (line: string): boolean => /[IJR][-+.]?\d/i.test(codeOf(line)) && !/M/i.test(codeOf(line));

const pick = <T>(items: readonly T[], random: () => number): T => items[below(random, items.length)]!;

/** The words of a line; one of them by chance that `wanted` accepts. */
function anyWord(line: string, wanted: RegExp, random: () => number): RegExpExecArray | undefined {
  const words = [...codeOf(line).matchAll(WORD)].filter(([, letter]) => wanted.test(letter!));
  return words.length === 0 ? undefined : pick(words, random);
}

/** Takes the feed out of every F word of the file; the proper file has one feed throughout. */
const withoutFeed =
  (instead: '' | '0') =>
  (text: string): OddAndProper => {
    const inches = /G20/i.test(text);
    const feed = inches ? 40 : 1100;
    const ofFeeds = (word: string): string =>
      text.replace(/^[^(;\r\n]*/gm, (code) => code.replace(/(\s*)F[\d.]+/gi, word));
    return {
      odd: ofFeeds(instead === '' ? '' : `$1F${instead}`),
      proper: ofFeeds(`$1F${feed}`),
      feedMmPerS: mmPerMinToMmPerS(feed * (inches ? 25.4 : 1)),
      happened: true,
    };
  };

const TITLES = [
  'Herb markers, 3 of 6',
  'basil',
  '----------------',
  '=== end of part ===',
  'Oregano',
  'K\u00c3\u00b6nigskerze',
  '12345',
  'T1 for cutting',
  'made by hand; with care',
  'Size: 40x30 mm (outer)',
];

export const ODDITIES: readonly Oddity[] = [
  {
    name: 'a centre word of the missing axis that is 0',
    told: null,
    spoil: onLines((line, random) =>
      isArc(line) ? append(line, pick(['K0', ' K0.000 ', 'k-0.'], random)) : undefined,
    ),
  },
  {
    name: 'a centre word of the missing axis that is not 0',
    told: /^K-?[\d.]+ in an arc of the plane of G17$/,
    spoil: onLines((line, random) =>
      isArc(line) ? append(line, pick(['K0.5', ' K-3 ', 'k100'], random)) : undefined,
    ),
  },
  {
    name: 'a comment inside a comment',
    told: /^a “\(” inside the comment “.*”$/,
    spoil: onLines((line, random) =>
      hasWords(line) && !line.includes('*')
        ? append(line, pick([' (a (b)', '((x)', ' ( G1 X5 (( )', '(one (two) and three)'], random))
        : undefined,
    ),
  },
  {
    name: 'a “)” too many',
    told: /^(“\)”|“.*”) outside a comment$/,
    spoil: onLines((line, random) =>
      hasWords(line) && !line.includes('*')
        ? append(line, pick([')', ' (a))', ' (a (b) c)', '((x)) '], random))
        : undefined,
    ),
  },
  {
    name: 'a comment that is not closed',
    told: /^the comment “\(.*”, which does not end$/,
    spoil: onLines((line, random) =>
      /[(;*]/.test(line) || !hasWords(line)
        ? undefined
        : line + pick(['(', ' (G1 X5', ' ( far (out'], random),
    ),
  },
  {
    name: 'a word twice',
    told: null,
    spoil: onLines((line, random) => {
      const word = anyWord(line, /./, random);
      return word === undefined || line.includes('*') ? undefined : append(line, word[0]);
    }),
  },
  {
    name: 'a letter twice with different numbers',
    told: /^both [A-Z][-\d.]+ and [A-Z][-\d.]+$/,
    spoil: onLines((line, random) => {
      const word = anyWord(line, /[XYIJRFSP]/i, random);
      if (word === undefined || line.includes('*')) return undefined;
      const [whole, letter] = word;
      const other = `${letter}${pick(['7', '0.125', '33.'], random)}`;
      if (Number(other.slice(1)) === Number(whole.slice(1))) return undefined;
      return line.slice(0, word.index) + other + line.slice(word.index);
    }),
  },
  { name: 'a line that is no G-code', told: /^“.*”, which is no G-code$/, spoil: withLine(TITLES) },
  {
    name: 'a number with an exponent',
    told: /^[A-Z][-+.\de]+, a number with an exponent$/i,
    spoil: onLines((line, random) => {
      const word = anyWord(line, /[XYIJRFS]/i, random);
      if (word === undefined || line.includes('*')) return undefined;
      const [whole, letter, number] = word;
      const [plain, part = ''] = number!.split('.');
      const written = pick(
        [`${plain}${part}e-${part.length}`, `${plain}.${part}e0`, `${plain}${part}0E-${part.length + 1}`],
        random,
      );
      return line.slice(0, word.index) + letter + written + line.slice(word.index + whole.length);
    }),
  },
  { name: 'feed moves without F', told: /^a feed move \(G[123]\) with no feed$/, spoil: withoutFeed('') },
  { name: 'feed moves with F0', told: /^a feed move \(G[123]\) with no feed$/, spoil: withoutFeed('0') },
  {
    name: 'NULs that fill up the file',
    told: /^NUL characters behind the end of the job/,
    spoil: (text, random) => ({
      odd: `${text}${'\0'.repeat(1 + below(random, 600))}${pick(['', '\n', '\r\n\0\0'], random)}`,
      proper: text,
      happened: true,
    }),
  },
  {
    name: 'a message that looks like a move',
    told: null,
    spoil: withLine(['M117 G1 X200 Y200', 'm118 G0 X1(', 'N5 M117 X9 (', 'M117 X1 Y2 S3)']),
  },
];
