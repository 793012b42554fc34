import { type Fired, type FiredAt, firedAt, mostSaved, NOT_FOLLOWED } from '../../burn/firing.ts';
import { readOverSeen } from '../../burn/ripple.ts';
import { beamOf } from '../../burn/speed-power.ts';
import { doseForTone } from '../../burn/tone.ts';
import { type WoodAnswer, woodAnswer } from '../../burn/wood-answer.ts';
import { restCommandW } from '../../dose/command.ts';
import { type PowerLaw, powerLaw } from '../../laser/power.ts';
import type { Machine } from '../../machine/profile.ts';
import type { Motion } from '../../motion/motion.ts';
import { planMotion } from '../../motion/plan.ts';
import { headZMm } from '../../program/operations.ts';
import type { Operation, Program } from '../../program/program.ts';
import { type Sureness, startSureness } from '../../sure/come-through.ts';
import type { DepthSpan } from '../../sure/engraved.ts';
import { round } from '../phrases.ts';
import { crossedRows, type Hatches, layHatches } from './hatches.ts';
import { type LineEnergies, lineEnergies } from './line-energy.ts';
import { linkHolds } from './link-holds.ts';
import { besideBoard, type Clearance, clearanceOn, type IsBeside } from './on-board.ts';
import { doseOnLine, type OnLine } from './on-line.ts';
import { readAt } from './read-at.ts';
import type { RowLines } from './row-lines.ts';
import { dwellUnderSpotS } from './spot-widths.ts';
import { type StraightLine, spreadLitMoves, straightLine } from './straight-line.ts';
import { type Survey, scaledSurvey, surveyOperations } from './survey.ts';
import type { Told } from './told.ts';
import { createEye, type Eye, PLAINLY_DIFFERENT } from './visible-difference.ts';

/** What is told, and what several findings ask of it, worked out once. Plain data and pure functions. */
export interface Evidence extends Told {
  readonly law: PowerLaw;
  readonly eye: Eye;
  /** What the wood makes of a dose: the same as the grid's tone and depth, and what every margin is told from. */
  readonly wood: WoodAnswer;
  /** What warmth and repeated firing made of the need of a place. */
  readonly firedAt: FiredAt;
  /** The most by which warmth makes a dose count more anywhere in the job. */
  readonly warmestTimes: () => number;
  /** How far the wood's answer can be trusted. */
  readonly sureness: Sureness;
  readonly energies: LineEnergies;
  readonly survey: Survey;
  /** How rows lie, in the order of `program.operations`. */
  readonly hatches: Hatches;
  /** How far the burn keeps from the board's edge; null where no board is known, or nothing burns. */
  readonly clearance: Clearance | null;
  /** Whether a place lies beside the board; null where nothing of the burn does. */
  readonly isBeside: IsBeside | null;
  /** The numbers of the operations that are meant to cut; none as long as nobody has looked for them. */
  readonly cutOperations: ReadonlySet<number>;
  /** In the order of `program.operations`. */
  readonly operations: readonly OperationEvidence[];
  /** Before each move (and at the end): 0 no stop, {@link STOPPED}, {@link WAITED} or {@link BURNED}. */
  readonly stops: Uint8Array;
  /** The motion an endless link would allow, where the link holds the head back; else null. */
  readonly unheld: { readonly motion: Motion; readonly survey: Survey } | null;
}

export interface OperationEvidence {
  readonly operation: Operation;
  /** Its rows, of several directions those that most of its length runs in; null for outlines. */
  readonly rows: RowLines | null;
  /** Its rows in other directions. */
  readonly otherRows: readonly RowLines[];
  readonly straight: StraightLine;
  /** Line energy at full speed, averaged over its length, J/mm. */
  readonly nominalJPerMm: number;
  /** Dose of its straight parts, J/mm², all passes together; dwell there, s. */
  readonly straightJPerMm2: number;
  readonly straightDwellS: number;
  /** How many times what it is seen by its straight dose is: a fill is seen by its mean, all else by its middle. */
  readonly overSeen: number;
  /** How many times the need of one cool firing its places have; the middle one of them. */
  readonly straightNeedTimes: number;
  /** … and as how many equal firings what landed there counts; null where they are not followed. */
  readonly straightFirings: number | null;
  /** Full speed, averaged over its length, mm/s. */
  readonly fullSpeedMmPerS: number;
}

/** The program lets the head rest here. */
export const STOPPED = 1;
/** The head waits for the link here. */
const WAITED = 2;
/** The head rests here with the beam on. */
export const BURNED = 3;

/**
 * Evidence of the same job at the same speeds, burning the same moves, at other power; and by operation number
 * what is emitted now as a multiple of what was then (0 is what belongs to none).
 */
export interface Rescaled {
  readonly evidence: Evidence;
  readonly scales: readonly number[];
}

const NO_STOCK = { thicknessMm: null };

/** @param from what may be taken over instead of being gathered anew. */
export function gatherEvidence(told: Told, from: Rescaled | null = null): Evidence {
  const { program, motion, machine, material } = told;
  const law = powerLaw(machine.laser);
  const energies = lineEnergies(motion, machine, law, from?.evidence.energies.nominalMmPerS);
  const count = program.operations.length;
  const fired = firedAt(told.firings, material);
  const clearance = told.stock && (from ? from.evidence.clearance : clearanceOn(told, told.stock));
  let warmest: number | null = null;
  const survey = from
    ? scaledSurvey(from.evidence.survey, from.scales)
    : surveyOperations(motion, count, energies, law, machine.laser.s_max);
  const hatches = from ? from.evidence.hatches : layHatches(program);
  const lineJPerMm = startLineJPerMm(program, survey);
  return {
    ...told,
    law,
    eye: createEye(material, machine.laser.wavelength_nm),
    wood: woodAnswer(material, beamOf(machine)),
    firedAt: fired,
    warmestTimes: () => (warmest ??= mostSaved(told.firings, material)),
    sureness: startSureness(material, machine, told.stock ?? NO_STOCK, told.sure),
    energies,
    survey,
    hatches,
    clearance,
    isBeside: besideBoard(told, clearance),
    cutOperations: new Set(),
    operations: program.operations.map((operation, k) =>
      operationEvidence(
        { ...told, firedAt: fired },
        operation,
        crossedRows(hatches[k]!, operation, lineJPerMm),
        energies,
        survey,
      ),
    ),
    stops: markStops(motion, machine, law),
    unheld: from
      ? unheldAfter(from, program)
      : linkHolds(motion, machine)
        ? unheldMotion(program, machine, law)
        : null,
  };
}

function unheldAfter({ evidence: { unheld }, scales }: Rescaled, program: Program): Evidence['unheld'] {
  if (unheld === null) return null;
  return { motion: { ...unheld.motion, program }, survey: scaledSurvey(unheld.survey, scales) };
}

function unheldMotion(program: Program, machine: Machine, law: PowerLaw) {
  const free = { ...machine, link: null };
  const motion = planMotion(program, free);
  const energies = lineEnergies(motion, free, law);
  return {
    motion,
    survey: surveyOperations(motion, program.operations.length, energies, law, free.laser.s_max),
  };
}

/** What each operation leaves on a mm of its way, all passes together, J/mm. */
export function startLineJPerMm({ operations }: Program, survey: Survey): (n: number) => number {
  const passes = new Map(operations.map((each) => [each.n, each.passes]));
  return (n) => passes.get(n)! * nominalJPerMm(survey, n);
}

/** Line energy at full speed, averaged over an operation's length, J/mm. */
const nominalJPerMm = ({ burnedMm, nominalJ }: Survey, n: number): number =>
  burnedMm[n]! > 0 ? nominalJ[n]! / burnedMm[n]! : 0;

function operationEvidence(
  told: Told & Pick<Evidence, 'firedAt'>,
  operation: Operation,
  hatch: readonly RowLines[],
  energies: LineEnergies,
  survey: Survey,
): OperationEvidence {
  const { program, machine } = told;
  const { n, firstMove } = operation;
  const zMm = headZMm(program, operation);
  const [rows = null, ...otherRows] = hatch;
  const straight = straightLine(operation, told, energies, survey, hatch);
  const nominal = nominalJPerMm(survey, n);
  const fullSpeedMmPerS = energies.nominalMmPerS[firstMove]!;
  const fired = told.firings ? middleFired(told, operation, energies) : NOT_FOLLOWED;
  return {
    operation,
    rows,
    otherRows,
    straight,
    nominalJPerMm: nominal,
    straightJPerMm2: straight.dosePerLineEnergy * nominal,
    straightDwellS: dwellUnderSpotS(machine.spot, fullSpeedMmPerS, zMm),
    overSeen: readOverSeen(machine.spot, rows, zMm, straight.crest),
    straightNeedTimes: fired.needTimes,
    straightFirings: fired.firings,
    fullSpeedMmPerS,
  };
}

/** The rows of an operation, for each of their directions; none for outlines. */
export const hatchOf = ({ rows, otherRows }: OperationEvidence): readonly RowLines[] =>
  rows ? [rows, ...otherRows] : [];

/**
 * An operation once for each direction of its rows, as if it had only those: so that each is judged. Itself alone where it
 * has one direction, or none.
 */
export function byDirection(each: OperationEvidence): readonly OperationEvidence[] {
  const all = hatchOf(each);
  if (all.length < 2) return [each];
  return all.map((one) => ({ ...each, rows: one, otherRows: all.filter((other) => other !== one) }));
}

/** Moves that tell of an operation's need, spread over it. */
const MOST_ASKED = 400;

/** The lit move of an operation whose need, at its own middle, is the middle one; of lines on their path, not on cells. */
function middleFired(
  told: Told & Pick<Evidence, 'firedAt'>,
  operation: Operation,
  energies: LineEnergies,
): Fired {
  const asked = spreadLitMoves(operation, energies, MOST_ASKED);
  const found = asked.map((i): Fired => doseOn(told, { operation }, i, ...middleOf(told, i)));
  return found.sort((a, b) => a.needTimes - b.needTimes)[found.length >> 1] ?? NOT_FOLLOWED;
}

function markStops(motion: Motion, machine: Machine, law: PowerLaw): Uint8Array {
  const { program, rests } = motion;
  const { moves, stops } = program;
  const marks = new Uint8Array(moves.count + 1);
  for (let k = 0; k < stops.count; k++) marks[stops.beforeMove[k]!] = STOPPED;
  for (let k = 0; k < rests.count; k++) {
    const at = rests.beforeMove[k]!;
    if (rests.starved[k]) marks[at] = WAITED;
    else if (restCommandW(k, motion, machine, law) > 0) marks[at] = BURNED;
  }
  return marks;
}

/** The dose the forecast has at a place, J/mm²; 0 off the grid. */
export const doseAt = ({ dose }: Told, xMm: number, yMm: number): number =>
  readAt(dose.grid, dose.grid.data, xMm, yMm);

/** The energy-weighted dwell there, s; 0 where nothing burned. */
export function dwellAt({ dose }: Told, xMm: number, yMm: number): number {
  const there = readAt(dose.grid, dose.grid.data, xMm, yMm);
  return there > 0 ? Math.exp(readAt(dose.grid, dose.doseLnDwell, xMm, yMm) / there) : 0;
}

/** What a point on move i of an operation gets: of lines on their path itself, of rows from the grid. */
export function doseOn(
  evidence: Told & Pick<Evidence, 'firedAt'>,
  { operation }: Pick<OperationEvidence, 'operation'>,
  i: number,
  xMm: number,
  yMm: number,
): OnLine {
  const onLine =
    operation.kind === 'outline' ? doseOnLine(evidence.lines, evidence.program.moves, i, xMm, yMm) : null;
  return (
    onLine ?? {
      doseJPerMm2: doseAt(evidence, xMm, yMm),
      dwellS: dwellAt(evidence, xMm, yMm),
      headZMm: heightAt(evidence, xMm, yMm),
      ...evidence.firedAt(xMm, yMm),
    }
  );
}

/** A step of this much in an engraved ground is felt under the finger and catches the light (common practice, no source). */
export const FELT_MM = 0.2;

/** A line deeper than this is a cut, where nobody said how thick the board is. A judgement. */
const DEEPEST_LINE_MM = 1;

/**
 * What came to a place: a dose, J/mm², and how long the place was under the spot. Left out how it was fired: as the
 * operation's places usually.
 */
interface Came extends Partial<Fired> {
  readonly doseJPerMm2: number;
  readonly dwellS: number;
}

/**
 * Whether a place of the operation looks or feels plainly different from another. Outlines are judged as lines, rows as
 * areas; both by colour and by depth: where a black line or ground is dug far deeper, that shows too. In a cut depth is
 * what is wanted.
 * @param groundJPerMm2 what others burned at both places, for lines.
 */
export function looksDifferent(
  evidence: Evidence,
  each: OperationEvidence,
  there: Came,
  usual: Came,
  groundJPerMm2 = 0,
): boolean {
  const { eye } = evidence;
  const [thereTimes, usualTimes] = [there, usual].map(({ needTimes = each.straightNeedTimes }) => needTimes);
  // To the eye a place that needs twice the dose is one that got half of it, and a fill is as dark as its mean: rows that are
  // black in their middle still darken between them.
  const seen = there.doseJPerMm2 / each.overSeen / thereTimes!;
  const other = usual.doseJPerMm2 / each.overSeen / usualTimes!;
  const difference = each.rows
    ? eye.difference(seen, there.dwellS, other, usual.dwellS)
    : eye.lineDifference(seen, there.dwellS, other, usual.dwellS, groundJPerMm2 / usualTimes!);
  if (difference >= PLAINLY_DIFFERENT) return true;
  const thereMm = engravedMm(evidence, each, there.doseJPerMm2, there.dwellS, thereTimes);
  const usualMm = engravedMm(evidence, each, usual.doseJPerMm2, usual.dwellS, usualTimes);
  if (isCut(evidence, each, usualMm)) return false;
  return Math.abs(thereMm - usualMm) >= FELT_MM;
}

/**
 * How deep a dose goes, and between what on nine such boards of ten: what a depth is told by.
 * @param came to the place; whether rows fill it, and at what height of the head, by the operation.
 */
export function depthSpan(
  { sureness, program }: Evidence,
  {
    operation,
    rows,
    straightNeedTimes,
    straightFirings,
  }: Pick<OperationEvidence, 'operation' | 'rows' | 'straightNeedTimes' | 'straightFirings'>,
  came: Came,
): DepthSpan {
  return sureness.depthSpan({
    needTimes: straightNeedTimes,
    firings: straightFirings,
    ...came,
    headZMm: headZMm(program, operation),
    isFilled: rows !== null,
  });
}

/** What of a depth's span goes into a finding's measure. */
export const spanMeasure = ({ depthLowMm, depthHighMm }: DepthSpan) => ({
  depth_low_mm: round(depthLowMm),
  depth_high_mm: round(depthHighMm),
});

/** How deep a dose of the operation goes, mm; through is as deep as the board is thick. */
export function engravedMm(
  { wood, program, stock }: Evidence,
  { operation, straightNeedTimes }: OperationEvidence,
  doseJPerMm2: number,
  dwellS: number,
  needTimes = straightNeedTimes,
): number {
  const deep = wood.depthMm(doseJPerMm2, dwellS, headZMm(program, operation), needTimes);
  return Math.min(deep, stock?.thicknessMm ?? Infinity);
}

/** Whether an operation is a cut, as far as is known: its depth is then no fault. */
function isCut(
  { stock, cutOperations }: Evidence,
  { rows, operation }: OperationEvidence,
  usualMm: number,
): boolean {
  if (rows) return false;
  if (operation.intent) return operation.intent === 'cut';
  const unknown = (stock?.thicknessMm ?? null) === null;
  return cutOperations.has(operation.n) || (unknown && usualMm > DEEPEST_LINE_MM);
}

/** Where move i begins. */
export const startOf = (
  { program: { moves } }: Pick<Told, 'program'>,
  i: number,
): readonly [number, number] => (i > 0 ? [moves.xMm[i - 1]!, moves.yMm[i - 1]!] : [0, 0]);

/** The middle of move i. */
export function middleOf(told: Pick<Told, 'program'>, i: number): readonly [xMm: number, yMm: number] {
  const { xMm, yMm } = told.program.moves;
  const [x0, y0] = startOf(told, i);
  return [(x0 + xMm[i]!) / 2, (y0 + yMm[i]!) / 2];
}

/** The dose that gives an operation's usual place a tone, J/mm²: at its dwell, fired as often and as warm. */
export const doseForToneOn = (
  { material, machine }: Evidence,
  { straightDwellS, straightNeedTimes }: OperationEvidence,
  tone: number,
): number => straightNeedTimes * doseForTone(tone, straightDwellS, material, machine.laser.wavelength_nm);

/** The energy-weighted height of the head there, mm. */
function heightAt({ dose }: Told, xMm: number, yMm: number): number {
  const { lowestMm, doseAbove } = dose.height;
  if (doseAbove === null) return lowestMm;
  const there = readAt(dose.grid, dose.grid.data, xMm, yMm);
  return there > 0 ? lowestMm + readAt(dose.grid, doseAbove, xMm, yMm) / there : lowestMm;
}
