/**
 * What an error is about, where that matters to whoever catches it. `feed`: feed moves without a feed, which may
 * be given from outside; `way`: where the head goes, which depends on every line before; `size`: a file that is
 * too large, so that reading on is of no use.
 */
export type Topic = 'feed' | 'way' | 'size';

/** Where an error is, and what it is about. */
interface Where {
  readonly source?: string | undefined;
  readonly line?: number | undefined;
  readonly topic?: Topic | undefined;
}

/**
 * An error for the person at the bench: one plain sentence that says where, what was found and what was
 * expected. Its `message` begins with the place: `leaf.nc, line 12: found …; expected …`. The command line prints it
 * and exits with 2; the viewer shows it. Anything else that is thrown is a fault of Charcast itself.
 */
export class InputError extends Error {
  override readonly name = 'InputError';
  /** The sentence without the place: `found …; expected …`. */
  readonly sentence: string;
  /** What was read: a file name, an option. Filled in by whoever knows it. */
  readonly source: string | undefined;
  /** The 1-based line, where the trouble has one. */
  readonly line: number | undefined;
  readonly topic: Topic | undefined;
  /** Other problems of the same file that were found with this one, in the order of its lines. */
  readonly further: readonly InputError[];

  constructor(sentence: string, where: Where = {}, further: readonly InputError[] = []) {
    const plain = oneLine(sentence);
    super(placed(plain, where));
    this.sentence = plain;
    this.source = where.source;
    this.line = where.line;
    this.topic = where.topic;
    this.further = further;
  }

  /** The same error, told as being about `source` unless it already names one. */
  from(source: string): InputError {
    if (this.source !== undefined) return this;
    const { sentence, line, topic, further } = this;
    const others = further.map((each) => each.from(source));
    return new InputError(sentence, { source, line, topic }, others);
  }

  /** This problem and the further ones, each by itself. */
  each(): InputError[] {
    return this.further.length === 0 ? [this] : [new InputError(this.sentence, this), ...this.further];
  }

  /** The message, and further problems on further lines. */
  override toString(): string {
    return [this.message, ...this.further.map(String)].join('\n');
  }
}

function placed(sentence: string, { source, line }: Where): string {
  const place = [source, line === undefined ? undefined : `line ${line}`]
    .filter((part) => part !== undefined)
    .join(', ');
  return place ? `${place}: ${sentence}` : sentence;
}

/** Whether all that keeps a job from being read is that feed moves have no feed, so that giving one is enough. */
export const lacksOnlyFeed = (error: unknown): boolean =>
  error instanceof InputError && error.each().every(({ topic }) => topic === 'feed');

const LONGEST_MESSAGE = 400;
/** Control characters that end or bend a line, and the line ends of Unicode. */
const LINE_BREAKERS = /(?:(?![\u0080-\u0084\u0086-\u009f])\p{Cc}|[\p{Zl}\p{Zp}])+/gu;

/** Whatever was found and is shown, a message stays one line a person can read: what is too long loses its middle. */
function oneLine(message: string): string {
  const half = LONGEST_MESSAGE / 2;
  const kept =
    message.length > LONGEST_MESSAGE ? `${message.slice(0, half)} … ${message.slice(-half)}` : message;
  return kept.replace(LINE_BREAKERS, ' ');
}
