import { chooseFrame, jobBounds, type Stock } from './board.ts';
import type { Burn } from './burn/burn.ts';
import { burnDose } from './burn/burn-dose.ts';
import { type Firings, firedLines } from './burn/firing.ts';
import { guessNote } from './burn/guesses.ts';
import type { Material } from './burn/material.ts';
import { dwellNotice } from './burn/need.ts';
import { mostAreaSpacingMm } from './burn/ripple.ts';
import type { Dose } from './dose/dose.ts';
import { type LineDose, landOn, wholeOf } from './dose/land.ts';
import { type Tally, total } from './dose/tally.ts';
import {
  BESIDES_PLACES,
  BESIDES_WOOD,
  EVERYTHING,
  FINISH_NOTE,
  SWATCH_NOTE,
  turnedNote,
} from './findings/besides-wood.ts';
import { type CutForecast, cutForecasts, cutSentence } from './findings/evidence/cut-forecast.ts';
import { cutsOf } from './findings/evidence/cuts.ts';
import {
  type EngravingForecast,
  engravingForecasts,
  engravingSentence,
} from './findings/evidence/engravings.ts';
import { gatherEvidence, type Rescaled } from './findings/evidence/evidence.ts';
import { penUpNote } from './findings/evidence/pen-up.ts';
import type { Size, Told } from './findings/evidence/told.ts';
import { whatHelps } from './findings/evidence/what-helps.ts';
import { findAll } from './findings/find-all.ts';
import type { Finding } from './findings/finding.ts';
import { DEEPEST_ENGRAVING } from './findings/too-deep.ts';
import { focusNote } from './focus.ts';
import { type Bounds, isEmptyBounds } from './grid.ts';
import type { Machine } from './machine/profile.ts';
import type { Motion } from './motion/motion.ts';
import { planMotion } from './motion/plan.ts';
import { spanS } from './motion/timeline.ts';
import { refuseUnknownOptions } from './options.ts';
import { isLit } from './program/beam-on.ts';
import { turningAxes } from './program/elsewhere.ts';
import type { Operation, Program } from './program/program.ts';
import { readProgram, type TextSource } from './program/read.ts';
import { isSwatchJob } from './program/swatch-job.ts';
import { THICKNESS_PART } from './sure/boards.ts';
import { SURE } from './sure/come-through.ts';
import { type FiringsDeposit, firingsOf, startFirings } from './warmth/firings-map.ts';
import { heatOfWood } from './warmth/heat-of-wood.ts';
import { numberWords } from './words.ts';

export interface ForecastOptions extends Checks {
  /** The piece of wood; without one the board is the burn's own bounds and nothing is said of cutting through. */
  readonly stock?: Stock | null;
  /** Leaves out the heat that stays and repeated firing (`warmth/`): every place counts as fired once, cool. Default no. */
  readonly cool?: boolean;
  /** Side of a grid cell, mm; default a third of the smaller spot width. */
  readonly cellMm?: number | null;
  /** The feed of moves that have none; without it such a job is refused. */
  readonly feedMmPerS?: number | null;
}

/** What the person knows of the piece and wants checked; nothing is said of what is left out. */
export interface Checks {
  /** The size the burn should have. */
  readonly expectMm?: Size | null;
  /** The part of the stock's thickness that engraving may take, 0 … 1; default {@link DEEPEST_ENGRAVING}. */
  readonly deepestEngraving?: number | null;
  /** The part of such boards that must come through for a cut to count as sure, 0.5 … 0.99; default {@link SURE}. */
  readonly sure?: number | null;
  /** Whether the size of the machine's bed was told by nobody and is the profile's own default. Default no. */
  readonly bedIsAssumed?: boolean;
}

/** What a forecast rests on besides the job. */
export interface ForecastSetup {
  readonly machine: Machine;
  readonly material: Material;
  readonly options: ForecastOptions;
}

const FORECAST_OPTIONS: Readonly<Record<keyof ForecastOptions, true>> = {
  stock: true,
  cool: true,
  cellMm: true,
  feedMmPerS: true,
  expectMm: true,
  deepestEngraving: true,
  sure: true,
  bedIsAssumed: true,
};

/** What one operation takes and gives. */
export interface OperationTotals {
  readonly operation: Operation;
  readonly burnMm: number;
  readonly durationS: number;
  readonly energyJ: number;
}

/** The road as far as the energy's landing. */
interface Road {
  readonly machine: Machine;
  readonly material: Material;
  readonly stock: Stock | null;
  readonly checks: Checks;
  readonly program: Program;
  readonly motion: Motion;
  readonly dose: Dose;
  /** Whether the heat that stays is followed. */
  readonly withWarmth: boolean;
  /** The dose along everything burned as lines, worked out on the path itself: what lines are judged by. */
  readonly lines: LineDose;
  /** The rectangle the grid and the pictures show. */
  readonly board: Bounds;
  /** The extent of the head's whole way, and of what burns (min > max when nothing does). */
  readonly jobBounds: Bounds;
  readonly burnBounds: Bounds;
}

/** The road as far as the wood's answer. */
export interface Answered extends Road {
  /** How often and how warm places were fired; null where that is left out. */
  readonly firings: Firings | null;
  readonly burn: Burn;
}

/** Everything the road gives, stage by stage. Plain data; nobody writes into it. */
export interface Forecast extends Answered {
  readonly findings: readonly Finding[];
  /** What becomes of the operations that are meant to cut; none where the thickness is not known. */
  readonly cuts: readonly CutForecast[];
  /** What becomes of the others that burn, and how sure that is; none of a swatch, whose parts are meant to find out. */
  readonly engravings: readonly EngravingForecast[];
  readonly beamOnS: number;
  readonly travelMm: number;
  readonly burnMm: number;
  readonly operations: readonly OperationTotals[];
  /** What was assumed, in plain sentences. */
  readonly notes: readonly string[];
  /** How long each stage took, ms. */
  readonly timingMs: Readonly<Record<Stage, number>>;
}

export type Stage = 'program' | 'motion' | 'dose' | 'warmth' | 'burn' | 'findings';

/**
 * The whole road in one function: reads a job, replays it on the machine, lets the energy fall on the
 * grid, asks the wood, and says what will go wrong.
 *
 * @param text the job's G-code, whole or in chunks that may be cut anywhere, a character a byte.
 * @param machine a checked profile (`readMachine`).
 * @param material a checked profile (`readMaterial`, or one of `shippedMaterials`).
 * @param options lengths in mm, feeds in mm/s; see each.
 * @returns plain data, owned by the caller: times in s, energies in J, doses in J/mm² on the dose's grid of ny rows
 *   of nx cells.
 * @throws {InputError} when the text cannot be forecast (its message carries the line), or for an unknown option.
 */
export function forecast(
  text: TextSource,
  machine: Machine,
  material: Material,
  options: ForecastOptions = {},
): Forecast {
  refuseUnknownOptions(options, FORECAST_OPTIONS, 'forecast');
  const clock = startClock();
  const program = clock.timed('program', () => readProgram(text, readOptions(machine, options.feedMmPerS)));
  return forecastProgram(program, machine, material, options, clock);
}

/** The road from a program that has been read, or changed, already. */
export function forecastProgram(
  program: Program,
  machine: Machine,
  material: Material,
  options: ForecastOptions = {},
  clock: Clock = startClock(),
): Forecast {
  return conclude(landProgram(program, machine, material, options, clock), clock);
}

/** What the wood of a program comes to, and by what, for who asks nothing else of its forecast. */
export function burnOfProgram(program: Program, { machine, material, options }: ForecastSetup): Answered {
  const clock = startClock();
  const { tally, notes, ...landed } = landProgram(program, machine, material, options, clock);
  const { road, firings, burn } = askWood(landed, clock);
  return { ...road, firings, burn };
}

/** What becomes of the cuts of a program, for who asks nothing else of its forecast. */
export function cutsOfProgram(program: Program, setup: ForecastSetup): readonly CutForecast[] {
  const isThickKnown = (setup.options.stock?.thicknessMm ?? null) !== null;
  if (!isThickKnown || !tellsOfWood(program) || !program.operations.some(({ kind }) => kind === 'outline'))
    return [];
  const evidence = gatherEvidence(toldOf(burnOfProgram(program, setup)));
  return cutForecasts(evidence, cutsOf(evidence));
}

/**
 * Whether what a program burns is told as of whole wood: the cuts of a swatch are meant to find out where wood is cut
 * through, what finishes a cut does not begin with whole wood, and of a piece that turns no place is known.
 */
const tellsOfWood = (program: Program): boolean =>
  !isSwatchJob(program) && !program.finishesCut && turningAxes(program).length === 0;

/** The road as far as the energy's landing. */
function landProgram(
  program: Program,
  machine: Machine,
  material: Material,
  options: ForecastOptions,
  clock: Clock,
): Landed {
  const stock = options.stock ?? null;
  const motion = clock.timed('motion', () => planMotion(program, machine));
  const bounds = jobBounds(program, machine.laser.fires_on_rapids);
  const { all, burn: burnBounds } = bounds;
  const { frame, board, notes } = chooseFrame(bounds, stock, machine, options.cellMm ?? null);
  const whole = clock.timed('dose', () => wholeOf(motion, machine, frame.cellMm));
  const withWarmth = !(options.cool ?? false);
  const firings = withWarmth
    ? startFirings(
        frame,
        { burned: burnBounds, places: whole.places },
        machine,
        heatOfBoard(machine, material, stock),
      )
    : null;
  // One walk of the beam for both: what the warmth takes counts as the dose's time.
  const { dose, lines, ...tally } = clock.timed('dose', () =>
    landOn(frame, motion, machine, whole, firings?.beam),
  );
  return {
    machine,
    material,
    stock,
    checks: {
      expectMm: options.expectMm ?? null,
      deepestEngraving: options.deepestEngraving ?? null,
      bedIsAssumed: options.bedIsAssumed ?? false,
      sure: options.sure ?? null,
    },
    program,
    motion,
    dose,
    withWarmth,
    firings,
    lines,
    tally,
    jobBounds: all,
    burnBounds,
    board,
    notes,
  };
}

/** A job whose energy has landed; what is left is the wood's answer and what to say of it. */
interface Landed extends Road {
  /** Energy and beam-on time by operation number. */
  readonly tally: Pick<Tally, 'energyJ' | 'beamOnS'>;
  /** What was decided about the board and the grid. */
  readonly notes: readonly string[];
  /** The heat that was followed along with the dose; null: warmth is walked for, if it is wanted. */
  readonly firings: FiringsDeposit | null;
}

/** What warmth must know of the board. */
export const heatOfBoard = (machine: Machine, material: Material, stock: Stock | null) =>
  heatOfWood(material, machine.laser.wavelength_nm, stock?.thicknessMm ?? null);

/** What an earlier forecast of the same job leaves to the next. */
interface Legacy {
  /** Evidence of the job at other power. */
  readonly rescaled: Rescaled | null;
  /** A burn nobody reads any more, to be written over. */
  readonly spent: Burn | null;
}

/**
 * Asks the wood: what it comes to, and the road with what firings did to the need of its lines.
 * @param spent a burn nobody reads any more, to be written over.
 */
function askWood(
  { firings: followed, ...cool }: Omit<Landed, 'tally' | 'notes'>,
  clock: Clock,
  spent: Burn | null = null,
) {
  const { machine, material, stock, motion, dose } = cool;
  const firings = clock.timed('warmth', () =>
    followed
      ? followed.finish(dose.grid)
      : cool.withWarmth
        ? firingsOf(
            dose.grid,
            { burned: cool.burnBounds, places: cool.lines.places },
            motion,
            machine,
            heatOfBoard(machine, material, stock),
          )
        : null,
  );
  const road = { ...cool, lines: firedLines(cool.lines, firings, material) };
  const burn = clock.timed('burn', () => burnOf(road, firings, spent));
  return { road, firings, burn };
}

/**
 * The wood's answer to a dose that has landed.
 * @param spent a burn nobody reads any more, to be written over.
 */
export const burnOf = (
  { dose, material, machine, stock, lines }: Pick<Road, 'dose' | 'material' | 'machine' | 'stock' | 'lines'>,
  firings: Firings | null,
  spent: Burn | null = null,
) =>
  burnDose(
    dose,
    material,
    {
      thicknessMm: stock?.thicknessMm ?? null,
      firings,
      spot: machine.spot,
      wavelengthNm: machine.laser.wavelength_nm,
    },
    spent,
    lines,
  );

/** Asks the wood, looks for trouble, and adds up: the road's last stretch. */
export function conclude(
  landed: Landed,
  clock: Clock,
  { rescaled, spent }: Legacy = { rescaled: null, spent: null },
): Forecast {
  const { tally, notes, ...fallen } = landed;
  const { road, firings, burn } = askWood(fallen, clock, spent);
  const { machine, material, stock, program, motion, dose } = road;
  const isSwatch = isSwatchJob(program);
  const turned = turningAxes(program);
  const isOfWood = tellsOfWood(program);
  const { findings, cuts, engravings } = clock.timed('findings', () => {
    const evidence = gatherEvidence(toldOf({ ...road, firings, burn }), rescaled);
    const meant = isSwatch ? [] : cutsOf(evidence);
    const told = isOfWood ? EVERYTHING : turned.length > 0 ? BESIDES_PLACES : BESIDES_WOOD;
    return {
      findings: findAll(evidence, meant, told),
      cuts: isOfWood ? cutForecasts(evidence, meant) : [],
      engravings: isOfWood
        ? engravingForecasts(evidence, new Set(meant.map(({ each }) => each.operation.n)))
        : [],
    };
  });

  const burnMm = burnLengths(program, motion, machine);
  return {
    ...road,
    firings,
    burn,
    findings,
    cuts,
    engravings,
    beamOnS: total(tally.beamOnS),
    travelMm: total(motion.lengthMm.subarray(0, program.moves.count)),
    burnMm: total(burnMm),
    operations: program.operations.map((operation) => ({
      operation,
      burnMm: burnMm[operation.n]!,
      durationS: spanS(motion, operation.firstMove, operation.lastMove),
      energyJ: tally.energyJ[operation.n]!,
    })),
    notes: [
      isSwatch ? SWATCH_NOTE : null,
      program.finishesCut ? FINISH_NOTE : null,
      turned.length > 0 ? turnedNote(turned) : null,
      ...notes,
      thicknessNote(stock, road.burnBounds),
      penUpNote(program),
      focusNote(program, machine, dose.grid.cellMm),
      ...(burn.markDwellS ? [dwellNotice(...burn.markDwellS)] : []),
      firings && warmthNote(firings),
      whatHelps(cuts, engravings, guessNote(material) !== null),
      suchBoardsNote(machine, stock, cuts.length + engravings.length),
      guessNote(material),
    ].filter((note) => note !== null),
    timingMs: clock.ms,
  };
}

/** Says how warm the wood gets, and how sure that is. */
function warmthNote({ warmth }: Firings): string | null {
  let mostK = 0;
  for (const value of warmth.data) if (value > mostK) mostK = value;
  if (mostK < 0.5) return null;
  return (
    `Earlier energy leaves the wood up to ${Math.round(mostK)} K warmer than the room when the beam comes by again. ` +
    'How much less dose it then needs, and how much more in several firings than in one, is a guess.'
  );
}

/** Says what *such boards* are, where they are told of. */
function suchBoardsNote({ plus_minus }: Machine, stock: Stock | null, told: number): string | null {
  if (told === 0) return null;
  const { optical_power_percent: power, spot_width_percent: spot } = plus_minus;
  const thicknessMm = stock?.thicknessMm ?? null;
  const known = stock?.thicknessPlusMinusMm ?? null;
  const board =
    thicknessMm === null
      ? ''
      : `, ${known === null ? `${THICKNESS_PART * 100} % of thickness` : `${numberWords(known, 2)} mm of thickness`}`;
  return (
    `Such boards are all that wood, machine and board could as well be: ${numberWords(power)} % of optical power, ` +
    `${numberWords(spot)} % of the spot’s width${board}, and what the wood’s profile leaves open, each give or take.`
  );
}

/** Says what was not checked where it is not known how thick the board is. */
const thicknessNote = (stock: Stock | null, burnBounds: Bounds): string | null =>
  (stock?.thicknessMm ?? null) !== null || isEmptyBounds(burnBounds)
    ? null
    : 'The board’s thickness is not known, so cuts, cut order and the depth of engraving were not checked.';

/** The operations in the order they are burned, which a change may have made another than that of their numbers. */
export const inBurnOrder = ({ operations }: Pick<Forecast, 'operations'>): OperationTotals[] =>
  [...operations].sort((a, b) => a.operation.firstMove - b.operation.firstMove);

/** What becomes of each operation and how sure that is, in sentences in the order they are burned. */
export function becomesOf({ operations, cuts, engravings }: Forecast): string[] {
  const sentences = new Map([
    ...engravings.map((each) => [each.operation, engravingSentence(each)] as const),
    ...cuts.map((each) => [each.operation, cutSentence(each)] as const),
  ]);
  return inBurnOrder({ operations }).flatMap(({ operation: { n } }) => sentences.get(n) ?? []);
}

/** What findings are told of a forecast. */
export function toldOf(forecast: Answered): Told {
  const { expectMm = null, deepestEngraving, sure, bedIsAssumed = false } = forecast.checks;
  return {
    ...forecast,
    expectMm,
    deepestEngraving: deepestEngraving ?? DEEPEST_ENGRAVING,
    bedIsAssumed,
    sure: sure ?? SURE,
  };
}

/** How long each stage took. */
export interface Clock {
  readonly ms: Record<Stage, number>;
  timed<T>(stage: Stage, work: () => T): T;
}

export function startClock(): Clock {
  const ms: Record<Stage, number> = { program: 0, motion: 0, dose: 0, warmth: 0, burn: 0, findings: 0 };
  return {
    ms,
    timed(stage, work) {
      const started = performance.now();
      const result = work();
      ms[stage] += performance.now() - started;
      return result;
    },
  };
}

/** What the reader must know of the machine, and what feed moves without a feed get. */
export const readOptions = (machine: Machine, feedMmPerS: number | null = null) => ({
  feedMmPerS,
  arcToleranceMm: machine.arc_tolerance_mm,
  dwellUnit: machine.dwell_unit,
  powerWords: machine.laser.power_words,
  m4Power: machine.laser.m4_power,
  sMax: machine.laser.s_max,
  fillStepMm: (ux: number, uy: number, headZMm: number) => mostAreaSpacingMm(machine.spot, ux, uy, headZMm),
});

/** Length burned by each operation, mm, by number; index 0 is what belongs to none. */
function burnLengths(program: Program, motion: Motion, machine: Machine): Float64Array {
  const { moves } = program;
  const { operation } = moves;
  const lengths = new Float64Array(program.operations.length + 1);
  let n = 0;
  let runMm = 0; // of operation n, not yet added
  for (let i = 0; i < moves.count; i++) {
    if (operation[i] !== n) {
      lengths[n] = lengths[n]! + runMm;
      n = operation[i]!;
      runMm = 0;
    }
    if (isLit(moves, i, machine.laser.fires_on_rapids)) runMm += motion.lengthMm[i]!;
  }
  lengths[n] = lengths[n]! + runMm;
  return lengths;
}
