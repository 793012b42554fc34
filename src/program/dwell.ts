import { InputError } from '../errors.ts';
import { type Block, bits, letterIndex } from './block.ts';
import { understand } from './notes.ts';
import type { State } from './state.ts';

/** A rest of G4, and the letters of the block that gave its time and so mean nothing else. */
interface Dwell {
  readonly seconds: number;
  readonly uses: number;
}

const LONGEST_DWELL_S = 86_400;
const SECONDS_OF: Record<State['dwellUnit'], number> = { s: 1, ms: 1e-3 };
/** The topic of a P that was read as a time. */
export const DWELL_P = 'dwell P';
const UNIT_NAME: Record<State['dwellUnit'], string> = { s: 'seconds', ms: 'milliseconds' };

/**
 * The time of G4. Dialects differ: P is seconds in RS-274 (§3.5.4) and milliseconds elsewhere, which
 * `dwellUnit` decides; by common practice S, X and U are seconds. Each reading is told once.
 * @param sIsPower the block holds a beam word, so its S is the beam's
 * @throws {InputError} when the time is missing, negative or longer than a day.
 */
export function dwellOf(state: State, block: Block, sIsPower: boolean): Dwell {
  const { has } = block;
  const given = (letter: string): number => block.value[letterIndex(letter)]!;
  const tell = (topic: string, text: string) => understand(state.notes, block.line, topic, text);
  const both = has & bits('P') && has & bits('S') && !sIsPower;
  let letter: 'P' | 'S' | 'X' | 'U';
  if (both && state.dwellUnit === 'ms') {
    letter = 'S';
    tell('dwell P and S', 'G4 with both P and S: S was read as the time, in seconds, and P was left out.');
  } else if (has & bits('P')) {
    letter = 'P';
    if (given('P') !== 0) {
      tell(
        DWELL_P,
        `The P of G4 was read in ${UNIT_NAME[state.dwellUnit]} (dwell_unit of the machine profile).`,
      );
    }
    if (both) tell('dwell P and S', 'G4 with both P and S: P was read as the time and S as beam power.');
  } else if (has & bits('S') && !sIsPower) {
    letter = 'S';
    tell('dwell S', 'The S of G4 was read as its time in seconds, not as beam power.');
  } else if (has & bits('XU')) {
    letter = has & bits('X') ? 'X' : 'U';
    tell(`dwell ${letter}`, `The ${letter} of G4 was read as its time in seconds, not as a move.`);
  } else {
    throw new InputError('found G4 without a time; expected P, as in G4 P0.5', block);
  }

  const seconds = given(letter) * (letter === 'P' ? SECONDS_OF[state.dwellUnit] : 1);
  if (!(seconds >= 0 && seconds <= LONGEST_DWELL_S)) {
    throw new InputError(`found G4 ${letter}${given(letter)}; expected a time from 0 to a day`, block);
  }
  return { seconds, uses: bits(letter) | (letter === 'S' ? bits('P') : 0) };
}
