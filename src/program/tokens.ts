/** A letter with the number behind it, as they stand in a line whose comments are blanked out. */
export interface Token {
  /** In capitals. */
  readonly letter: string;
  readonly at: number;
  /** The place behind the last digit; behind the letter where there is no number. */
  readonly end: number;
  /** Sign, digits, point and exponent, blanks taken out; empty where the letter stands alone. */
  readonly number: string;
  readonly blankInside: boolean;
  readonly exponent: boolean;
}

/** Directly behind a number. `E5` in capitals and without a sign may as well be a word of its own. */
export const EXPONENT = /(?:[eE][-+]|e)\d{1,3}(?![\d.])/y;

/** The token whose letter stands at `at`. */
export function tokenAt(code: string, at: number): Token {
  let number = '';
  let end = at + 1;
  let blankInside = false;
  for (let i = at + 1; i < code.length; i++) {
    const character = code[i]!;
    if (character === ' ' || character === '\t') continue;
    if (!/[\d+\-.]/.test(character)) break;
    if (number !== '' && i > end) blankInside = true;
    number += character;
    end = i + 1;
  }
  EXPONENT.lastIndex = end;
  const exponent = /\d/.test(number) ? EXPONENT.exec(code)?.[0] : undefined;
  if (exponent !== undefined) {
    number += exponent;
    end += exponent.length;
  }
  return {
    letter: code[at]!.toUpperCase(),
    at,
    end,
    number,
    blankInside,
    exponent: exponent !== undefined,
  };
}

/** A number with an exponent in plain digits of the same value: `1.2e-3` is `0.0012`. */
export function plainDigits(number: string): string {
  const [, sign, whole, part = '', exponent] = /^([-+]?)(\d*)\.?(\d*)e([-+]?\d+)$/i.exec(number)!;
  const point = whole!.length + Number(exponent);
  const digits = `${'0'.repeat(Math.max(0, -point))}${whole}${part}`.padEnd(Math.max(0, point), '0');
  const at = Math.max(0, point);
  return `${sign}${digits.slice(0, at) || '0'}.${digits.slice(at) || '0'}`;
}
