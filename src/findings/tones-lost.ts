import { max } from 'd3-array';
import { L_SEEN_FROM, labOf } from '../burn/colour.ts';
import { doseAcross } from '../burn/ripple.ts';
import { speedForToneMmPerS } from '../burn/settings-for.ts';
import { beamOf, powerFor } from '../burn/speed-power.ts';
import { FULL_CHAR_TONE } from '../burn/tone.ts';
import { headZMm } from '../program/operations.ts';
import { depthSpanWords } from '../sure/words.ts';
import { numberWords, percentWords } from '../words.ts';
import { speedBeside } from './evidence/capped.ts';
import {
  depthSpan,
  doseForToneOn,
  type Evidence,
  FELT_MM,
  type OperationEvidence,
  startOf,
} from './evidence/evidence.ts';
import { gapsUnderProportional } from './evidence/gaps.ts';
import { type LitSample, litSamples } from './evidence/lit-samples.ts';
import { MARK_TONE } from './evidence/visible-difference.ts';
import type { Finding } from './finding.ts';
import { faintness } from './no-mark.ts';
import { doseWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** Rows of fewer levels than this are drawn in a few flat tones, and which of them differ is a choice. A judgement. */
const MANY_LEVELS = 8;
/** Levels are lost where they are at least this part of the rows' length … */
const LOST_LENGTH = 0.25;
/**
 * … and this part of the range of S. At the light end every wood loses some: what is a sixth of full char leaves no
 * mark, so a range that ends at brown loses a quarter there, and that is as it should be. Judgements all.
 */
const LOST_DARK_RANGE = 0.25;
const LOST_LIGHT_RANGE = 1 / 3;

/** Halvings in which the dose is found from which on all looks alike. */
const HALVINGS = 30;
/** Where S follows the speed of the head, what lies nearer than this is one level: places get as much only nearly. */
const SAME_LEVEL = Math.log(1.1);

/**
 * `tones-lost`: rows of many levels whose darker levels are all black and look alike, or whose lighter ones all leave no
 * mark, with the share lost and the power that would keep them. One finding per operation.
 */
export function findTonesLost(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) => {
    if (each.rows === null) return [];
    const samples = litSamples(evidence, each);
    const range = toneRange(evidence, each, samples);
    if (range === null || faintness(evidence, each, samples)) return [];
    const dark = isLost(range.dark, LOST_DARK_RANGE);
    const light = isLost(range.light, LOST_LIGHT_RANGE);
    return dark || light ? [finding(evidence, each, range, dark, light)] : [];
  });
}

/** One end of the range, where all levels burn alike. */
interface End {
  /** The part of the rows' length at these levels. */
  readonly lengthShare: number;
  /** The part of the range of S. */
  readonly rangeShare: number;
  /** The level that ends it, on the side of the tones that are kept. */
  readonly s: number;
  readonly move: number;
}

interface ToneRange {
  readonly dark: End;
  readonly light: End;
  readonly sMin: number;
  readonly sMax: number;
  /** What the middle of rows gets from which on all levels burn alike, and from which it is black. */
  readonly alikeJPerMm2: number;
  readonly blackJPerMm2: number;
  readonly markJPerMm2: number;
  readonly most: LitSample;
  /** What falls in the middle of its rows. */
  readonly mostJPerMm2: number;
}

const isLost = ({ lengthShare, rangeShare }: End, range: number): boolean =>
  lengthShare >= LOST_LENGTH && rangeShare >= range;

/** null where the rows do not have many levels. */
function toneRange(evidence: Evidence, each: OperationEvidence, samples: LitSample[]): ToneRange | null {
  const { followsSpeed, followsTones } = evidence.program;
  const levels = samples.map(({ s }) => (followsSpeed ? Math.round(Math.log(s) / SAME_LEVEL) : s));
  if (new Set(levels).size < MANY_LEVELS) return null;
  const markJPerMm2 = doseForToneOn(evidence, each, MARK_TONE);
  const blackJPerMm2 = doseForToneOn(evidence, each, FULL_CHAR_TONE);
  samples.sort((a, b) => a.s - b.s);
  const [least, most] = [samples[0]!, samples.at(-1)!];
  const lengthMm = samples.reduce((sum, { mm }) => sum + mm, 0);
  // By the wood's own curve each tone takes so many times the dose of the one before.
  const along = ({ s }: { readonly s: number }): number => (followsTones ? Math.log(s) : s);
  const span = along(most) - along(least);
  const endOf = (lost: LitSample[], edge: LitSample | undefined, from: LitSample): End => ({
    lengthShare: lost.reduce((sum, { mm }) => sum + mm, 0) / lengthMm,
    rangeShare: edge ? Math.abs(along(edge) - along(from)) / span : 0,
    s: edge?.s ?? from.s,
    move: edge?.move ?? most.move,
  });
  const look = lookOf(evidence, each);
  const middle = ({ fullJPerMm2 }: LitSample): number => look.middleTimes * fullJPerMm2;
  const alikeJPerMm2 = alikeFrom(look, blackJPerMm2, middle(most));
  const black = samples.filter((sample) => middle(sample) >= alikeJPerMm2);
  const bare = samples.filter((sample) => middle(sample) < markJPerMm2);
  return {
    dark: endOf(black, black[0], most),
    light: endOf(bare, bare.at(-1), least),
    sMin: least.s,
    sMax: most.s,
    alikeJPerMm2,
    blackJPerMm2,
    markJPerMm2,
    most,
    mostJPerMm2: middle(most),
  };
}

/** How rows of one dose look. */
interface Look {
  /** How many times what was read of a level falls in the middle of its rows. */
  readonly middleTimes: number;
  /** L*, by what falls in the middle of rows, J/mm². */
  lightness(middleJPerMm2: number): number;
}

/** Rows near each other are seen as one area: where their middles are black, it still darkens as they grow wider. */
function lookOf(evidence: Evidence, { operation, rows, ...each }: OperationEvidence): Look {
  const { wood, material, machine, program } = evidence;
  const { straight, straightDwellS, straightNeedTimes } = each;
  const across = doseAcross(machine.spot, rows, headZMm(program, operation)) ?? [1];
  const crest = max(across)!;
  return {
    middleTimes: across.length > 1 && straight.crest !== null ? crest / straight.crest : 1,
    lightness(middleJPerMm2) {
      const mean = middleJPerMm2 / crest / straightNeedTimes;
      const sum = across.reduce(
        (l, times) => l + labOf(wood.tone(times * mean, straightDwellS), material)[0],
        0,
      );
      return sum / across.length;
    },
  };
}

/** From which dose on, between black and the most, the most is no darker that one would see. */
function alikeFrom({ lightness }: Look, blackJPerMm2: number, mostJPerMm2: number): number {
  const leastL = lightness(mostJPerMm2) + L_SEEN_FROM;
  if (blackJPerMm2 >= mostJPerMm2 || lightness(blackJPerMm2) < leastL) return blackJPerMm2;
  let [paler, alike] = [blackJPerMm2, mostJPerMm2];
  for (let k = 0; k < HALVINGS; k++) {
    const between = Math.sqrt(paler * alike);
    if (lightness(between) < leastL) alike = between;
    else paler = between;
  }
  return alike;
}

/** The powers between which every level has a tone of its own, in per cent of full scale. */
function powerRange(evidence: Evidence, { most, mostJPerMm2, alikeJPerMm2, markJPerMm2 }: ToneRange) {
  const { laser } = evidence.machine;
  const perDose = evidence.law.watts(Math.min(most.s, laser.s_max), 1) / mostJPerMm2;
  const percentFor = (dose: number) => 100 * powerFor(laser, perDose * dose);
  return {
    least: Math.ceil(percentFor(markJPerMm2) * 10) / 10,
    most: Math.max(0.1, Math.floor(percentFor(alikeJPerMm2) * 10) / 10),
  };
}

function finding(
  evidence: Evidence,
  each: OperationEvidence,
  range: ToneRange,
  dark: boolean,
  light: boolean,
): Finding {
  const { n } = each.operation;
  const end = dark ? range.dark : range.light;
  const share = (dark ? range.dark.lengthShare : 0) + (light ? range.light.lengthShare : 0);
  const keep = powerRange(evidence, range);
  const { remedy, change } = remedyOf(evidence, each, range, keep);
  const [x, y] = startOf(evidence, end.move);
  const words = [
    dark
      ? `from S${numberWords(range.dark.s, 4)} up to S${numberWords(range.sMax, 4)} every level gets at least the ` +
        `${doseWords(range.alikeJPerMm2)} ${isBlack(range) ? 'that burn it fully black' : 'from which on these rows look alike'}`
      : '',
    light
      ? `from S${numberWords(range.sMin, 4)} up to S${numberWords(range.light.s, 4)} no level gets the ` +
        `${doseWords(range.markJPerMm2)} at which a mark begins`
      : '',
  ].filter((text) => text !== '');
  return {
    kind: 'tones-lost',
    severity: 'warning',
    line: evidence.program.moves.line[end.move]!,
    atMm: [round(x, 3), round(y, 3)],
    operation: n,
    message: `${percentWords(round(share, 3))} of these rows lose their tones: ${words.join(', and ')}.`,
    remedy: dark ? remedy + reliefWords(evidence, each, range) : remedy,
    measure: {
      lost_share: round(share),
      dark_share: round(range.dark.lengthShare),
      light_share: round(range.light.lengthShare),
      ...(dark ? { black_from_s: range.dark.s } : {}),
      ...(light ? { bare_to_s: range.light.s } : {}),
      dose_j_mm2: round(range.mostJPerMm2),
      alike_from_j_mm2: round(range.alikeJPerMm2),
      black_j_mm2: round(range.blackJPerMm2),
      mark_j_mm2: round(range.markJPerMm2),
      least_power_percent: keep.least,
      most_power_percent: keep.most,
    },
    advice: change ? { operation: n, change: `${n}: ${change}` } : null,
  };
}

/** Whether rows whose middle is black are as dark as they get: between them nothing stays pale. */
const isBlack = ({ alikeJPerMm2, blackJPerMm2 }: ToneRange): boolean => alikeJPerMm2 === blackJPerMm2;

/** Levels that look alike may differ in depth, and that may be what is wanted. */
function reliefWords(
  evidence: Evidence,
  each: OperationEvidence,
  { mostJPerMm2, alikeJPerMm2 }: ToneRange,
): string {
  const span = (doseJPerMm2: number) =>
    depthSpan(evidence, each, { doseJPerMm2, dwellS: each.straightDwellS });
  const [from, to] = [span(alikeJPerMm2), span(mostJPerMm2)];
  return to.depthMm - from.depthMm < FELT_MM
    ? ''
    : ` Where a relief is meant and not a picture, leave it: the black levels are from ${depthSpanWords(from)} to ` +
        `${depthSpanWords(to, 'mm deep')}.`;
}

/** All levels scaled so that the greatest just burns black: by power, or by speed where no power does. */
function remedyOf(
  evidence: Evidence,
  each: OperationEvidence,
  range: ToneRange,
  keep: { readonly least: number; readonly most: number },
): { readonly remedy: string; readonly change: string | null } {
  const { law, material, machine, energies, program } = evidence;
  const { operation } = each;
  const { most, mostJPerMm2, sMax } = range;
  const sMin = Math.min(range.sMin, operation.sMin);
  const s = machine.laser.s_max / 100;
  const between = `between ${numberWords(keep.least)} and ${numberWords(keep.most)} % power`;
  if (keep.most > 100) {
    const speed = energies.nominalMmPerS[most.move]!;
    const feed = plainFeed(
      speedForToneMmPerS(
        FULL_CHAR_TONE,
        mostJPerMm2 * speed,
        material,
        beamOf(machine, headZMm(program, operation)),
      ),
    );
    return {
      remedy: `Burn it at ${numberWords(feed, 4)} mm/min, at which its greatest S just burns fully black.`,
      change: `speed ${feed}`,
    };
  }
  const scale = (keep.most * s) / Math.min(sMax, machine.laser.s_max);
  const proportional = operation.powerMode === 'proportional';
  const goesDark =
    law.watts(sMin * scale, 1) === 0 ||
    (proportional && gapsUnderProportional(evidence, each, scale) !== null);
  const at = speedBeside(evidence, each);
  if (goesDark || keep.most <= keep.least)
    return {
      remedy: `Let its levels lie ${between}: S${numberWords(keep.least * s, 4)} to S${numberWords(keep.most * s, 4)}.`,
      change: null,
    };
  return {
    remedy: `Let its levels lie ${between}${at.words}: with ${numberWords(keep.most)} % its greatest S ${isBlack(range) ? 'just burns fully black' : 'just comes to that'}.`,
    change: `${at.setting}power ${keep.most}%`,
  };
}
