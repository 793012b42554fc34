/**
 * An error for the person at the bench: one plain sentence that says where, what was found and what was
 * expected. The command line prints it and exits with 2; the viewer shows it. Anything else that is thrown
 * is a fault of Charcast itself.
 */
export class BenchError extends Error {
  override readonly name = 'BenchError';
  /** What was read: a file name, an option. Filled in by whoever knows it. */
  readonly source: string | undefined;
  /** The 1-based line, where the trouble has one. */
  readonly line: number | undefined;

  constructor(message: string, where: { source?: string | undefined; line?: number | undefined } = {}) {
    super(message);
    this.source = where.source;
    this.line = where.line;
  }

  /** The same error, told as being about `source` unless it already names one. */
  from(source: string): BenchError {
    return this.source === undefined ? new BenchError(this.message, { source, line: this.line }) : this;
  }

  /** The whole sentence: `leaf.nc, line 12: found …; expected …`. */
  override toString(): string {
    const place = [this.source, this.line === undefined ? undefined : `line ${this.line}`]
      .filter((part) => part !== undefined)
      .join(', ');
    return place ? `${place}: ${this.message}` : this.message;
  }
}
