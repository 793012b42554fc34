import type { Change, Settings } from '../../src/change/change.ts';
import type { Operation } from '../../src/program/program.ts';

/** What-if settings by operation number, or {@link WHOLE}; what is left out stays as the job has it. */
export type Changes = ReadonlyMap<number, Settings>;

/** In the place of an operation's number: the whole job, which can be laid elsewhere. */
export const WHOLE = 0;

/** Where the whole job is laid: how far from where its file has it, and how turned. */
export interface Laid {
  readonly shiftMm: readonly [number, number];
  readonly turnDegrees: number;
}

export const laidBy = (changes: Changes): Laid => ({
  shiftMm: [0, 0],
  turnDegrees: 0,
  ...changes.get(WHOLE),
});

/** The changes with the job laid elsewhere; where its file has it, that is no change. */
export function withLaid(changes: Changes, { shiftMm, turnDegrees }: Laid): Changes {
  const next = new Map(changes);
  next.delete(WHOLE);
  const settings = {
    ...(shiftMm[0] === 0 && shiftMm[1] === 0 ? {} : { shiftMm }),
    ...(turnDegrees === 0 ? {} : { turnDegrees }),
  };
  if (Object.keys(settings).length > 0) next.set(WHOLE, settings);
  return next;
}

/** The settings of an operation that its sentence always shows. */
export type OwnSettings = Required<Pick<Settings, 'speedMmPerS' | 'powerFraction' | 'powerMode' | 'passes'>>;

export const ownSettings = (operation: Operation, sMax: number): OwnSettings => ({
  speedMmPerS: operation.feedMmPerS,
  powerFraction: Math.min(1, operation.sMax / sMax),
  powerMode: operation.powerMode,
  passes: operation.passes,
});

/** Two numbers a person would take for the same. */
const same = (a: unknown, b: unknown): boolean =>
  typeof a === 'number' && typeof b === 'number'
    ? Math.abs(a - b) <= 1e-9 * Math.max(1, Math.abs(b))
    : a === b;

/** The settings without what equals the job's own; null when nothing is left. */
export function reduced(settings: Settings, own: OwnSettings): Settings | null {
  const kept = Object.entries(settings).filter(
    ([key, value]) =>
      value !== undefined &&
      !same(value, own[key as keyof OwnSettings]) &&
      !(key === 'overscanMm' && value === 0),
  );
  return kept.length > 0 ? Object.fromEntries(kept) : null;
}

/** The changes with further settings of an operation; what equals its own counts as no change. */
export function withSettings(
  changes: Changes,
  operation: Operation,
  settings: Settings,
  sMax: number,
): Changes {
  const { n } = operation;
  const next = new Map(changes);
  const kept = reduced({ ...next.get(n), ...settings }, ownSettings(operation, sMax));
  if (kept) next.set(n, kept);
  else next.delete(n);
  return next;
}

/** The changes in the order of the job. */
export const changeList = (changes: Changes): Change[] =>
  [...changes]
    .sort(([a], [b]) => a - b)
    .map(([n, settings]) => ({ operation: n === WHOLE ? ('all' as const) : n, ...settings }));
