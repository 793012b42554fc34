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

  constructor(message: string, where: { source?: string | undefined; line?: number | undefined } = {}) {
    super(oneLine(message));
    this.source = where.source;
    this.line = where.line;
  }

  /** The same error, told as being about `source` unless it already names one. */
  from(source: string): InputError {
    return this.source === undefined ? new InputError(this.message, { source, line: this.line }) : this;
  }

  /** The whole sentence: `leaf.nc, line 12: found …; expected …`. */
  override toString(): string {
    const place = [this.source, this.line === undefined ? undefined : `line ${this.line}`]
      .filter((part) => part !== undefined)
      .join(', ');
    return place ? `${place}: ${this.message}` : this.message;
  }
}

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
