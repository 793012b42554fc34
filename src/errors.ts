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
 * expected. The command line prints it and exits with 2; the viewer shows it. Anything else that is thrown
 * is a fault of Charcast itself.
 */
export class InputError extends Error {
  override readonly name = 'InputError';
  /** What was read: a file name, an option. Filled in by whoever knows it. */
  readonly source: string | undefined;
  /** The 1-based line, where the trouble has one. */
  readonly line: number | undefined;
  readonly topic: Topic | undefined;
  /** Other problems of the same file that were found with this one, in the order of its lines. */
  readonly further: readonly InputError[];

  constructor(message: string, where: Where = {}, further: readonly InputError[] = []) {
    super(oneLine(message));
    this.source = where.source;
    this.line = where.line;
    this.topic = where.topic;
    this.further = further;
  }

  /** The same error, told as being about `source` unless it already names one. */
  from(source: string): InputError {
    if (this.source !== undefined) return this;
    const { message, line, topic, further } = this;
    const others = further.map((each) => each.from(source));
    return new InputError(message, { source, line, topic }, others);
  }

  /** This problem and the further ones, each by itself. */
  each(): InputError[] {
    return this.further.length === 0 ? [this] : [new InputError(this.message, this), ...this.further];
  }

  /** The whole sentence: `leaf.nc, line 12: found …; expected …`. Further problems stand on further lines. */
  override toString(): string {
    const place = [this.source, this.line === undefined ? undefined : `line ${this.line}`]
      .filter((part) => part !== undefined)
      .join(', ');
    return [place ? `${place}: ${this.message}` : this.message, ...this.further.map(String)].join('\n');
  }
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
