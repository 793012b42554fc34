import { InputError } from '../errors.ts';
import type { Intent, Operation, PowerMode, Program } from '../program/program.ts';
import { FARTHEST_MM } from '../program/travel.ts';
import { mmPerSToMmPerMin } from '../units.ts';

/** Which way raster rows are burned: all the same way, or there and back in turns. */
type RowOrder = 'one direction' | 'both directions';

/** What may be changed about an operation; what is left out stays as the job has it. */
export interface Settings {
  readonly speedMmPerS?: number;
  /**
   * Share of full scale (`s_max`), above 0 and up to 1. An operation that burns in shades keeps their ratios:
   * all its S are scaled so that its greatest becomes this.
   */
  readonly powerFraction?: number;
  readonly powerMode?: PowerMode;
  /** How many times the same path is burned. */
  readonly passes?: number;
  /** The beam-off run beyond both ends of every row. */
  readonly overscanMm?: number;
  readonly rowOrder?: RowOrder;
  /** Burn the operation after all others; several keep their order. */
  readonly last?: true;
  /** Burn what lies inside a closed outline of the operation before that outline. */
  readonly insideFirst?: true;
  /** What an outline is meant to do. Changes nothing of the job, only what is expected of it. */
  readonly intent?: Intent;
  /** Leave the operation out; those that stay are numbered anew. */
  readonly skip?: true;
  /** Leave all others out. */
  readonly only?: true;
  /** Lay the whole job elsewhere, mm to the right and to the back, after it was turned. */
  readonly shiftMm?: readonly [number, number];
  /** Turn the whole job about its middle, counter-clockwise as seen from above: 0, 90, 180 or 270. */
  readonly turnDegrees?: number;
}

/** An operation's number, or all operations, or all of a kind. */
export type Target = number | 'all' | 'rows' | 'outlines';

export interface Change extends Settings {
  readonly operation: Target;
}

/** What is wanted of each operation: index n − 1 is operation n; null: nothing. */
export type Wishes = readonly (Settings | null)[];

const FASTEST_MM_S = 10_000;
const MOST_PASSES = 100;
const LONGEST_OVERSCAN_MM = 100;

/**
 * Shares changes out among a program's operations; what is said of all of them, and otherwise of one, stands as said later.
 * @throws {InputError} when a number is out of range, a change concerns no operation of the program, or two contradict each other.
 */
export function wishesOf(program: Program, changes: readonly Change[]): Wishes {
  refuseContradictions(changes);
  const wishes: (Settings | null)[] = program.operations.map(() => null);
  for (const { operation: target, ...settings } of changes) {
    checkSettings(settings);
    if (target !== 'all') refusePlacing(settings, target);
    const meant = operationsMeant(program.operations, target);
    if (target !== 'all') refuseOtherKind(settings, meant[0]!);
    for (const operation of meant) {
      const own = operation.kind === 'rows' ? withoutOutlineSettings(settings) : withoutRowSettings(settings);
      wishes[operation.n - 1] = { ...wishes[operation.n - 1], ...own };
    }
  }
  if (!wishes.some((wish) => wish?.only)) return wishes;
  return wishes.map((wish) => (wish?.only ? wish : { ...wish, skip: true }));
}

/** Whether any operation is left out. */
export const leavesOut = (wishes: Wishes): boolean => wishes.some((wish) => wish?.skip);

/**
 * The numbers that the operations of a changed program had in the one it came from: index k − 1 is what is now operation k.
 * Null where none is left out: then all keep theirs.
 */
export function numbersBefore(program: Program, changes: readonly Change[]): readonly number[] | null {
  const wishes = wishesOf(program, changes);
  return leavesOut(wishes) ? program.operations.map(({ n }) => n).filter((n) => !wishes[n - 1]?.skip) : null;
}

function operationsMeant(operations: readonly Operation[], target: Target): Operation[] {
  const count = operations.length;
  if (count === 0) throw new InputError('found no operation to change; expected a job that burns something');
  const meant = operations.filter(
    ({ n, kind }) => target === n || target === 'all' || target === (kind === 'rows' ? 'rows' : 'outlines'),
  );
  if (meant.length > 0) return meant;
  throw new InputError(
    typeof target === 'number'
      ? `found a change of operation ${target}; expected ${count === 1 ? 'operation 1, the only one' : `one from 1 to ${count}`}`
      : `found a change of ${target}; expected a job that has ${target}`,
  );
}

/** What settings are called in sentences. */
export const SETTING_NAMES: Readonly<Record<keyof Settings, string>> = {
  speedMmPerS: 'speed',
  powerFraction: 'power',
  powerMode: 'power mode',
  passes: 'passes',
  overscanMm: 'overscan',
  rowOrder: 'row order',
  last: 'last',
  insideFirst: 'inside first',
  intent: 'purpose',
  skip: 'skip',
  only: 'only',
  shiftMm: 'shift',
  turnDegrees: 'turn',
};

/**
 * Refuses changes of one operation that contradict each other: one setting with two values, or left out and changed. What is
 * said of all or of a kind, and otherwise of one of them, is no contradiction but an exception.
 */
export function refuseContradictions(changes: readonly Change[]): void {
  const said = new Map<Target, ReadonlyMap<keyof Settings, string>>();
  for (const { operation, ...settings } of changes) {
    const target = typeof operation === 'number' ? `operation ${operation}` : operation;
    const all = new Map(said.get(operation));
    for (const [key, value] of Object.entries(settings) as [keyof Settings, unknown][]) {
      if (value === undefined) continue;
      const words = JSON.stringify(value);
      if ((all.get(key) ?? words) !== words)
        throw new InputError(`found two settings of ${SETTING_NAMES[key]} for ${target}; expected one`);
      all.set(key, words);
    }
    const beside = [...all.keys()].find((key) => key !== 'skip');
    if (all.has('skip') && beside) {
      throw new InputError(
        `found skip beside ${SETTING_NAMES[beside]} for ${target}; expected that it is left out or changed, not both`,
      );
    }
    said.set(operation, all);
  }
  refuseBesideOnly(said);
}

/** Refuses a change of an operation that `only` leaves out: it would be told as made, and change nothing. */
function refuseBesideOnly(said: ReadonlyMap<Target, ReadonlyMap<keyof Settings, string>>): void {
  const stays = [...said.keys()].filter((target) => said.get(target)!.has('only'));
  // Of which operations a kind is said, only a program tells.
  if (stays.length === 0 || !stays.every((target) => typeof target === 'number')) return;
  for (const [target, settings] of said) {
    if (typeof target !== 'number' || stays.includes(target)) continue;
    const changed = [...settings.keys()].find((key) => key !== 'skip');
    if (!changed) continue;
    throw new InputError(
      `found ${SETTING_NAMES[changed]} for operation ${target}, which only leaves out; expected changes of what stays, by its number ` +
        `in the file: operation ${stays.join(' or ')}`,
    );
  }
}

/** The settings' ranges. */
export function checkSettings(settings: Settings): void {
  const { speedMmPerS, powerFraction, passes, overscanMm, skip, only, shiftMm, turnDegrees } = settings;
  const refuse = (found: string, expected: string) => {
    throw new InputError(`found ${found}; expected ${expected}`);
  };
  if (skip && only) refuse('both skip and only', 'one of them');
  if (speedMmPerS !== undefined && !(speedMmPerS > 0 && speedMmPerS <= FASTEST_MM_S)) {
    const most = mmPerSToMmPerMin(FASTEST_MM_S);
    refuse(`a speed of ${mmPerSToMmPerMin(speedMmPerS)} mm/min`, `one above 0, up to ${most} mm/min`);
  }
  if (powerFraction !== undefined && !(powerFraction > 0 && powerFraction <= 1)) {
    refuse(
      `a power of ${Number((powerFraction * 100).toPrecision(12))} %`,
      'one above 0, up to 100 % of full scale',
    );
  }
  if (passes !== undefined && !(Number.isInteger(passes) && passes >= 1 && passes <= MOST_PASSES)) {
    refuse(`${passes} passes`, `a whole number from 1 to ${MOST_PASSES}`);
  }
  if (overscanMm !== undefined && !(overscanMm >= 0 && overscanMm <= LONGEST_OVERSCAN_MM)) {
    refuse(`an overscan of ${overscanMm} mm`, `one from 0 to ${LONGEST_OVERSCAN_MM} mm`);
  }
  if (shiftMm && !shiftMm.every((mm) => Math.abs(mm) <= FARTHEST_MM)) {
    refuse(`a shift of ${shiftMm.join('x')} mm`, `no more than ${FARTHEST_MM / 1000} m`);
  }
  if (turnDegrees !== undefined && ![0, 90, 180, 270].includes(turnDegrees)) {
    refuse(`a turn of ${turnDegrees}`, 'a quarter turn, or several: 90, 180 or 270, counter-clockwise');
  }
}

/** The parts of a job stay where they lie to one another. */
function refusePlacing({ shiftMm, turnDegrees }: Settings, target: Target): void {
  if (shiftMm === undefined && turnDegrees === undefined) return;
  const setting = shiftMm === undefined ? 'a turn' : 'a shift';
  throw new InputError(
    `found ${setting} of ${typeof target === 'number' ? `operation ${target}` : target}; expected one of the whole job, as in all: shift 12x-3, turn 90`,
  );
}

/** Refuses what the operation's kind does not have. */
function refuseOtherKind(
  { overscanMm, rowOrder, insideFirst, intent }: Settings,
  { n, kind }: Operation,
): void {
  if (kind === 'rows' && intent === 'cut') {
    throw new InputError(`found cut for operation ${n}, which is rows; expected an outline`);
  }
  if (kind === 'rows' && insideFirst) {
    throw new InputError(`found inside first for operation ${n}, which is rows; expected an outline`);
  }
  if (kind === 'rows' || (overscanMm === undefined && rowOrder === undefined)) return;
  const setting = overscanMm === undefined ? 'a row order' : 'an overscan';
  throw new InputError(
    `found ${setting} for operation ${n}, which is an outline; expected an operation of rows`,
  );
}

function withoutOutlineSettings({ insideFirst: _, intent: __, ...settings }: Settings): Settings {
  return settings;
}

function withoutRowSettings({ overscanMm: _, rowOrder: __, ...settings }: Settings): Settings {
  return settings;
}
