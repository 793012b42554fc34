import type { Machine } from './machine/profile.ts';
import type { Operation } from './program/program.ts';
import { mmPerSToMmPerMin } from './units.ts';

/** Quantities and settings as a person at the bench would say them: trade units, no more digits than are true. */

/** `6 min 12 s`, `4.2 s`, `1 h 03 min`. */
export function timeWords(seconds: number): string {
  if (seconds < 0.05) return '0 s';
  if (seconds < 59.5) return `${seconds < 9.95 ? seconds.toFixed(1) : Math.round(seconds)} s`;
  if (seconds < 3599.5) {
    const whole = Math.round(seconds);
    return `${Math.floor(whole / 60)} min ${String(whole % 60).padStart(2, '0')} s`;
  }
  const minutes = Math.round(seconds / 60);
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** The same, of what may be over in a moment: `25 ms`, `0.3 s`. */
export const shortTimeWords = (seconds: number): string =>
  seconds < 0.1 ? `${numberWords(seconds * 1000, 2)} ms` : timeWords(seconds);

/** A number with about `digits` significant digits and no exponent: 1240, 31.5, 0.042. */
export function numberWords(value: number, digits = 3): string {
  if (value === 0) return '0';
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
  const text = value.toFixed(Math.min(decimals, 6));
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/** A length of path: `840 mm`, `12.4 m`. */
export const lengthWords = (mm: number): string =>
  mm < 1000 ? `${numberWords(mm)} mm` : `${numberWords(mm / 1000)} m`;

/** A share as `85 %`. */
export const percentWords = (fraction: number): string => `${numberWords(fraction * 100, 3)} %`;

/** From this factor on per cents are not read any more. */
export const MANY_TIMES = 5;

/** A part or a multiple of something: `85 % of the dose`, `340 % of the dose`, `2400 times the dose`. */
export const multipleWords = (factor: number, of: string): string =>
  factor < MANY_TIMES ? `${percentWords(factor)} of ${of}` : `${numberWords(factor, 2)} times ${of}`;

/** `once`, `twice`, `3 times`. */
export const timesWords = (n: number): string => (n === 1 ? 'once' : n === 2 ? 'twice' : `${n} times`);

/** Feed in the unit of the trade. */
export const feedWords = (mmPerS: number): string => `${numberWords(mmPerSToMmPerMin(mmPerS), 4)} mm/min`;

/** An operation as one sentence: *Outline, burned 3 times at 900 mm/min with 85 % power, proportional.* */
export function operationSentence(operation: Operation, machine: Machine): string {
  const { kind, passes, feedMmPerS, powerMode } = operation;
  const name = kind === 'rows' ? 'Rows' : 'Outline';
  const times = passes === 1 ? '' : ` ${timesWords(passes)}`;
  return `${name}, burned${times} at ${feedWords(feedMmPerS)} with ${powerWords(operation, machine)}, ${powerMode}.`;
}

/**
 * The power of an operation as the machine gives it: *85 % power*, *0 to 60 % power*; S beyond the scale gives full power and
 * no more, and is told: *100 % power (S5000, beyond the scale, which ends at S1000)*.
 */
function powerWords({ sMin, sMax }: Operation, { laser: { s_max: scale } }: Machine): string {
  const [least, most] = [Math.min(1, sMin / scale), Math.min(1, sMax / scale)];
  const power = least === most ? percentWords(most) : `${numberWords(least * 100)} to ${percentWords(most)}`;
  if (sMax <= scale) return `${power} power`;
  const beyond = `${sMin === sMax ? '' : 'up to '}S${numberWords(sMax, 6)}`;
  return `${power} power (${beyond}, beyond the scale, which ends at S${numberWords(scale, 6)})`;
}
