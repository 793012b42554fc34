import type { MoveBuilder, StopBuilder } from './moves.ts';
import { unsimulatedM } from './names.ts';
import { leaveOut, type Notes, understand } from './notes.ts';
import { type Operation, POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL, type PowerMode } from './program.ts';

/**
 * Which words switch the beam: M3, M4 and M5 with S; or M106 S… and M107, on machines whose beam hangs on an
 * output pin; or `auto`: M106 if the file has no M3 and no M4.
 */
export type PowerWords = 'auto' | 'M3' | 'M106';

type PinWord = 'M106' | 'M107';

/**
 * The beam as commanded. `mode` and `level` are what moves and stops get. M3/M4 and M106 are followed side by
 * side, since a file read as a stream tells only at its end whether it has an M3.
 */
export interface Power {
  readonly words: PowerWords;
  /** What M4 means: POWER_PROPORTIONAL, or POWER_CONSTANT where the controller has no such mode. */
  readonly m4Mode: number;
  /** Line of the first M4. */
  m4Line: number;
  mode: number;
  level: number;
  /** The line that last switched the beam on. */
  onLine: number;

  spindleMode: number;
  spindleS: number;
  spindleSeen: boolean;
  /** Line of the first S that came with neither M3, M4 nor M106 before it. */
  looseSLine: number;

  pinS: number;
  readonly pinCount: Record<PinWord, number>;
  /** The first lines they stand on. */
  readonly pinLines: Record<PinWord, number[]>;
}

/** M106 counts from 0 to 255, and means all of it when it has no S (common practice among printer dialects). */
export const PIN_FULL = 255;
const MOST_PIN_LINES = 20;

export const createPower = (words: PowerWords, m4Power: PowerMode): Power => ({
  words,
  m4Mode: m4Power === 'constant' ? POWER_CONSTANT : POWER_PROPORTIONAL,
  m4Line: 0,
  mode: POWER_OFF,
  level: 0,
  onLine: 0,
  spindleMode: POWER_OFF,
  spindleS: 0,
  spindleSeen: false,
  looseSLine: 0,
  pinS: 0,
  pinCount: { M106: 0, M107: 0 },
  pinLines: { M106: [], M107: [] },
});

const followsPin = (power: Power): boolean =>
  power.words === 'M106' || (power.words === 'auto' && !power.spindleSeen && power.pinCount.M106 > 0);

/** An S word, wherever it stands. */
export function setS(power: Power, s: number, line: number): void {
  power.spindleS = s;
  if (!power.spindleSeen && power.looseSLine === 0 && s > 0) power.looseSLine = line;
  refresh(power);
}

/** M3 (constant power), M4 (proportional power, if the controller has it) or M5 (off). */
export function spindleWord(
  power: Power,
  code: number,
  line: number,
  moves: MoveBuilder,
  stops: StopBuilder,
): void {
  power.spindleMode = code === 3 ? POWER_CONSTANT : code === 4 ? power.m4Mode : POWER_OFF;
  if (code === 4 && power.m4Line === 0) power.m4Line = line;
  if (code !== 5) {
    if (!power.spindleSeen && power.words === 'auto' && power.pinCount.M106 > 0) forgetPin(moves, stops);
    power.spindleSeen = true;
    if (!followsPin(power)) power.onLine = line;
  }
  refresh(power);
}

/** M106 (S given or undefined) or M107. */
export function pinWord(power: Power, word: PinWord, s: number | undefined, line: number): void {
  power.pinCount[word]++;
  if (power.pinLines[word].length < MOST_PIN_LINES) power.pinLines[word].push(line);
  power.pinS = word === 'M107' ? 0 : (s ?? PIN_FULL);
  if (followsPin(power) && power.pinS > 0) power.onLine = line;
  refresh(power);
}

/** Sets the beam off for good, as M2 and M30 do. */
export function endPower(power: Power): void {
  power.spindleMode = POWER_OFF;
  power.pinS = 0;
  refresh(power);
}

/**
 * At the end of the file: says how M106, M4 without proportional power and loose S words were understood.
 * @param sMax the S of full power, if known
 */
export function tellPower(power: Power, notes: Notes, sMax: number | undefined): void {
  if (followsPin(power)) {
    const why = power.words === 'M106' ? 'as the machine profile says' : 'since the file has no M3 and no M4';
    if (power.pinCount.M106 > 0) {
      understand(
        notes,
        power.pinLines.M106[0]!,
        'pin power',
        `M106 S… and M107 were read as beam power, ${why}: constant power, S from 0 to ${PIN_FULL}${pinScale(sMax)}. A beam on such an output also stays on in rapids unless the file switches it off (fires_on_rapids).`,
      );
    }
    return;
  }
  if (power.m4Line > 0 && power.m4Mode === POWER_CONSTANT) {
    understand(
      notes,
      power.m4Line,
      'M4',
      'M4 was read as constant power, like M3 (m4_power of the machine profile).',
    );
  }
  for (const word of ['M106', 'M107'] as const) {
    const told = unsimulatedM(word === 'M106' ? 106 : 107, false);
    const lines = power.pinLines[word];
    for (const line of lines) leaveOut(notes, line, word, told);
    const further = power.pinCount[word] - lines.length;
    if (further > 0) leaveOut(notes, lines.at(-1)!, word, told, further);
  }
  if (power.looseSLine > 0 && !power.spindleSeen) {
    understand(
      notes,
      power.looseSLine,
      'S without M3',
      'The file sets S but never switches the beam on with M3 or M4, so nothing burns.',
    );
  }
}

/** Whether the profile's scale is the one M106 counts on. */
function pinScale(sMax: number | undefined): string {
  if (sMax === undefined) return ` (s_max must be ${PIN_FULL})`;
  if (sMax === PIN_FULL) return '';
  if (sMax < PIN_FULL) {
    return `, but s_max of the machine profile is ${sMax}, so that S${sMax} is full power already: s_max must be ${PIN_FULL}`;
  }
  return `, but s_max of the machine profile is ${sMax}, so that S${PIN_FULL} burns with ${share(sMax)} of full power: s_max must be ${PIN_FULL}`;
}

const share = (sMax: number): string => `${Number(((100 * PIN_FULL) / sMax).toPrecision(3))} %`;

/** The topic of a job that was likely made for another scale. */
export const S_SCALE = 'S scale';

/** A job whose greatest S is 255 was likely made for that scale. */
export function tellScale(operations: readonly Operation[], notes: Notes, sMax: number): void {
  if (sMax <= PIN_FULL || notes.understood.has('pin power')) return;
  const most = operations.reduce((greatest, { sMax: s }) => Math.max(greatest, s), 0);
  const first = operations.find(({ sMax: s }) => s === most);
  if (most !== PIN_FULL || first === undefined) return;
  understand(
    notes,
    first.lines[0],
    S_SCALE,
    `The greatest S of the job is ${PIN_FULL}, which many controllers count as full power; s_max of the machine profile is ${sMax}, so it was read as ${share(sMax)}.`,
  );
}

function refresh(power: Power): void {
  if (followsPin(power)) {
    power.mode = power.pinS > 0 ? POWER_CONSTANT : POWER_OFF;
    power.level = power.pinS;
  } else {
    power.mode = power.spindleMode;
    power.level = power.spindleS;
  }
}

/** An M3 or M4 after M106: so M106 was a fan after all, and nothing before it burned. */
function forgetPin(moves: MoveBuilder, stops: StopBuilder): void {
  for (const made of [moves, stops]) {
    made.powerMode.fill(POWER_OFF, 0, made.count);
    made.s.fill(0, 0, made.count);
  }
}
