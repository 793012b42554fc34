import type { Change, Settings } from '../../src/change/change.ts';
import type { Operation } from '../../src/program/program.ts';

/** What-if settings by operation number; what is left out stays as the job has it. */
export type Changes = ReadonlyMap<number, Settings>;

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
  [...changes].sort(([a], [b]) => a - b).map(([operation, settings]) => ({ operation, ...settings }));
