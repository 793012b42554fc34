import { InputError } from '../../errors.ts';
import { takeCorners, takeStepsPerMinute } from './corners.ts';
import { AXIS_NAMES, type Draft } from './draft.ts';
import type { LetteredLine } from './lines.ts';
import { takeAcceleration, takePathAcceleration, takeSpeed } from './speeds.ts';
import type { Surroundings } from './surroundings.ts';
import { leave, numberBehind, rounded, tell, wordsOf } from './words.ts';

type Take = (draft: Draft, listed: LetteredLine, mmPerUnit: number, around: Surroundings) => void;

/**
 * Settings as M words, with the meanings and units that are common practice among open-source controllers of this
 * family. The traps: M201, M204 and M205 are per second, M566 per minute, M203 either.
 * @param mmPerUnit 25.4 behind a G20, else 1
 */
export const takeLettered: Take = (draft, listed, mmPerUnit, around) => {
  const take = TAKEN[listed.word];
  if (take) take(draft, listed, mmPerUnit, around);
  else leave(draft, listed, UNUSED[listed.word] ?? 'not known here');
};

/** M208: where the axes end (with S1: where they begin); some dialects write both, as `X0:200`. */
function takeTravel(draft: Draft, listed: LetteredLine, mmPerUnit: number): void {
  const words = wordsOf(draft, listed, 'XYS');
  if (words.X === undefined && words.Y === undefined) leave(draft, listed, 'nothing in it concerns x or y');
  const isStart = words.S !== undefined && Number(words.S) === 1;
  for (const [axis, name] of AXIS_NAMES.slice(0, 2).entries()) {
    const letter = name.toUpperCase();
    const ends = words[letter]?.split(':') ?? [];
    if (ends.length > 2) {
      throw new InputError(
        `found ${letter}${words[letter]!.slice(0, 24)} in M208; expected one place or two`,
        listed,
      );
    }
    const places = ends.map(
      (place) => numberBehind({ [letter]: place }, listed, letter, 'a place in mm', [-1e5, 1e5], mmPerUnit)!,
    );
    const start = places.length === 2 ? places[0] : isStart ? places[0] : undefined;
    const end = places.length === 2 ? places[1] : isStart ? undefined : places[0];
    if (start !== undefined) draft.axisStartMm[axis] = start;
    if (end !== undefined) draft.axisEndMm[axis] = end;
    const parts = [
      start === undefined ? '' : `begins at ${rounded(start)} mm`,
      end === undefined ? '' : `ends at ${rounded(end)} mm`,
    ].filter((part) => part !== '');
    if (parts.length > 0) tell(draft, listed, `the bed along ${name} ${parts.join(' and ')}`);
  }
}

const TAKEN: Readonly<Record<string, Take>> = {
  M201: takeAcceleration,
  M203: takeSpeed,
  M204: takePathAcceleration,
  M205: takeCorners,
  M208: takeTravel,
  M566: takeStepsPerMinute,
};

/** M words that change nothing in a forecast. */
const UNUSED: Readonly<Record<string, string>> = {
  M92: 'steps for a millimetre; the forecast does not need them',
  M149: 'the unit of temperature; it does not concern a laser',
  M200: 'filament; it does not concern a laser',
  M206: 'it shifts the origin of the machine; the forecast takes the job’s own coordinates',
  M301: 'a heater; it does not concern a laser',
  M304: 'a heater; it does not concern a laser',
  M420: 'levelling of the bed; the forecast takes it as flat',
  M500: 'it saves the settings',
  M501: 'it loads the settings',
  M503: 'it asks for the settings',
  M665: 'the geometry of another kind of machine; Charcast knows gantries',
  M666: 'it trims the switches; the forecast does not need it',
  M851: 'where the probe is; the forecast does not need it',
  M900: 'filament; it does not concern a laser',
  M906: 'motor currents; the forecast does not need them',
};
