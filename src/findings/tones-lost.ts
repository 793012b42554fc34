import { speedForToneMmPerS } from '../burn/settings-for.ts';
import { beamOf, powerFor } from '../burn/speed-power.ts';
import { FULL_CHAR_TONE } from '../burn/tone.ts';
import { headZMm } from '../program/operations.ts';
import { depthSpanWords } from '../sure/words.ts';
import { numberWords, percentWords } from '../words.ts';
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

/**
 * `tones-lost`: rows of many levels whose darker levels all burn to full char, or whose lighter ones all leave no mark,
 * with the share lost and the power that would keep them. One finding per operation.
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
  readonly blackJPerMm2: number;
  readonly markJPerMm2: number;
  readonly most: LitSample;
}

const isLost = ({ lengthShare, rangeShare }: End, range: number): boolean =>
  lengthShare >= LOST_LENGTH && rangeShare >= range;

/** null where the rows do not have many levels. */
function toneRange(evidence: Evidence, each: OperationEvidence, samples: LitSample[]): ToneRange | null {
  if (new Set(samples.map(({ s }) => s)).size < MANY_LEVELS) return null;
  const markJPerMm2 = doseForToneOn(evidence, each, MARK_TONE);
  const blackJPerMm2 = doseForToneOn(evidence, each, FULL_CHAR_TONE);
  samples.sort((a, b) => a.s - b.s);
  const [least, most] = [samples[0]!, samples.at(-1)!];
  const spanS = most.s - least.s;
  const lengthMm = samples.reduce((sum, { mm }) => sum + mm, 0);
  const endOf = (lost: LitSample[], edge: LitSample | undefined, from: number): End => ({
    lengthShare: lost.reduce((sum, { mm }) => sum + mm, 0) / lengthMm,
    rangeShare: edge ? Math.abs(edge.s - from) / spanS : 0,
    s: edge?.s ?? from,
    move: edge?.move ?? most.move,
  });
  const black = samples.filter(({ fullJPerMm2 }) => fullJPerMm2 >= blackJPerMm2);
  const bare = samples.filter(({ fullJPerMm2 }) => fullJPerMm2 < markJPerMm2);
  return {
    dark: endOf(black, black[0], most.s),
    light: endOf(bare, bare.at(-1), least.s),
    sMin: least.s,
    sMax: most.s,
    blackJPerMm2,
    markJPerMm2,
    most,
  };
}

/** The powers between which every level has a tone of its own, in per cent of full scale. */
function powerRange(evidence: Evidence, { most, blackJPerMm2, markJPerMm2 }: ToneRange) {
  const { laser } = evidence.machine;
  const perDose = evidence.law.watts(Math.min(most.s, laser.s_max), 1) / most.fullJPerMm2;
  const percentFor = (dose: number) => 100 * powerFor(laser, perDose * dose);
  return {
    least: Math.ceil(percentFor(markJPerMm2) * 10) / 10,
    most: Math.max(0.1, Math.floor(percentFor(blackJPerMm2) * 10) / 10),
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
  const { most } = range;
  const end = dark ? range.dark : range.light;
  const share = (dark ? range.dark.lengthShare : 0) + (light ? range.light.lengthShare : 0);
  const keep = powerRange(evidence, range);
  const { remedy, change } = remedyOf(evidence, each, range, keep);
  const [x, y] = startOf(evidence, end.move);
  const words = [
    dark
      ? `from S${numberWords(range.dark.s, 4)} up to S${numberWords(range.sMax, 4)} every level gets at least the ` +
        `${doseWords(range.blackJPerMm2)} that burn it fully black`
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
      dose_j_mm2: round(most.fullJPerMm2),
      black_j_mm2: round(range.blackJPerMm2),
      mark_j_mm2: round(range.markJPerMm2),
      least_power_percent: keep.least,
      most_power_percent: keep.most,
    },
    advice: change ? { operation: n, change: `${n}: ${change}` } : null,
  };
}

/** Levels that look alike may differ in depth, and that may be what is wanted. */
function reliefWords(evidence: Evidence, each: OperationEvidence, { most, blackJPerMm2 }: ToneRange): string {
  const span = (doseJPerMm2: number) =>
    depthSpan(evidence, each, { doseJPerMm2, dwellS: each.straightDwellS });
  const [from, to] = [span(blackJPerMm2), span(most.fullJPerMm2)];
  return to.depthMm - from.depthMm < FELT_MM
    ? ''
    : ` Where a relief is meant and not a picture, leave it: the black levels are from ${depthSpanWords(from)} to ` +
        `${depthSpanWords(to, 'mm deep')}.`;
}

/** All levels scaled so that the greatest just burns black: by power, or by speed where no power does. */
function remedyOf(
  evidence: Evidence,
  each: OperationEvidence,
  { most, sMin, sMax }: ToneRange,
  keep: { readonly least: number; readonly most: number },
): { readonly remedy: string; readonly change: string | null } {
  const { law, material, machine, energies, program } = evidence;
  const { operation } = each;
  const s = machine.laser.s_max / 100;
  const between = `between ${numberWords(keep.least)} and ${numberWords(keep.most)} % power`;
  if (keep.most > 100) {
    const speed = energies.nominalMmPerS[most.move]!;
    const feed = plainFeed(
      speedForToneMmPerS(
        FULL_CHAR_TONE,
        most.fullJPerMm2 * speed,
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
  if (goesDark || keep.most <= keep.least)
    return {
      remedy: `Let its levels lie ${between}: S${numberWords(keep.least * s, 4)} to S${numberWords(keep.most * s, 4)}.`,
      change: null,
    };
  return {
    remedy: `Let its levels lie ${between}: with ${numberWords(keep.most)} % its greatest S just burns fully black.`,
    change: `power ${keep.most}%`,
  };
}
