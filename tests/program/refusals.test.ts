import { describe, expect, test } from 'vitest';
import { lacksOnlyFeed } from '../../src/errors.ts';
import { lastEnd, read, readLines, refusal } from './reading.ts';

/**
 * Errors that make a forecast meaningless stop with the line and one plain sentence. Rules and message numbers
 * in comments: NISTIR 6556 by section, and the error list of its interpreter as a public port prints it.
 */

describe('a block that is refused names its line', () => {
  test.each([
    // Numbers (§3.3.2.1; bad number format, 14).
    ['X0,5', /(?:^|: )found a comma; expected a point as the decimal sign, as in X0\.5$/],
    ['X1.2.3', /(?:^|: )found X1\.2\.3; expected one number with at most one sign and one point$/],
    ['X--1', /(?:^|: )found X--1; expected one number/],
    ['X1-2', /(?:^|: )found X1-2; expected one number/],
    ['X+', /(?:^|: )found X\+; expected one number/],
    ['X.', /(?:^|: )found X\.; expected one number/],
    ['X', /(?:^|: )found X without a number; expected one, as in X10$/],
    ['G', /(?:^|: )found G without a number/],
    ['G1 X Y5', /(?:^|: )found X without a number/],
    ['G1 X10 Yfoo F600', /(?:^|: )found “Yfoo”; expected a number behind the Y, as in Y10$/],
    // An exponent or a word of its own; the letter for the digit.
    [
      'X1E3',
      /(?:^|: )found “…1E3”, which may be an exponent or an E word; expected plain digits, as in 0\.001, or a blank/,
    ],
    ['X1e3.5', /(?:^|: )found “…1e3\.5”, which may be an exponent or an E word/],
    ['X1e-3000', /(?:^|: )found “…1e-3000”, which may be/],
    ['X1e300', /(?:^|: )found X1e300; expected a number of a size that fits a machine$/],
    [
      'G1 X1O5',
      /(?:^|: )found the letter O behind a number \(“…1O5”\); expected the digit 0, or a blank between$/,
    ],
    ['g1 x1.o', /(?:^|: )found the letter O behind a number/],
    ['GO X5', /(?:^|: )found “GO”; expected a number behind the G/],
    [
      'X99999999999999999999',
      /(?:^|: )found X99999999999999999999; expected a number of a size that fits a machine$/,
    ],
    [`S${'9'.repeat(400)}`, /(?:^|: )found S9{24}…; expected a number of a size that fits a machine$/],
    // Characters (bad character, 12).
    ['5 G0', /(?:^|: )found “5” with no letter before it; expected a word such as X10$/],
    ['G1 (x) .5', /(?:^|: )found a comment inside a number; expected it between words$/],
    ['X1 & Y2', /(?:^|: )found “&” \(U\+0026\); expected G-code words such as X10$/],
    ['X\u22121', /(?:^|: )found “\u2212” \(U\+2212\); expected G-code words/],
    // The same sign as UTF-8, a byte for a character: told as the sign it is.
    ['X\u00e2\u0088\u00921', /(?:^|: )found “\u2212” \(U\+2212\); expected G-code words/],
    ['X1\u00a0Y2', /(?:^|: )found “\u00a0” \(U\+00A0\)/],
    ['X1 %', /(?:^|: )found “%” \(U\+0025\)/],
    ['X1 $H', /(?:^|: )found “\$” \(U\+0024\)/],
    ['=X1', /(?:^|: )found “=” \(U\+003D\)/],
    // Repeats (§3.3.5; two codes of one group, 168 and 169).
    ['X1'.repeat(101), /(?:^|: )found more than 100 words on one line; expected a few$/],
    ['G0 G1 X1', /(?:^|: )found two motion words on one line \(G0 and G1\); expected at most one$/],
    ['G1 X1 G2', /(?:^|: )found two motion words on one line \(G1 and G2\)/],
    ['G1 G80', /(?:^|: )found two motion words on one line \(G1 and G80\)/],
    ['G1 G81 X1', /(?:^|: )found two motion words on one line \(G1 and G81\)/],
    ['G20 G21', /(?:^|: )found two words for inches or millimetres on one line \(G20 and G21\)/],
    ['G90 G91', /(?:^|: )found two words for absolute or incremental coordinates/],
    ['G17 G18', /(?:^|: )found two words for the plane/],
    ['G28 G92 X0', /(?:^|: )found two words of the non-modal group on one line \(G28 and G92\)/],
    ['M3 M5', /(?:^|: )found two beam words \(M3, M4, M5\) on one line \(M3 and M5\)/],
    ['M8 M9', /(?:^|: )found two air assist words/],
    ['M0 M30', /(?:^|: )found two words that stop the program/],
    ['G1'.repeat(17), /(?:^|: )found more than 16 G words/],
    ['M3'.repeat(17), /(?:^|: )found more than 16 M words/],
    // Codes (negative or out of range, 84, 100, 124, 127).
    ['G-1 X1', /(?:^|: )found G-1; expected a code such as G1$/],
    ['M-3', /(?:^|: )found M-3; expected a code such as M1$/],
    ['G1.55 X1', /(?:^|: )found G1\.55; expected a code/],
    ['G100000', /(?:^|: )found G100000; expected a code/],
    ['N-5 G0', /(?:^|: )found the line number -5; expected one without a minus$/],
    // Feed and power (zero feed, 41; negative feed, 123; negative speed, 130).
    [
      'G1 X1',
      /(?:^|: )found a feed move \(G1\) with no feed; expected F above 0 on this line or before it, or --feed MM_PER_MIN to give one$/,
    ],
    ['F0 G1 X1', /(?:^|: )found a feed move \(G1\) with no feed/],
    ['F0.009', /(?:^|: )found F0\.009; expected at least 0\.01 mm\/min$/],
    [`F0.${'0'.repeat(43)}1`, /(?:^|: )found F1e-44; expected at least 0\.01 mm\/min$/],
    ['F-100', /(?:^|: )found F-100; expected a feed of 0 or more$/],
    ['S-1', /(?:^|: )found S-1; expected a power of 0 or more$/],
    ['M106 S-1', /(?:^|: )found S-1; expected a power of 0 or more$/],
    // Inverse time is refused (§3.5.19), and feed per revolution.
    ['G93', /(?:^|: )found G93; expected feeds in length per minute \(G94\)/],
    ['G95', /(?:^|: )found G95; expected feeds in length per minute/],
    // Axis words that two codes claim (63), or none (G92: 5).
    [
      'G1 G92 X1 F9',
      /(?:^|: )found G1 and G92 on one line, which both need its axis words; expected one of them$/,
    ],
    ['G0 G28 X1', /(?:^|: )found G0 and G28 on one line/],
    ['G92', /(?:^|: )found G92 without axis words; expected some, as in G92 X0 Y0$/],
    // Centres and radii without an arc (radius with no user, 151).
    ['G1 X1 I5 F9', /(?:^|: )found I without an arc; expected G2 or G3 with it$/],
    ['G0 X1 R5', /(?:^|: )found R without an arc/],
    ['J1 K2', /(?:^|: )found J and K without an arc/],
    // G53 (120 and 61).
    ['G53 G80', /(?:^|: )found G53 without G0 or G1 in force/],
    ['G91 G53 G0 X1', /(?:^|: )found G53 while G91 is in force; expected absolute coordinates \(G90\)$/],
    // G4 (negative, 129; missing, 72).
    ['G4', /(?:^|: )found G4 without a time; expected P, as in G4 P0\.5$/],
    ['G4 F2', /(?:^|: )found G4 without a time/],
    ['M3 S500 G4', /(?:^|: )found G4 without a time/],
    ['G4 P-1', /(?:^|: )found G4 P-1; expected a time from 0 to a day$/],
    ['G4 P1000000', /(?:^|: )found G4 P1000000; expected a time from 0 to a day$/],
    // Checksums.
    ['N1 G28*19', /(?:^|: )found the checksum 19; expected 18 for this line$/],
    ['N1 G28*', /(?:^|: )found “\*” without a checksum; expected a whole number at the end of the line$/],
    ['N1 G28*18 X1', /(?:^|: )found “\*” without a checksum/],
    ['N1 G28*-18', /(?:^|: )found “\*” without a checksum/],
  ])('%s', (block, message) => {
    const error = refusal(`G21\n\n${block}\nG0 X1\n`);
    expect(error.sentence).toMatch(message);
    expect(error.line).toBe(3);
  });
});

describe('slips of unit and size', () => {
  test.each([
    [
      'G0 X100001',
      /(?:^|: )found the coordinate X = 100001 mm; expected no more than 100 m from the origin$/,
    ],
    ['G20 G0 Y-4000', /(?:^|: )found the coordinate Y = -101600 mm/],
    ['G0 X1' + '0'.repeat(14), /(?:^|: )found the coordinate X = 100000000000000 mm/],
    ['G92 X-200000', /(?:^|: )found the coordinate X = 200000 mm/],
    ['F9 G2 X199998 I99999', /(?:^|: )found the coordinate X = 199998 mm/],
    ['F9 G3 I60000 J60000', /(?:^|: )found the coordinate X = 1\d+(\.\d+)? mm/],
  ])('%s is refused', (block, message) => {
    expect(refusal(block)).toMatchObject({ line: 1, message: expect.stringMatching(message) });
  });

  test('100 m itself is allowed, and steps that add up to more are not', () => {
    expect(lastEnd(read('G0 X100000 Y-100000'))).toEqual([100000, -100000, 0]);
    expect(refusal('G91\nG0 X60000\nX60000').line).toBe(3);
  });

  test('a feed of any size is held as it is: the machine decides', () => {
    expect(read('G1 X1 F999999999').moves.feedMmPerS[0]).toBeCloseTo(999999999 / 60, 3);
  });
});

describe('a job without moves', () => {
  test.each([
    [
      '; nothing but words',
      /(?:^|: )found no moves; expected at least one line that moves the head, as G1 X10 F600$/,
    ],
    ['M3 S100\nM5', /(?:^|: )found no moves;/],
    ['G0 X0 Y0', /(?:^|: )found no moves;/],
    [
      'G1 X[1+2] F600',
      /(?:^|: )found no moves \(\[…\] on line 1 is not simulated: expressions are not worked out/,
    ],
    [
      'G81 X1 Y1 Z-1 R1',
      /(?:^|: )found no moves \(G81 on line 1 is not simulated: drilling and other canned cycles/,
    ],
  ])('%j is refused', (text, message) => {
    expect(refusal(text).sentence).toMatch(message);
  });
});

describe('a refusal names up to five problems of the file', () => {
  const told = (text: string, options = {}): string[] => String(refusal(text, options)).split('\n');

  test('each kind once, in the order of the lines', () => {
    expect(told('G0 X1\nX\nX1,5\nX\nF-1\nG0 X1')).toEqual([
      'line 2: found X without a number; expected one, as in X10 (and so on further lines)',
      'line 3: found a comma; expected a point as the decimal sign, as in X0.5',
      'line 5: found F-1; expected a feed of 0 or more',
    ]);
  });

  test('five at most', () => {
    expect(told('X\nX0,5\nF-1\nS-1\nG4\nG93\nG53 G80').length).toBe(5);
  });

  test('what may come of an earlier problem alone is not told', () => {
    // The F and the place are on the lines that cannot be read.
    expect(told('F600,0\nX1,5\nG1 X2\nG2 X9 I1')).toEqual([
      'line 1: found a comma; expected a point as the decimal sign, as in X0.5 (and so on further lines)',
    ]);
  });

  test('but arcs, places and feeds that are wrong by themselves are', () => {
    expect(told('G0 X1\nG1 X2\nG2 X9 I1 F60\nG0 X200000\nX5 Y&').map((each) => each.slice(0, 40))).toEqual(
      [
        'line 2: found a feed move (G1) with no fe',
        'line 3: found an arc that starts 1 mm fro',
        'line 4: found the coordinate X = 200000 m',
        'line 5: found “&” (U+0026); expected G-cod',
      ].map((each) => each.slice(0, 40)),
    );
  });

  test('each names the file', () => {
    expect(String(refusal('X\nX0,5').from('leaf.nc')).split('\n')).toEqual([
      'leaf.nc, line 1: found X without a number; expected one, as in X10',
      'leaf.nc, line 2: found a comma; expected a point as the decimal sign, as in X0.5',
    ]);
  });

  test('whether a feed is all that is missing', () => {
    expect(lacksOnlyFeed(refusal('G1 X1\nF0 G1 X2'))).toBe(true);
    expect(lacksOnlyFeed(refusal('G1 X1\nX0,5'))).toBe(false);
    expect(lacksOnlyFeed(refusal('X0,5'))).toBe(false);
    expect(lacksOnlyFeed(new Error('no feed'))).toBe(false);
  });
});

test('the caller’s own slip is no error of the bench', () => {
  for (const arcToleranceMm of [0, -1, Number.NaN]) {
    expect(() => read('G0 X1', { arcToleranceMm })).toThrow(
      RangeError(`invalid arcToleranceMm: ${arcToleranceMm}; expected > 0`),
    );
  }
});

test('blocks without motion set the mode and move nothing (stricter readers refuse them, §3.5.2)', () => {
  expect(readLines('G1', 'G1 F600', 'X5', 'G2').moves.count).toBe(1);
});
