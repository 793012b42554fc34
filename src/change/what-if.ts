import { chooseFrame, jobBounds } from '../board.ts';
import { doseAlong, type LineDose, landOn, wholeOf } from '../dose/land.ts';
import { type Evidence, gatherEvidence } from '../findings/evidence/evidence.ts';
import {
  type Clock,
  conclude,
  type Forecast,
  type ForecastOptions,
  forecastProgram,
  startClock,
  toldOf,
} from '../forecast.ts';
import { isSameFrame } from '../grid.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { planMotion } from '../motion/plan.ts';
import { refuseUnknownOptions } from '../options.ts';
import { isLit, isLitAtRest } from '../program/beam-on.ts';
import type { Operation, Program } from '../program/program.ts';
import { type Change, leavesOut, type Settings, type Wishes, wishesOf } from './change.ts';
import { changeByWishes } from './change-program.ts';
import { powerScale } from './change-settings.ts';
import { emissionScale } from './emission.ts';
import { addUp, depositLayer, type Ground, type Layer, type Members, type Weighted } from './layers.ts';
import { movesJob } from './placement.ts';

/**
 * Forecasts of one job with changed settings, each from the job as it is. What a change leaves alone is taken
 * over: the speeds when only power changes, the dose of every operation that is burned as before; where only
 * power changes and all of it by one factor, the operation's dose is scaled. What is worked out on the way is
 * kept for the next forecast.
 */
export interface WhatIf {
  readonly base: Forecast;
  /**
   * @param spent an earlier forecast of this what-if that nobody reads any more: its grids may be written over,
   *   which saves making new ones.
   * @throws {InputError} in one sentence, where a change cannot be made.
   */
  forecast(changes: readonly Change[], spent?: Forecast | null): Forecast;
}

/**
 * Begins a series of forecasts of one job with changed settings.
 * @param base the forecast of the job as it is.
 * @param options what the base was made with; only the cell's size, mm, is not in the base itself.
 * @throws {InputError} for an unknown option.
 */
export function startWhatIf(base: Forecast, options: Pick<ForecastOptions, 'cellMm'> = {}): WhatIf {
  refuseUnknownOptions(options, { cellMm: true }, 'startWhatIf');
  const cellMm = options.cellMm ?? null;
  const known: Known = { base, layers: startLayers(base), evidence: startEvidence(base) };
  return {
    base,
    forecast(changes, spent = null) {
      if (spent === base)
        throw new RangeError('invalid spent forecast: the base itself; expected an earlier what-if');
      const clock = startClock();
      const wishes = wishesOf(base.program, changes);
      const changed = changeByWishes(base.program, wishes, base.machine);
      return forecastFrom(known, changed.program, wishes, cellMm, spent, clock);
    },
  };
}

/**
 * The forecast of a job with changes, for once; see {@link startWhatIf} for several.
 * @throws {InputError} in one sentence, where a change cannot be made.
 */
export const forecastChanged = (
  base: Forecast,
  changes: readonly Change[],
  options: Pick<ForecastOptions, 'cellMm'> = {},
): Forecast => startWhatIf(base, options).forecast(changes);

/** The base, and what has been worked out from it. */
interface Known {
  readonly base: Forecast;
  readonly layers: Layers;
  readonly evidence: () => Evidence;
}

function forecastFrom(
  { base, layers, evidence }: Known,
  program: Program,
  wishes: Wishes,
  cellMm: number | null,
  spent: Forecast | null,
  clock: Clock,
): Forecast {
  const { machine, material, stock, checks, withWarmth } = base;
  const { laser } = machine;
  const onlyPower = wishes.every((wish) => wish === null || changesOnlyPower(wish));
  const sameWay = wishes.every((wish) => wish === null || keepsWay(wish));
  const bounds = jobBounds(program, laser.fires_on_rapids);
  const { frame, board, notes } = chooseFrame(bounds, stock, machine, cellMm);
  // What a late beam still gives when an operation has ended lands wherever the head is by then: doses add up all the
  // same, but one operation's is its own only as long as all speeds stay.
  const isPrompt = laser.rise_time_ms === 0 && laser.beam_delay_ms === 0;
  // What is left out gives the others other numbers; what lies elsewhere shares no cell with what it was.
  if (
    leavesOut(wishes) ||
    wishes.some((wish) => wish && movesJob(wish)) ||
    !(isPrompt || onlyPower) ||
    !isSameFrame(frame, base.dose.grid)
  ) {
    return forecastProgram(
      program,
      machine,
      material,
      { stock, cellMm, cool: !withWarmth, ...checks },
      clock,
    );
  }
  const motion = clock.timed('motion', () => motionOf(base, program, onlyPower));
  const fates = fatesOf(base, program, motion, wishes);
  const landed = clock.timed('dose', () => {
    if (keepsNothing(fates, base)) return landOn(frame, motion, machine);
    const ground = { frame, places: sameWay ? base.lines.places : null };
    const sum = addUp(
      weighted(layers, motion, ground, fates, base),
      ground,
      program.operations.length,
      spent?.dose,
    );
    return sameWay ? sum : { ...sum, lines: linesOf(motion, machine, frame.cellMm) };
  });
  const rescaled = clock.timed('findings', () => {
    const scales = onlyPower ? scalesOf(fates, base, program) : null;
    return scales && { evidence: evidence(), scales };
  });
  return conclude(
    {
      machine,
      material,
      stock,
      checks,
      program,
      motion,
      dose: landed.dose,
      withWarmth,
      firings: null,
      lines: landed.lines,
      tally: landed,
      jobBounds: bounds.all,
      burnBounds: bounds.burn,
      board,
      notes,
    },
    clock,
    { rescaled, spent: spent?.burn ?? null },
  );
}

/** The dose along the lines of a job whose way has changed. */
function linesOf(motion: Motion, machine: Machine, cellMm: number): LineDose {
  const whole = wholeOf(motion, machine, cellMm);
  return { places: whole.places, dose: doseAlong(whole, motion, machine, cellMm) };
}

/** What a change may be of without the speeds or the way changing. */
const POWER_ALONE: readonly string[] = ['powerFraction', 'intent'] satisfies (keyof Settings)[];

const changesOnlyPower = (wish: Settings): boolean =>
  Object.keys(wish).every((key) => POWER_ALONE.includes(key));

const IN_PLACE: readonly string[] = [...POWER_ALONE, 'speedMmPerS', 'powerMode'] satisfies (
  | keyof Settings
  | string
)[];

/** Whether all moves stay where they are, and the same ones burn. */
const keepsWay = (wish: Settings): boolean => Object.keys(wish).every((key) => IN_PLACE.includes(key));

/** The speeds: those of the base where nothing but power changes, else planned anew. */
function motionOf(base: Forecast, program: Program, onlyPower: boolean): Motion {
  const { motion, machine } = base;
  if (machine.link !== null || !onlyPower) return planMotion(program, machine);
  // Without a link every rest is a dwell of the program, in order.
  const { stops } = program;
  const s: number[] = [];
  for (let k = 0; k < stops.count; k++) if (stops.dwellS[k]! > 0) s.push(stops.s[k]!);
  return { ...motion, program, rests: { ...motion.rests, s: Float64Array.from(s) } };
}

/** A smaller part of a job's energy is rounding. */
const NO_SHARE = 1e-9;

/** What becomes of an operation's dose: times a factor, or to be walked again. */
type Fate = number | 'walk';

/** Each operation's fate, by number; index 0 is what belongs to none. */
function fatesOf(base: Forecast, program: Program, motion: Motion, wishes: Wishes): Fate[] {
  const restsOf = (of: Motion) => litRests(of, base);
  const before = restsOf(base.motion);
  const after = restsOf(motion);
  const fates = base.program.operations.map((operation): Fate => {
    const { n } = operation;
    if (before[n] !== after[n] || !isSameMotion(base.motion, motion, operation, program.operations[n - 1]!)) {
      return 'walk';
    }
    const wish = wishes[n - 1];
    if (!wish || (wish.powerFraction === undefined && changesOnlyPower(wish))) return 1;
    if (!changesOnlyPower(wish) || before[n] !== '') return 'walk';
    const scale = powerScale(operation, wishes, base.machine.laser.s_max);
    return emissionScale(base.program, program, operation, scale, base.machine) ?? 'walk';
  });
  const travelBurns = base.machine.laser.fires_on_rapids;
  return withFewLayers([before[0] !== after[0] || travelBurns ? 'walk' : 1, ...fates]);
}

/** Operations that are scaled alike share a layer. Where more layers than are kept would be needed, all of them are walked. */
function withFewLayers(fates: Fate[]): Fate[] {
  const scales = new Set(fates.filter((fate) => fate !== 'walk' && fate !== 1));
  return scales.size > MOST_KEPT ? fates.map((fate) => (fate === 1 ? 1 : 'walk')) : fates;
}

/** Whether nothing that burns can be taken over: then layers are no use. */
const keepsNothing = (fates: readonly Fate[], { operations, dose }: Forecast): boolean =>
  operations.every(({ operation: { n }, energyJ }) => fates[n] === 'walk' || energyJ === 0) &&
  (fates[0] === 'walk' ||
    operations.reduce((rest, { energyJ }) => rest - energyJ, dose.energyJ) <= NO_SHARE * dose.energyJ);

/**
 * By what factor each operation emits more than before, where that is all that has changed: the same moves burn,
 * all of them lit, none beyond the scale of S. Else null.
 */
function scalesOf(fates: readonly Fate[], before: Forecast, after: Program): number[] | null {
  const { laser } = before.machine;
  const law = powerLaw(laser);
  const isWithinScale = ({ sMin, sMax }: Operation) => law.watts(sMin, 1) > 0 && sMax <= laser.s_max;
  const scales: number[] = [];
  for (const [n, fate] of fates.entries()) {
    if (fate === 'walk') return null;
    const isSame = fate === 1;
    if (
      !isSame &&
      !(isWithinScale(before.program.operations[n - 1]!) && isWithinScale(after.operations[n - 1]!))
    )
      return null;
    scales.push(fate);
  }
  return scales;
}

/** What burns at rest, by operation, as text that tells equal from unequal. */
function litRests({ program, rests }: Motion, { machine }: Forecast): string[] {
  const lists = Array.from({ length: program.operations.length + 1 }, (): string[] => []);
  for (let r = 0; r < rests.count; r++) {
    if (!isLitAtRest(rests, r, machine.laser.fires_on_rapids)) continue;
    const move = rests.beforeMove[r]! - 1;
    lists[move < 0 ? 0 : program.moves.operation[move]!]!.push(`${rests.s[r]} ${rests.durationS[r]}`);
  }
  return lists.map((list) => list.join());
}

/** Whether an operation is run at the same speeds, move by move. */
function isSameMotion(a: Motion, b: Motion, was: Operation, is: Operation): boolean {
  if (a.peakMmPerS === b.peakMmPerS) return true;
  const count = was.lastMove - was.firstMove;
  if (is.lastMove - is.firstMove !== count) return false;
  for (let k = 0; k <= count; k++) {
    const [i, j] = [was.firstMove + k, is.firstMove + k];
    if (a.peakMmPerS[i] !== b.peakMmPerS[j] || a.entryMmPerS[i] !== b.entryMmPerS[j]) return false;
  }
  return a.entryMmPerS[was.lastMove + 1] === b.entryMmPerS[is.lastMove + 1];
}

/** The layers that make up the changed job. */
function weighted(
  layers: Layers,
  motion: Motion,
  ground: Ground,
  fates: readonly Fate[],
  base: Forecast,
): Weighted[] {
  const walked = membersWhere(fates, (fate) => fate === 'walk');
  const kept = membersWhere(fates, (fate) => fate === 1);
  const all: Weighted[] = [];
  if (walked.includes(1)) all.push({ layer: depositLayer(motion, base.machine, ground, walked), scale: 1 });
  if (kept.includes(1)) all.push({ layer: layers.of(kept), scale: 1 });
  for (const scale of new Set(fates)) {
    if (scale === 'walk' || scale === 1) continue;
    all.push({ layer: layers.of(membersWhere(fates, (fate) => fate === scale)), scale });
  }
  return all;
}

const membersWhere = (fates: readonly Fate[], test: (fate: Fate) => boolean): Members =>
  Uint8Array.from(fates, (fate) => (test(fate) ? 1 : 0));

/** The base's own layers, worked out when asked for. */
interface Layers {
  of(members: Members): Layer;
}

/** The base's evidence, gathered when asked for. */
function startEvidence(base: Forecast): () => Evidence {
  let gathered: Evidence | null = null;
  return () => {
    gathered ??= gatherEvidence(toldOf(base));
    return gathered;
  };
}

/** Layers of this many sets of operations are kept. */
const MOST_KEPT = 8;

function startLayers(base: Forecast): Layers {
  const { program, motion, machine, dose, lines } = base;
  const ground = { frame: dose.grid, places: lines.places };
  const kept = new Map<string, Layer>();
  const burning = burningOperations(base);
  return {
    of(members) {
      const key = members.join('');
      const known = kept.get(key);
      if (known) return known;
      const isWhole = burning.every((n) => members[n] === 1);
      const layer = isWhole
        ? { i0: 0, j0: 0, dose, lines, ...wholeTally(base) }
        : depositLayer(motion, machine, ground, members);
      if (kept.size >= MOST_KEPT) kept.delete(kept.keys().next().value!);
      kept.set(key, layer);
      return layer;
    },
  };

  function wholeTally({ operations, beamOnS }: Forecast): Pick<Layer, 'energyJ' | 'beamOnS'> {
    const energyJ = Float64Array.from([0, ...operations.map((each) => each.energyJ)]);
    energyJ[0] = dose.energyJ - energyJ.reduce((sum, each) => sum + each, 0);
    const onS = new Float64Array(program.operations.length + 1);
    onS[0] = beamOnS;
    return { energyJ, beamOnS: onS };
  }
}

/** The numbers of what emits anything at all. */
function burningOperations({ program, motion, machine }: Forecast): number[] {
  const { moves } = program;
  const { fires_on_rapids } = machine.laser;
  const burning = new Set<number>();
  for (let k = 0; k < moves.count; k++) {
    if (isLit(moves, k, fires_on_rapids)) burning.add(moves.operation[k]!);
  }
  const { rests } = motion;
  for (let r = 0; r < rests.count; r++) {
    const move = rests.beforeMove[r]! - 1;
    if (isLit(rests, r, fires_on_rapids)) burning.add(move < 0 ? 0 : moves.operation[move]!);
  }
  return Array.from(burning);
}
