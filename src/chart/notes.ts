import { dwellNotice } from '../burn/need.ts';
import { REGIONS, toneFrom, type Work } from '../burn/speed-power.ts';
import { CUTTING_CAUTION } from '../findings/phrases.ts';
import { defocus } from '../laser/spot.ts';
import { greatestOf, leastOf } from '../lists.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { numberWords, operationSentence, percentWords } from '../words.ts';
import type { Chart, ChartPanel } from './chart.ts';
import { STEPS_UP_TO } from './curves.ts';
import type { ChartPoint } from './points.ts';
import { rowRipple } from './row-spacing.ts';

/** From this swing of dose on, as a part of the mean, rows show as stripes. */
const STRIPES_FROM = 0.25;
/** A spot this much wider than in focus is worth a word. */
const OUT_OF_FOCUS = 1.1;

/** What must be said beside a chart, in plain sentences. */
export function chartNotes({ panels, leftOut }: Chart): string[] {
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
    leftOut > 0
      ? `${leftOut} more ${leftOut === 1 ? 'operation has' : 'operations have'} other row spacings or passes and no chart here.`
      : null,
    dwellNotice(leastOf(dwells), greatestOf(dwells)),
    panels.some(showsCut) ? `Before cutting: ${lowerFirst(CUTTING_CAUTION)}` : null,
  ];
  return notes.filter((note) => note !== null);
}

/** Whether a panel has a place where the board is cut through. */
export const showsCut = ({ edges, speedsMmPerS: [from] }: ChartPanel): boolean =>
  edges.some(({ region, line }) => region === 'cut' && line.at(-1)![0] > from);

/** What the mean dose of rows hides, where they stand apart; null where they run together. */
export function stripesNote({ use, machine }: Work): string | null {
  if (use.kind === 'line') return null;
  const { most, least, peakToValley } = rowRipple(machine.spot, use.rowSpacingMm);
  if (peakToValley < STRIPES_FROM) return null;
  return (
    `Rows ${numberWords(use.rowSpacingMm)} mm apart do not run together under this spot: they show as stripes, with ` +
    `${Math.round(least * 100)} to ${Math.round(most * 100)} % of the mean dose.`
  );
}

/** A panel in words: *Rows 0.1 mm apart, at full power: cut through up to 173 mm/min, …, brown beyond.* */
export function panelSentence({ work, edges, speedsMmPerS: [, top] }: ChartPanel): string {
  const { use, passes } = work;
  const name = `${use.kind === 'rows' ? `Rows ${numberWords(use.rowSpacingMm)} mm apart` : 'Lines'}${outOfFocusWords(work)}`;
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

/** `, 2 mm out of focus`, where the head's height makes the spot wider than in focus; else nothing. */
export function outOfFocusWords({ machine: { spot }, headZMm = 0 }: Work): string {
  if (defocus(spot, headZMm) < OUT_OF_FOCUS) return '';
  return `, ${numberWords(Math.abs(headZMm - spot.focus_z_mm), 2)} mm out of focus`;
}

/** An operation and what becomes of the wood: *3. Outline, burned …: cut through, 2 passes would do.* */
export function pointSentence({ operation, work, outcome, passesToCut }: ChartPoint): string {
  const setting = operationSentence(operation, work.machine).replace(/\.$/, '');
  const dose = `${numberWords(outcome.doseJPerMm2, 2)} J/mm²`;
  const faint = outcome.tone > 0 && outcome.tone < toneFrom('tan') ? ', next to nothing' : '';
  if (operation.kind === 'rows')
    return `${operation.n}. ${setting}: ${regionWords(outcome)}${faint}, ${dose}.`;
  const passes =
    passesToCut === null || operation.passes === 1
      ? ''
      : outcome.region === 'cut'
        ? passesToCut < operation.passes
          ? `; ${passesToCut === 1 ? 'one pass' : `${passesToCut} passes`} would do`
          : ''
        : `; it takes ${numberWords(passesToCut)} passes to cut`;
  return `${operation.n}. ${setting}: ${regionWords(outcome)}${faint}, ${dose}${passes}.`;
}

const regionWords = ({ region }: Pick<ChartPoint['outcome'], 'region'>): string =>
  region === 'cut' ? 'cut through' : region;

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
