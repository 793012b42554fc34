import { effect } from '@preact/signals';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { recall, remember } from './memory.ts';
import { isSame } from './same.ts';
import { addMachine, machines } from './shelf.ts';
import { loaded, setup } from './store.ts';

/**
 * The machine a person chose, with the values they gave it, is kept for the next visit to a page that comes with the
 * same machine. A page that comes with another one was asked for with that one.
 */
interface Kept {
  /** The machine the page came with, */
  readonly cameWith: Machine;
  /** the one chosen instead, as it is now, */
  readonly now: Machine;
  /** and as its profile has it. */
  readonly profile: Machine;
}

let cameWith: Machine | null = null;

/** The machine last chosen on a page that came with this one; null: none was, or it is this very one. */
export function ownMachine(came: Machine): Machine | null {
  cameWith ??= came;
  const kept = readKept(recall('machine'));
  if (!kept || !isSame(kept.cameWith, came) || isSame(kept.now, came)) return null;
  if (!machines.peek().has(kept.profile.name) && kept.profile.name !== came.name) addMachine(kept.profile);
  return kept.now;
}

function readKept(value: unknown): Kept | null {
  try {
    const { cameWith, now, profile } = value as Kept;
    return { cameWith: readMachine(cameWith), now: readMachine(now), profile: readMachine(profile) };
  } catch {
    return null; // nothing was kept, or by another version
  }
}

export function keepMachine(): void {
  const now = setup.peek()?.machine;
  if (!now || !cameWith) return;
  const profile = machines.peek().get(now.name) ?? loaded.peek()!.machine;
  remember('machine', { cameWith, now, profile } satisfies Kept);
}

// Another machine under the same job was chosen by hand; one that comes with another job was not.
let before = setup.peek();
effect(() => {
  const at = setup.value;
  if (at && before && at.job === before.job && at.machine !== before.machine) keepMachine();
  before = at;
});
