import type { Material } from '../burn/material.ts';
import { CHARS_MORE, SLOWEST_MM_PER_S, SLOWEST_WORDS } from '../burn/settings-for.ts';
import {
  type Outcome,
  powerFor,
  REGIONS,
  type Region,
  ROW_MM,
  type SpeedPower,
  topSpeedMmPerS,
  type Use,
  type Work,
  wattsAt,
} from '../burn/speed-power.ts';
import { middleTone } from '../burn/tone.ts';
import { usualRowSpacingMm } from '../chart/row-spacing.ts';
import { type SpeedUncertainty, startSpeedUncertainty } from '../chart/speed-uncertainty.ts';
import { InputError } from '../errors.ts';
import { DEEPEST_ENGRAVING } from '../findings/too-deep.ts';
import { askedOnce } from '../lately.ts';
import { leastOf } from '../lists.ts';
import type { LaserSource, Machine } from '../machine/profile.ts';
import { refuseUnknownOptions } from '../options.ts';
import { SURE, startSureness } from '../sure/come-through.ts';
import { comesThroughAt, engravedAt, fastestForSure } from '../sure/settings.ts';
import { partWords } from '../sure/words.ts';
import { speedPowerInRows } from '../warmth/rows.ts';
import { numberWords, timeWords } from '../words.ts';
import { proposalNotes } from './notes.ts';
import type { Margin, Proposal, Suggestion } from './proposal.ts';
import { LINE_MM, timeFor, typedSpeed, typedSpeedBelow } from './trade.ts';
import { type Want, wantWords } from './want.ts';

/**
 * From what is wanted of the wood to settings of the machine: every power has one speed that gives it, so a
 * suggestion is a place on the chart, told with how far it lies from the next region and how well the wood is
 * known.
 */
export interface SuggestOptions {
  /** Thickness of the stock, mm; null: not known, which a cut cannot do without. */
  readonly thicknessMm: number | null;
  /** One standard uncertainty of it, mm; default 3 % of it. */
  readonly thicknessPlusMinusMm?: number | null;
  /** The part of such boards that a cut must come through, 0.5 … 0.99; default {@link SURE}. */
  readonly sure?: number;
  /** Rows or a line; default a line to cut and rows for a tone. */
  readonly use?: Use['kind'];
  /** Default from the spot's width, see `usualRowSpacingMm`. */
  readonly rowSpacingMm?: number;
  /** How long the rows are, mm; default {@link ROW_MM}. */
  readonly rowLengthMm?: number;
}

const SUGGEST_OPTIONS: Readonly<Record<keyof SuggestOptions, true>> = {
  thicknessMm: true,
  thicknessPlusMinusMm: true,
  sure: true,
  use: true,
  rowSpacingMm: true,
  rowLengthMm: true,
};

const MOST_SUGGESTIONS = 4;
/** Tones are offered at these shares of full power … */
const POWERS = [1, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.15, 0.1, 0.05];
/** … as far as each takes this much longer than the one before. */
const PLAINLY_SLOWER = 1.3;
/** A setting leaves room up to this share of the machine's top speed and of full power … */
const ROOMY = 0.8;
/** … and in rows with no more overscan than this, a tenth of the rows they are timed by. Both are judgement. */
const EASY_RUN_UP_MM = ROW_MM / 10;
const PASSES = [1, 2, 3, 5, 8, 12];

/**
 * The settings on a machine that reach what is wanted. Lines are reckoned across the spot's wider axis, the direction
 * that burns least; rows by their mean dose. The speed of a tone turns tone and dose round by the curve of
 * `burn/MODEL.md`, whose sources stand there; that of a cut is the fastest that comes through on the part `sure` of
 * boards drawn within the stated uncertainties. Speeds are rounded to what people type, a cut's never up.
 *
 * @param want a cut, a region of tone, or a tone above 0 and at most 1 (1 full char); `readWant` reads one.
 * @param options lengths in mm; what is left out is told at {@link SuggestOptions}.
 * @returns up to four suggestions for a cut, one for each plainly different power for a tone, in the order of
 *   {@link Proposal.suggestions}: speeds in mm/s, power as a share of full power and as S, times in s for 100 mm of
 *   line or 1 cm² of rows. Where none reaches what is wanted, none, with the reason in `impossible`.
 * @throws {InputError} for a cut without a thickness, or in rows, or for an unknown option.
 */
export function suggest(want: Want, material: Material, machine: Machine, options: SuggestOptions): Proposal {
  refuseUnknownOptions(options, SUGGEST_OPTIONS, 'suggest');
  const { thicknessMm, thicknessPlusMinusMm = null, sure = SURE } = options;
  const kind = options.use ?? (want.kind === 'cut' ? 'line' : 'rows');
  if (want.kind === 'cut' && kind === 'rows')
    throw new InputError('found a cut wanted in rows; expected a line, which is what one cuts along');
  if (want.kind === 'cut' && thicknessMm === null)
    throw new InputError(
      'found no thickness to cut through; expected --thickness in mm, or a --stock that has one',
    );
  const use: Use =
    kind === 'line'
      ? { kind }
      : {
          kind,
          rowSpacingMm: options.rowSpacingMm ?? usualRowSpacingMm(machine.spot),
          rowLengthMm: options.rowLengthMm ?? ROW_MM,
        };
  const work: Work = { machine, material, thicknessMm, thicknessPlusMinusMm, use, passes: 1 };
  const tone = want.kind === 'cut' ? null : toneOfWant(want);
  const found = tone === null ? cuts(work, sure) : tones(work, tone, want);
  // Times that read alike are alike; then fewer passes come first.
  const reads = ({ timeS }: Found) => Number(timeS.toPrecision(2));
  const sorted = [...found].sort((a, b) => reads(a) - reads(b) || a.passes - b.passes || a.timeS - b.timeS);
  const chosen =
    want.kind === 'cut' ? sorted.slice(0, MOST_SUGGESTIONS) : middleFirst(sorted, topSpeedMmPerS(work));
  // All settings of a tone are of one work, those of a cut of one for each number of passes.
  const uncertaintyOn = askedOnce(startSpeedUncertainty);
  const shown = chosen.map((each) => suggestionOf(each, tone, uncertaintyOn(each.answers.work)));
  const impossible =
    shown.length > 0 ? null : want.kind === 'cut' ? whyNoCut(work, sure) : whyNoTone(work, want);
  const hopeless = want.kind === 'cut' ? whyHopeless(work, shown) : null;
  const proposal = { want, machine, material, thicknessMm, sure, suggestions: shown, impossible, hopeless };
  return { ...proposal, notes: proposalNotes(proposal, work) };
}

const toneOfWant = (want: Exclude<Want, { kind: 'cut' }>): number =>
  want.kind === 'tone' ? want.tone : middleTone(want.region);

/** S for a share of full power: whole numbers where the scale has room for them. */
const sFor = ({ s_max }: LaserSource, power: number, round: (x: number) => number = Math.round): number =>
  s_max >= 100 ? round(power * s_max) : Number((power * s_max).toPrecision(3));

function tones(work: Work, tone: number, want: Want): Found[] {
  const answers = speedPowerInRows(work);
  const { laser } = work.machine;
  const top = topSpeedMmPerS(work);
  const atTop = powerFor(laser, answers.wattsForTone(tone, top));
  const levels = POWERS.map((power) => sFor(laser, power));
  if (atTop < 1) levels.push(sFor(laser, atTop, Math.floor));
  const found: Found[] = [];
  for (const s of new Set(levels)) {
    const power = s / laser.s_max;
    const watts = wattsAt(laser, power);
    const exact = answers.speedForTone(tone, watts);
    if (!(exact >= SLOWEST_MM_PER_S && exact <= top)) continue;
    const setting = settingAt(answers, Math.min(top, typedSpeed(exact)), s);
    if (meets(want, setting)) found.push(setting);
  }
  return found;
}

/** Thin stock may be cut through before it is dark, and coarse power levels may miss a region. */
function meets(want: Want, { answers, outcome }: Found): boolean {
  if (isDugOut(answers.work, outcome)) return false;
  return want.kind === 'region' ? outcome.region === want.region : outcome.region !== 'cut';
}

/** Lines of an area go no deeper than a forecast lets pass, or where the board is not known than 1 mm. A judgement. */
const deepestMm = ({ thicknessMm }: Work): number =>
  thicknessMm === null ? 1 : DEEPEST_ENGRAVING * thicknessMm;

/** Whether the lines of an area are dug deep: far apart they must make up for what stays pale between them. */
const isDugOut = (work: Work, { deepTimes, depthMm }: Outcome): boolean =>
  deepTimes >= APART_TIMES && depthMm > deepestMm(work);

/** Rows that run together get no more in their middle, as a multiple of what they look like. */
const APART_TIMES = 1.2;

function cuts(work: Work, sure: number): Found[] {
  const sureness = startSureness(work.material, work.machine, work, sure);
  const { laser } = work.machine;
  const top = topSpeedMmPerS(work);
  const watts = wattsAt(laser, 1);
  const found: Found[] = [];
  for (const passes of PASSES) {
    const answers = speedPowerInRows({ ...work, passes });
    const speed = Math.min(top, typedSpeedBelow(fastestForSure(answers, sureness, watts)));
    if (!(speed >= SLOWEST_MM_PER_S)) continue;
    const { chanceThrough } = comesThroughAt(answers, sureness, speed, watts)!;
    found.push({ ...settingAt(answers, speed, sFor(laser, 1)), chanceThrough });
    if (speed === top) break; // more passes would be more than it takes
  }
  return found;
}

/** A setting that does what is wanted, with all that it is chosen by. */
interface Found
  extends Pick<Suggestion, 'use' | 'speedMmPerS' | 's' | 'power' | 'passes' | 'outcome' | 'chanceThrough'> {
  readonly answers: SpeedPower;
  readonly timeS: number;
  readonly runUpMm: number;
}

function settingAt(answers: SpeedPower, speedMmPerS: number, s: number): Found {
  const { machine, use, passes } = answers.work;
  const power = s / machine.laser.s_max;
  const acceleration =
    use.kind === 'rows'
      ? machine.acceleration_mm_s2[0]
      : Math.min(machine.acceleration_mm_s2[0], machine.acceleration_mm_s2[1]);
  return {
    answers,
    use,
    speedMmPerS,
    s,
    power,
    passes,
    outcome: answers.outcome(speedMmPerS, wattsAt(machine.laser, power)),
    chanceThrough: null,
    timeS: timeFor(use, speedMmPerS, acceleration, passes),
    runUpMm: (speedMmPerS * speedMmPerS) / (2 * acceleration),
  };
}

/**
 * What is told of a setting that was chosen.
 * @param tone what is aimed at; null for a cut.
 */
function suggestionOf(
  { answers, ...found }: Found,
  tone: number | null,
  uncertainty: SpeedUncertainty,
): Suggestion {
  const { work } = answers;
  const { laser } = work.machine;
  const { speedMmPerS, power, outcome } = found;
  const watts = wattsAt(laser, power);
  const top = topSpeedMmPerS(work);
  const at = REGIONS.indexOf(outcome.region);
  const beyond = REGIONS[at + 1];
  const margin = (region: Region, begins: Region): Margin => {
    const share = powerFor(laser, answers.wattsFor(begins, speedMmPerS));
    const speed = answers.fastest(begins, watts);
    return { region, speedMmPerS: speed <= top ? speed : null, power: share <= 1 ? share : null };
  };
  return {
    ...found,
    powerMode: laser.m4_power,
    darker: beyond && answers.fastest(beyond, watts) > 0 ? margin(beyond, beyond) : null,
    lighter: margin(REGIONS[Math.max(0, at - 1)]!, outcome.region),
    uncertainty: uncertainty(watts, (each, given) =>
      tone === null ? each.fastest('cut', given) : each.speedForTone(tone, given),
    ),
    engraved: engravedAt(answers, startSureness(work.material, work.machine, work), speedMmPerS, watts),
  };
}

/**
 * A tone's settings: first the fastest that leaves room on all sides, or the middle one where none does; then the
 * others from the fastest on, as far apart as is worth telling.
 * @param sorted the fastest first.
 */
function middleFirst(sorted: readonly Found[], topMmPerS: number): Found[] {
  const hasRoom = ({ speedMmPerS, power, runUpMm, use }: Found) =>
    Math.max(speedMmPerS / topMmPerS, power) <= ROOMY && (use.kind === 'line' || runUpMm <= EASY_RUN_UP_MM);
  const all = spread(sorted);
  const first = sorted.find(hasRoom) ?? all[Math.floor(all.length / 2)];
  if (!first) return [];
  const isOther = ({ timeS }: Found) => Math.max(timeS / first.timeS, first.timeS / timeS) >= PLAINLY_SLOWER;
  return [first, ...spread(sorted.filter(isOther))].slice(0, MOST_SUGGESTIONS);
}

/** The fastest, and slower ones as far apart as is worth telling. */
function spread(sorted: readonly Found[]): Found[] {
  const shown: Found[] = [];
  for (const each of sorted) {
    const before = shown.at(-1);
    if (!before || each.timeS >= before.timeS * PLAINLY_SLOWER) shown.push(each);
  }
  return shown.slice(0, MOST_SUGGESTIONS);
}

function whyNoCut({ machine, material, thicknessMm }: Work, sure: number): string {
  return (
    `${machine.name} does not cut ${thicknessMm} mm of ${material.name}: even ${PASSES.at(-1)} passes at full power ` +
    `would have to go slower than ${SLOWEST_WORDS} to come through on ${partWords(sure)} such boards, and there ` +
    `${CHARS_MORE}.`
  );
}

function whyHopeless(
  { machine, material, thicknessMm }: Work,
  suggestions: readonly Suggestion[],
): string | null {
  const timeS = leastOf(suggestions.map((each) => each.timeS));
  if (suggestions.length === 0 || timeS <= LINE_MM / SLOWEST_MM_PER_S) return null;
  return (
    `${thicknessMm} mm of ${material.name} are too thick for ${machine.name}: all passes together take at least ` +
    `${timeWords(timeS)} for each ${LINE_MM} mm, slower than ${SLOWEST_WORDS}, where ${CHARS_MORE}, ` +
    'and few cuts were measured. Take thinner wood or a stronger laser; if you try it all the same, try it on a scrap.'
  );
}

/** That no setting makes up for what stays pale between rows; null where that is not why. */
function whyTooFarApart({ machine, use }: Work, answers: SpeedPower, tone: number): string | null {
  if (use.kind === 'line' || !answers.isArea) return null;
  const top = topSpeedMmPerS(answers.work);
  const watts = answers.wattsForTone(tone, top);
  if (watts < Infinity && !isDugOut(answers.work, answers.outcome(top, watts))) return null;
  return (
    `rows ${numberWords(use.rowSpacingMm)} mm apart leave so much of it pale between them that their lines would have to go ` +
    `deeper than ${numberWords(deepestMm(answers.work))} mm. Lay them ${numberWords(usualRowSpacingMm(machine.spot))} mm apart.`
  );
}

function whyNoTone(work: Work, want: Exclude<Want, { kind: 'cut' }>): string {
  const { machine, material } = work;
  const answers = speedPowerInRows(work);
  const tone = toneOfWant(want);
  const full = wattsAt(machine.laser, 1);
  const wish = `${wantWords(want)} on ${material.name}`;
  const exact = answers.speedForTone(tone, full);
  const apart = whyTooFarApart(work, answers, tone);
  if (apart !== null) return `${machine.name} does not get ${wish}: ${apart}`;
  if (exact < SLOWEST_MM_PER_S) {
    return `${machine.name} is too weak for ${wish}: it would have to go slower than ${SLOWEST_WORDS}.`;
  }
  if (answers.outcome(Math.min(exact, topSpeedMmPerS(work)), full).region === 'cut') {
    return `${machine.name} does not get ${wish}: stock of ${work.thicknessMm} mm is cut through before it is that dark.`;
  }
  return (
    `${machine.name} does not get ${wish}: even at its top speed and the least power that gives light, the wood ` +
    'comes out darker. A wider row spacing or a larger spot lowers the dose.'
  );
}
