/** Exit status: 0 forecast made and nothing above a note; 1 made, with warnings or worse; 2 none made. */
export const EXIT = { calm: 0, warned: 1, failed: 2 } as const;

/** Where a command puts what it says. */
export interface Terminal {
  out(text: string): void;
  err(text: string): void;
  /** What a command is at while it takes long; only where somebody looks on. */
  wait(text: string): void;
}

/** What a command needs besides its own words: where to speak, and the exit status it may raise. */
export interface CommandContext {
  readonly terminal: Terminal;
  readonly status: { code: number };
}
