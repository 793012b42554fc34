import type { MoveBuilder, StopBuilder } from './moves.ts';
import { unsimulatedM } from './names.ts';
import { leaveOut, type Notes, understand } from './notes.ts';
import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL } from './program.ts';

/**
 * Which words switch the beam: M3, M4 and M5 with S; or M106 S… and M107, on machines whose beam hangs on an
 * output pin; or `auto`: M106 if the file has no M3 and no M4.
 */
export type PowerWords = 'auto' | 'M3' | 'M106';

export type PinWord = 'M106' | 'M107';

/**
 * The beam as commanded. `mode` and `level` are what moves and stops get. M3/M4 and M106 are followed side by
 * side, since a file read as a stream tells only at its end whether it has an M3.
 */
export interface Power {
  readonly words: PowerWords;
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
const PIN_FULL = 255;
const MOST_PIN_LINES = 20;

export const createPower = (words: PowerWords): Power => ({
  words,
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

/** M3 (constant power), M4 (proportional power) or M5 (off). */
export function spindleWord(
  power: Power,
  code: number,
  line: number,
  moves: MoveBuilder,
  stops: StopBuilder,
): void {
  power.spindleMode = code === 3 ? POWER_CONSTANT : code === 4 ? POWER_PROPORTIONAL : POWER_OFF;
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

/** At the end of the file: says how M106 and loose S words were understood. */
export function tellPower(power: Power, notes: Notes): void {
  if (followsPin(power)) {
    const why = power.words === 'M106' ? 'as the machine profile says' : 'since the file has no M3 and no M4';
    if (power.pinCount.M106 > 0) {
      understand(
        notes,
        power.pinLines.M106[0]!,
        'pin power',
        `M106 S… and M107 were read as beam power, ${why}: constant power, S from 0 to ${PIN_FULL} (s_max must be ${PIN_FULL}). A beam on such an output also stays on in rapids unless the file switches it off (fires_on_rapids).`,
      );
    }
    return;
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
