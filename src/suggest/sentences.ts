import type { Region } from '../burn/speed-power.ts';
import { ofLinesWords, rowsWords } from '../chart/notes.ts';
import type { Machine } from '../machine/profile.ts';
import { boardsWords, depthSpanWords, shadeRangeWords } from '../sure/words.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { feedWords, numberWords, percentWords, timesWords, timeWords } from '../words.ts';
import type { Proposal, Suggestion } from './proposal.ts';
import { LINE_MM } from './trade.ts';
import { wantWords } from './want.ts';

/** A proposal as sentences: a heading, then for each suggestion what to set, what comes of it, how sure it is. */
interface ProposalSentences {
  readonly heading: string;
  readonly suggestions: readonly (readonly string[])[];
}

export const sentencesOf = (proposal: Proposal): ProposalSentences => {
  const thickness = proposal.thicknessMm === null ? '' : `, ${numberWords(proposal.thicknessMm)} mm`;
  return {
    heading: `To get ${wantWords(proposal.want)} on ${proposal.material.name}${thickness}, with ${proposal.machine.name}`,
    suggestions: proposal.suggestions.map((each) => [
      settingSentence(each),
      outcomeSentence(each, proposal.machine),
      ...marginSentences(each),
    ]),
  };
};

/** *Rows 0.1 mm apart, burned at 5200 mm/min with 100 % power (S1000), proportional.* */
function settingSentence({ use, speedMmPerS, power, powerMode, s, passes }: Suggestion): string {
  const name = use.kind === 'rows' ? rowsWords(use) : 'Line';
  const times = passes === 1 ? '' : ` ${timesWords(passes)}`;
  return `${name}, burned${times} at ${feedWords(speedMmPerS)} with ${percentWords(power)} power (S${numberWords(s, 6)}), ${powerMode}.`;
}

/** Tones are named as in every forecast, and between which ones it lies, by the range that is told. */
function outcomeSentence({ use, outcome, engraved, timeS, runUpMm }: Suggestion, machine: Machine): string {
  const { region, tone, doseJPerMm2, depthMm } = outcome;
  const { toneLow, toneHigh, depthLowMm, depthHighMm } = engraved;
  const dose = `${numberWords(doseJPerMm2, 2)} J/mm²`;
  const deep =
    depthHighMm >= 0.005 ? `, ${depthSpanWords({ depthMm, depthLowMm, depthHighMm }, 'mm deep')}` : '';
  const [low, here, high] = [toneLow, tone, toneHigh].map((each) => percentWords(round2(each)));
  const span = low === high ? '' : ` (${low!.replace(' %', '')} to ${high} on nine such boards of ten)`;
  const comes =
    region === 'cut'
      ? `Cut through, ${dose}`
      : `Comes out ${shadeRangeWords(engraved, false)}${ofLinesWords({ use, machine })}; tone ${here}${span}, ${dose}${deep}`;
  const time =
    use.kind === 'line'
      ? `${timeWords(timeS)} for each ${LINE_MM} mm`
      : `${timeWords(timeS)} for each cm² in rows so long, turning ${numberWords(tenthUp(runUpMm))} mm beyond their ends`;
  return `${comes}; ${time}.`;
}

function marginSentences(suggestion: Suggestion): string[] {
  const { outcome, lighter, darker, speedMmPerS, uncertainty, chanceThrough } = suggestion;
  const known =
    uncertainty === null
      ? ''
      : `what is known of this wood and machine leaves ±${Math.round(uncertainty * 100)} %`;
  if (chanceThrough !== null) {
    const comes = `It comes through on ${boardsWords(chanceThrough)}.`;
    const weaker = lighter.power === null ? null : `with only ${powerWords(lighter.power, Math.round)}`;
    if (lighter.speedMmPerS === null)
      return [weaker === null ? comes : `${comes} ${capital(weaker)} only every other one would.`];
    const kept = percentWords(round2(1 - speedMmPerS / lighter.speedMmPerS));
    const limit = either(`at ${limitWords(lighter.speedMmPerS, Math.round)}`, weaker);
    return [
      `${comes} ${capital(limit)} only every other one would: being ${kept} slower leaves room for what is not known.`,
    ];
  }
  const places: string[] = [];
  if (darker) {
    const { region, speedMmPerS: speed, power } = darker;
    const slower = speed === null ? null : `from ${limitWords(speed, Math.floor)} down`;
    const stronger = power === null ? null : `from ${powerWords(power, Math.ceil)} up`;
    places.push(`${regionWords(region)} ${either(slower, stronger)}`);
  }
  if (outcome.region !== 'no mark') {
    const { region, speedMmPerS: speed, power } = lighter;
    const faster = speed === null ? null : `beyond ${limitWords(speed, Math.ceil)}`;
    const weaker = power === null ? null : `below ${powerWords(power, Math.floor)}`;
    if (faster ?? weaker) places.push(`${regionWords(region)} ${either(faster, weaker)}`);
  }
  return [
    ...(places.length > 0 ? [`${capital(places.join(', '))}.`] : []),
    ...(known ? [`${capital(known)} in speed.`] : []),
  ];
}

/** *from 2090 mm/min down (or from 27 % power up)*, or the one of them that the machine has. */
const either = (speed: string | null, power: string | null): string =>
  speed === null ? power! : power === null ? speed : `${speed} (or ${power})`;

/** Whole per cents, below ten tenths, rounded into the region that is told, lest it begin at what was set. */
function powerWords(power: number, round: (x: number) => number): string {
  const step = power < 0.1 ? 0.001 : 0.01;
  return `${percentWords(rounded(power / step, round) * step)} power`;
}

/** Three digits are as many as a limit is worth; rounded likewise. */
function limitWords(mmPerS: number, round: (x: number) => number): string {
  const mmPerMin = mmPerSToMmPerMin(mmPerS);
  const step = 10 ** (Math.floor(Math.log10(mmPerMin)) - 2);
  return `${numberWords(rounded(mmPerMin / step, round) * step, 6)} mm/min`;
}

/** What is whole but for how numbers are kept is whole. */
function rounded(value: number, round: (x: number) => number): number {
  const whole = Math.round(value);
  return Math.abs(value - whole) < 1e-9 ? whole : round(value);
}

const regionWords = (region: Region): string =>
  region === 'no mark' ? 'unmarked' : region === 'cut' ? 'cut through' : region;

const round2 = (fraction: number): number => Math.round(fraction * 100) / 100;
const tenthUp = (mm: number): number => Math.ceil(mm * 10 - 1e-9) / 10;
const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
