import { dwellNotice } from '../burn/need.ts';
import { areLinesApart, crossed, ownShare } from '../burn/ripple.ts';
import {
  REGIONS,
  type Region,
  ROW_MM,
  type RowsUse,
  rowsOf,
  toneFrom,
  type Work,
  wattsAt,
} from '../burn/speed-power.ts';
import { CUTTING_CAUTION, listWords, manyTimes } from '../findings/phrases.ts';
import { defocus } from '../laser/spot.ts';
import { greatestOf, leastOf } from '../lists.ts';
import { boardsWords, OF_LINES, partWords, shadeRangeWords } from '../sure/words.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { numberWords, operationSentence, percentWords } from '../words.ts';
import type { Chart, ChartPanel } from './chart.ts';
import { STEPS_UP_TO } from './curves.ts';
import type { ChartPoint } from './points.ts';
import { rowRipple } from './row-spacing.ts';
import { startSpeedUncertainty } from './speed-uncertainty.ts';

/** From this swing of dose on, as a part of the mean, rows show as stripes. */
const STRIPES_FROM = 0.25;
/** A spot this much wider than in focus is worth a word. */
const OUT_OF_FOCUS = 1.1;

/** What must be said beside a chart, in plain sentences. */
export function chartNotes({ panels, leftOut, sure }: Chart): string[] {
  const { machine } = panels[0]!.work;
  const { power_levels: levels } = machine.laser;
  const dwells = panels.flatMap(({ work, speedsMmPerS: [from, to] }) => {
    const width = Math.sqrt(work.machine.spot.width_mm[0] * work.machine.spot.width_mm[1]);
    return [width / to, width / from];
  });
  const notes: (string | null)[] = [
    'Half the power at half the speed leaves the same dose and burns nearly alike.',
    levels !== null && levels <= STEPS_UP_TO
      ? `The controller knows ${levels} power levels, so the curves climb in steps.`
      : null,
    panels.some(({ leastPower }) => leastPower > 0)
      ? `Below ${percentWords(panels[0]!.leastPower)} power this laser gives no light.`
      : null,
    ...panels.map(({ work }) => stripesNote(work)),
    panels.some(({ work: { use } }) => use.kind === 'rows' && use.crossing)
      ? 'Rows that cross are taken to change speed and power together.'
      : null,
    leftOut > 0
      ? `${leftOut} more ${leftOut === 1 ? 'operation has' : 'operations have'} other row spacings or passes and no chart here.`
      : null,
    edgesNote(panels[0]!),
    panels.some(showsCut)
      ? `Cut through means on ${partWords(sure)} such boards; beyond, fewer come through.`
      : null,
    dwellNotice(leastOf(dwells), greatestOf(dwells)),
    panels.some(showsCut) ? `Before cutting: ${lowerFirst(CUTTING_CAUTION)}` : null,
  ];
  return notes.filter((note) => note !== null);
}

/** How well the speeds at which one tone becomes another are known; null where they are known as they stand. */
function edgesNote({ work, edges }: ChartPanel): string | null {
  const shown = edges.filter(({ region }) => region !== 'cut');
  const region = shown.find((edge) => edge.region === 'char')?.region ?? shown[0]?.region;
  if (!region) return null;
  const uncertainty = startSpeedUncertainty(work)(wattsAt(work.machine.laser, 1), (answers, watts) =>
    answers.fastest(region, watts),
  );
  if (uncertainty === null) return null;
  return `What is known of this wood and machine leaves ±${Math.round(uncertainty * 100)} % in the speeds where tones change.`;
}

/** Whether a panel has a place where the board is cut through. */
export const showsCut = ({ edges, speedsMmPerS: [from] }: ChartPanel): boolean =>
  edges.some(({ region, line }) => region === 'cut' && line.at(-1)![0] > from);

/** What the mean dose of rows hides, where they stand apart; null where they run together. */
export function stripesNote(work: Work): string | null {
  const { use, machine } = work;
  if (use.kind === 'line') return null;
  if (areLines(work))
    return `Rows ${numberWords(use.rowSpacingMm)} mm apart are told by their lines; between them the wood stays bare.`;
  const ripple = rowRipple(machine.spot, use.rowSpacingMm);
  const { most, least, peakToValley } = crossed(ripple, ownShare(rowsOf(use)));
  if (peakToValley < STRIPES_FROM) return null;
  return (
    `Rows ${numberWords(use.rowSpacingMm)} mm apart do not run together under this spot: they show as stripes, with ` +
    `${Math.round(least * 100)} to ${Math.round(most * 100)} % of the mean dose.`
  );
}

/** *Rows 0.1 mm apart and 20 mm long*. */
export const rowsWords = (use: RowsUse): string =>
  `Rows ${numberWords(use.rowSpacingMm)} mm apart and ${numberWords(use.rowLengthMm ?? ROW_MM)} mm long${crossingWords(use)}`;

/** *, crossed by others 0.1 mm apart*; nothing where they are not. */
export function crossingWords({ crossing = [] }: RowsUse): string {
  if (crossing.length === 0) return '';
  return `, crossed by others ${listWords(crossing.map(({ rowSpacingMm }) => numberWords(rowSpacingMm)))} mm apart`;
}

/** A panel in words: *Rows 0.1 mm apart, at full power: cut through up to 173 mm/min, …, brown beyond.* */
export function panelSentence({ work, edges, speedsMmPerS: [, top] }: ChartPanel): string {
  const { use, passes } = work;
  const name = `${use.kind === 'rows' ? rowsWords(use) : 'Lines'}${outOfFocusWords(work)}${ofLinesWords(work)}`;
  const times = passes === 1 ? '' : `, ${passes} passes`;
  const parts: string[] = [];
  for (const region of [...REGIONS].reverse()) {
    const speed = edges.find((edge) => edge.region === region)?.line.at(-1)?.[0];
    if (region === 'no mark' || (speed !== undefined && speed >= top)) {
      parts.push(`${regionWords({ region })} ${parts.length === 0 ? 'at every speed' : 'beyond'}`);
      break;
    }
    if (speed === undefined) continue;
    const feed = numberWords(Number(mmPerSToMmPerMin(speed).toPrecision(3)), 6);
    parts.push(`${regionWords({ region })} up to ${feed} mm/min`);
  }
  return `${name}${times}, at full power: ${parts.join(', ')}.`;
}

type Laid = Pick<Work, 'use' | 'machine' | 'headZMm'>;

/** Whether rows are too far apart to be seen as one area, so that their lines are what is told. */
export const areLines = ({ use, machine, headZMm = 0 }: Laid): boolean =>
  use.kind === 'rows' && areLinesApart(machine.spot, rowsOf(use), headZMm);

/** What is said of these; nothing of all else. */
export const ofLinesWords = (laid: Laid): string => (areLines(laid) ? OF_LINES : '');

/** `, 2 mm out of focus`, where the head's height makes the spot wider than in focus; else nothing. */
function outOfFocusWords({ machine: { spot }, headZMm = 0 }: Work): string {
  if (defocus(spot, headZMm) < OUT_OF_FOCUS) return '';
  return `, ${numberWords(Math.abs(headZMm - spot.focus_z_mm), 2)} mm out of focus`;
}

/** An operation and what becomes of the wood: *3. Outline, burned …: cut through, 55 J/mm²; 3 passes would do.* */
export function pointSentence(point: ChartPoint): string {
  const { operation, work, outcome } = point;
  const setting = operationSentence(operation, work.machine).replace(/\.$/, '');
  const dose = `${numberWords(outcome.doseJPerMm2, 2)} J/mm²`;
  const faint = outcome.tone > 0 && outcome.tone < toneFrom('tan') ? ', next to nothing' : '';
  return `${operation.n}. ${setting}: ${becomesWords(point)}${faint}, ${dose}${passesWords(point)}.${slowWords(point)}`;
}

/** What becomes of it where the head hardly ever comes up to the feed; nothing where it does. */
function slowWords({ slowTimes, engraved, comesThrough, sure }: ChartPoint): string {
  if (slowTimes === null) return '';
  const isThrough = (comesThrough?.chanceThrough ?? 0) >= sure;
  const darker = isThrough || engraved.tone >= BLACK ? '' : ' and comes out darker';
  return ` But its head hardly ever comes up to that feed, so that it gets ${manyTimes(slowTimes)} that dose${darker}.`;
}

/** From this tone on more dose shows no more. */
const BLACK = toneFrom('char');

/** *cut through*, where it is for sure; *perhaps cut through, on about 6 of 10 such boards*; else its colour. */
function becomesWords({ engraved, comesThrough, isOfLines, sure }: ChartPoint): string {
  const chance = comesThrough?.chanceThrough ?? 0;
  if (chance >= sure) return 'cut through';
  if (chance < WORTH_A_WORD) return shadeRangeWords(engraved, false) + (isOfLines ? OF_LINES : '');
  return `perhaps cut through, on ${boardsWords(chance)}`;
}

/** Chances below this are none to speak of. */
const WORTH_A_WORD = 0.05;

/** How many passes would do, or would have to be, where somebody cuts. */
function passesWords({ operation: { kind, passes }, comesThrough, sure }: ChartPoint): string {
  const enough = comesThrough?.passesForSure ?? null;
  if (kind === 'rows' || enough === null || enough === passes) return '';
  const isSure = comesThrough!.chanceThrough >= sure;
  if (isSure) return `; ${enough === 1 ? 'one pass' : `${enough} passes`} would do`;
  return passes > 1 || comesThrough!.chanceThrough >= WORTH_A_WORD
    ? `; ${enough} passes cut through on ${partWords(sure)} such boards`
    : '';
}

const regionWords = ({ region }: { readonly region: Region }): string =>
  region === 'cut' ? 'cut through' : region;

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
