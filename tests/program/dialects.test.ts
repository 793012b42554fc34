import { describe, expect, test } from 'vitest';
import { checksumOf } from '../../src/program/checksum.ts';
import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL, type Program } from '../../src/program/program.ts';
import { ends, lastEnd, leftOut, read, readLines, understoodText } from './reading.ts';

/** Where controllers differ: what was understood and what was left out is told, never passed over. */

describe('checksums (common practice among printer dialects; not in RS-274)', () => {
  // B7: vectors published with that dialect's documentation.
  const VECTORS: [string, number][] = [
    ['N3 T0', 57],
    ['N4 G92 E0', 67],
    ['N5 G28', 22],
    ['N6 G1 F1500.0', 82],
    ['N7 G1 X2.0 Y2.0 F3000.0', 85],
    ['N8 G1 X3.0 Y3.0', 33],
    ['N1 G28', 18],
    ['N2 G28', 17],
  ];

  test.each(VECTORS)('%s has %i', (text, sum) => {
    expect(checksumOf(text)).toBe(sum);
  });

  test('lines with a true checksum are read, blanks and comments behind it allowed', () => {
    const program = read(
      `${VECTORS.map(([text, sum]) => `${text}*${sum} `).join('\n')} ; end\n  N8 G1 X3.0 Y3.0*33(x)`,
    );
    expect(leftOut(program, '*')).toBeUndefined();
    expect(lastEnd(program)).toEqual([3, 3, 0]);
  });

  test('without a line number that is told; five digits, and letters beyond ASCII, are not checked', () => {
    expect(understoodText(readLines('G0 X1*62'))).toMatch(
      /1: A checksum stands on a line without a line number/,
    );
    expect(leftOut(readLines('N1 G0 X1*12345'), '*')).toMatchObject({ count: 1, severity: 'note' });
    expect(leftOut(readLines('N1 G0 X1 (\u00e9)*7'), '*')).toMatchObject({ count: 1, severity: 'note' });
  });
});

describe('G4', () => {
  const dwells = (program: Program) => Array.from(program.stops.dwellS);

  test('P counts seconds or milliseconds, as the machine says', () => {
    const seconds = readLines('G0 X1', 'G4 P0.5');
    const milliseconds = read('G0 X1\nG4 P500', { dwellUnit: 'ms' });
    expect(dwells(seconds)).toEqual([0.5]);
    expect(dwells(milliseconds)).toEqual([0.5]);
    expect(understoodText(seconds)).toMatch(/2: The P of G4 was read in seconds \(dwell_unit/);
    expect(understoodText(milliseconds)).toMatch(/2: The P of G4 was read in milliseconds/);
  });

  test('P0 leaves no doubt', () => {
    expect(readLines('G0 X1', 'G4 P0').understood).toEqual([]);
  });

  test('S, X and U count seconds; S is then no power and X no move', () => {
    for (const dwellUnit of ['s', 'ms'] as const) {
      const program = read('G0 X1\nM3 S7\nG4 S2\nG4 X3\nG4 U4\nG1 X9 F60', { dwellUnit });
      expect(dwells(program)).toEqual([0, 2, 3, 4]);
      expect(program.moves.count).toBe(2);
      expect(program.moves.s[1]).toBe(7);
      expect(understoodText(program)).toMatch(/3: The S of G4 .*\n4: The X of G4 .*\n5: The U of G4/);
    }
  });

  test('with P and S: S is the time where P counts milliseconds, else the power', () => {
    const ms = read('M3 S7\nG4 P500 S2\nG1 X9 F60', { dwellUnit: 'ms' });
    const s = read('M3 S7\nG4 P1 S2\nG1 X9 F60');
    expect([dwells(ms), ms.moves.s[0]]).toEqual([[0, 2], 7]);
    expect([dwells(s), s.moves.s[0]]).toEqual([[0, 1], 2]);
    expect(understoodText(ms)).toMatch(/S was read as the time, in seconds, and P was left out/);
    expect(understoodText(s)).toMatch(/P was read as the time and S as beam power/);
  });

  test('beside M3 the S is the beam’s', () => {
    const program = read('M3 S500 G4 P100\nG1 X9 F60', { dwellUnit: 'ms' });
    expect([dwells(program), program.moves.s[0]]).toEqual([[0, 0.1], 500]);
  });

  test('with P the axis words of its line still move (NISTIR 6556 Table 8)', () => {
    const program = readLines('F60 G1', 'G4 P1 X5');
    expect(lastEnd(program)).toEqual([5, 0, 0]);
    expect(Array.from(program.stops.beforeMove)).toEqual([0]);
  });
});

describe('power', () => {
  test('the I of M3 may stand behind M5 too', () => {
    const program = readLines('M3 I S50', 'G1 X1 F60', 'M5 I', 'G1 X2');
    expect(Array.from(program.moves.powerMode)).toEqual([POWER_CONSTANT, POWER_OFF]);
    expect(program.notSimulated).toEqual([]);
    expect(understoodText(program)).toMatch(/^1: The I of M3 or M4 .*taken as given\.$/);
  });

  test('inline S on motion words, S0 between, M3 and M4', () => {
    const { moves } = readLines(
      'M4 F60',
      'G1 X1 S100',
      'X2',
      'S0 X3',
      'X4 S50',
      'G0 X5 S9',
      'M3 G1 X6',
      'M5',
      'X7',
    );
    expect(Array.from(moves.s)).toEqual([100, 100, 0, 50, 9, 9, 9]);
    expect(Array.from(moves.rapid)).toEqual([0, 0, 0, 0, 1, 0, 0]);
    expect(Array.from(moves.powerMode)).toEqual([
      ...Array(5).fill(POWER_PROPORTIONAL),
      POWER_CONSTANT,
      POWER_OFF,
    ]);
  });

  test('a file that never switches the beam on says so', () => {
    expect(understoodText(readLines('G1 X1 F60 S100'))).toMatch(
      /1: The file sets S but never switches the beam on/,
    );
    expect(readLines('M3', 'G1 X1 F60 S100').understood).toEqual([]);
  });

  const PIN = ['G0 X1', 'M106 S128', 'G1 X2 F60', 'M107', 'G0 X3', 'M106', 'G1 X4', 'M106 P0 S10', 'X5'];

  test('M106 and M107 are the beam where the file has no M3 and no M4', () => {
    const program = readLines(...PIN);
    expect(Array.from(program.moves.s)).toEqual([0, 128, 0, 255, 10]);
    expect(Array.from(program.moves.powerMode)).toEqual([0, 1, 0, 1, 1]);
    expect(program.stops.count).toBe(0);
    expect(program.notSimulated).toEqual([]);
    expect(understoodText(program)).toMatch(
      /2: M106 S… and M107 were read as beam power, since the file has no M3/,
    );
    expect(program.endsWithBeamOn).toEqual({ line: 8, s: 10 });
  });

  test('a single M3 or M4, even late, makes M106 a fan', () => {
    const program = readLines(...PIN, 'M4 S500', 'X6', 'M106 S1', 'X7');
    expect(Array.from(program.moves.powerMode)).toEqual([0, 0, 0, 0, 0, 2, 2]);
    expect(Array.from(program.moves.s)).toEqual([0, 0, 0, 0, 0, 500, 500]);
    expect(leftOut(program, 'M106')).toMatchObject({ count: 4, lines: [2, 6, 8, 12], severity: 'note' });
    expect(leftOut(program, 'M107')).toMatchObject({ count: 1, lines: [4] });
    expect(program.understood).toEqual([]);
  });

  test('the machine may say which words switch its beam', () => {
    const text = [...PIN, 'M4 S500', 'X6'].join('\n');
    expect(Array.from(read(text, { powerWords: 'M106' }).moves.s)).toEqual([0, 128, 0, 255, 10, 10]);
    expect(understoodText(read(text, { powerWords: 'M106' }))).toMatch(/as the machine profile says/);
    const fan = read(PIN.join('\n'), { powerWords: 'M3' });
    expect(Array.from(fan.moves.powerMode)).toEqual([0, 0, 0, 0, 0]);
    expect(leftOut(fan, 'M106')?.count).toBe(3);
  });

  test('more M106 than lines are kept for are still counted', () => {
    const program = readLines('M3 S1', ...Array(50).fill('M106 S9'), 'G1 X1 F9');
    expect(leftOut(program, 'M106')).toMatchObject({ count: 50 });
    expect(leftOut(program, 'M106')?.lines).toHaveLength(20);
  });

  test('the end with the beam on', () => {
    expect(readLines('M3 S5', 'G1 X1 F60').endsWithBeamOn).toEqual({ line: 1, s: 5 });
    expect(readLines('M3 S5', 'G1 X1 F60', 'M5').endsWithBeamOn).toBeNull();
    expect(readLines('M3 S5', 'G1 X1 F60', 'S0').endsWithBeamOn).toBeNull();
    expect(readLines('M3 S5', 'G1 X1 F60', 'M2').endsWithBeamOn).toBeNull();
    expect(readLines('M106 S5', 'G1 X1 F60', 'M30').endsWithBeamOn).toBeNull();
  });

  test('the I of M3 (power follows S on the move) is allowed, bare or with a number', () => {
    for (const word of ['I', 'I1']) {
      const program = readLines(`M3 ${word} S5`, 'G1 X1 F60');
      expect(program.moves.powerMode[0]).toBe(POWER_CONSTANT);
      expect(understoodText(program)).toMatch(/1: The I of M3 or M4/);
    }
  });
});

describe('stops', () => {
  test('one for each word that brings the head to rest, with the state in force', () => {
    const program = readLines(
      ...[
        'M3 S5',
        'F60 G1 X1',
        'M4',
        'M8',
        'M7 M8',
        'M9',
        'M0',
        'M1',
        'X2',
        'G4 P1',
        'G0 X3',
        'M5',
        'G28',
        '$H',
        'M30',
      ],
    );
    const { stops } = program;
    expect(Array.from(stops.line)).toEqual([1, 3, 4, 5, 5, 6, 7, 8, 10, 12, 13, 14, 15]);
    expect(Array.from(stops.beforeMove)).toEqual([0, 1, 1, 1, 1, 1, 1, 1, 2, 3, 3, 4, 4]);
    expect(Array.from(stops.dwellS)).toEqual([0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0]);
    expect(Array.from(stops.rapid)).toEqual([1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1]);
    expect(Array.from(stops.powerMode)).toEqual([1, 2, 2, 2, 2, 2, 2, 2, 2, 0, 0, 0, 0]);
    expect(Array.from(stops.s)).toEqual(Array(13).fill(5));
  });

  test('S or F alone, modes and offsets do not stop it', () => {
    expect(readLines('S5', 'F60', 'G91 G20', 'G92 X0', 'T1', 'M6', 'G0 X1 S3', 'M106').stops.count).toBe(0);
  });

  test('a pause is of unknown length, and that is told', () => {
    expect(understoodText(readLines('G0 X1', 'M0'))).toMatch(
      /2: M0 pauses for as long as the operator likes/,
    );
  });
});

describe('what is not simulated', () => {
  test.each([
    // [lines, word, lines it stands on, severity]
    [['G0 X1', 'G10 L2 P1 X5'], 'G10', [2], 'stop'],
    [['G0 X1', 'G38.2 Z-5 F9'], 'G38.2', [2], 'stop'],
    [['G0 X1', 'G41 D1'], 'G41', [2], 'stop'],
    [['G0 X1', 'G64 P0.1'], 'G64', [2], 'note'],
    [['G0 X1', 'G61.1'], 'G61.1', [2], 'warning'],
    [['G0 X1', 'G52 X5'], 'G52', [2], 'stop'],
    [['G0 X1', 'G5 X1 Y1 I1 J1 P1 Q1'], 'G5', [2], 'stop'],
    [['G0 X1', 'G123 X5'], 'G123', [2], 'stop'],
    [['G0 X1', 'G123'], 'G123', [2], 'warning'],
    [['G0 X1', 'G71'], 'G71', [2], 'stop'],
    [['G0 X1', 'M98 P100 X5'], 'M98', [2], 'stop'],
    [['G0 X1', 'M99'], 'M99', [2], 'stop'],
    [['G0 X1', 'G65 P100'], 'G65', [2], 'stop'],
    [['O1000', 'G0 X1'], 'O', [1], 'note'],
    [['G0 X1', 'o100 sub', 'N5 O100 endsub', 'o<name> call [1]'], 'O sub', [2, 3, 4], 'stop'],
    [['G0 X1', '$J=G91 X10 F100'], '$J', [2], 'stop'],
    [['G0 X1', '$30=255'], '$30=255', [2], 'warning'],
    [['G0 X1', '$30=255', '$30=255'], '$30=255', [2, 3], 'warning'],
    [['G0 X1', '$30=255', '$32=1', '$31=0'], '$30=255 and the like', [2, 3, 4], 'warning'],
    [['G0 X1', '$$', '$X'], '$', [2, 3], 'note'],
    [['$H', 'G0 X1'], '$H', [1], 'note'],
    [['G0 X1', '$H'], '$H', [2], 'stop'],
    [['G0 X1', '{"sr":null}'], '{', [2], 'warning'],
    [['G0 X1', '@pause'], '@', [2], 'warning'],
    [['G0 X1', '%wait'], '%', [2], 'warning'],
    [['G0 X1', 'M117 Nearly (there'], 'M117', [2], 'note'],
    [['G0 X1', 'N7 M118 5,5'], 'M117', [2], 'note'],
    [['G0 X1', 'M201 X500 Y500'], 'M201', [2], 'warning'],
    [['G0 X1', 'M220 S50'], 'M220', [2], 'warning'],
    [['G0 X1', 'M777 X5'], 'M777', [2], 'stop'],
    [['G0 X1', 'M777'], 'M777', [2], 'warning'],
    [['G0 X1', 'M84 X Y'], 'M84', [2], 'note'],
    [['G0 X1', 'M62 P1'], 'M62', [2], 'warning'],
    [['G0 X1', 'G1 X1 E5 F9'], 'E', [2], 'note'],
    [['G0 X1', 'A90'], 'A', [2], 'warning'],
    [['G0 X1', 'P5'], 'P', [2], 'note'],
    [['G0 X1', 'G92.1 X5'], 'X', [2], 'warning'],
    [['T1', 'G0 X1'], 'T', [1], 'note'],
  ] as const)('%j: %s', (lines, word, on, severity) => {
    const program = readLines(...lines);
    expect(leftOut(program, word)).toMatchObject({ count: on.length, lines: on, severity });
    expect(leftOut(program, word)!.effect).toMatch(/^[a-z].*[a-z]$/);
    expect(program.notSimulated).toHaveLength(1);
    // The words of the line did nothing else.
    expect(ends(program)).toEqual([[1, 0, 0]]);
  });

  test.each([
    'G17',
    'G21',
    'G40',
    'G49',
    'G54',
    'G61',
    'G64 G40',
    'G80',
    'G90 G94',
    'G91.1',
    'G98',
    'M48',
    'M49',
    'N5',
  ])('%s changes nothing and is no trouble', (block) => {
    const { severity } = readLines('G0 X1', block).notSimulated[0] ?? { severity: 'none' };
    expect(severity).toBe(block.startsWith('G64') ? 'note' : 'none');
  });

  test('M204 S500 sets no beam power, M220 S50 neither', () => {
    const program = readLines('M3 S7 F60', 'M204 S500', 'G1 X1', 'M220 S50', 'G1 X2');
    expect(Array.from(program.moves.s)).toEqual([7, 7]);
  });

  test('an F beside such a word is not passed over in silence', () => {
    const program = readLines('F60', 'M207 S1 F2400', 'G1 X1');
    expect(program.moves.feedMmPerS[0]).toBe(1);
    expect(leftOut(program, 'F')).toMatchObject({ lines: [2], severity: 'warning' });
  });

  test('a G word beside a word of outputs is still carried out', () => {
    const program = readLines('G1 X5 F60 M62 P1');
    expect(lastEnd(program)).toEqual([5, 0, 0]);
    expect(leftOut(program, 'M62')).toMatchObject({ severity: 'warning' });
    expect(leftOut(program, 'P')).toBeUndefined();
  });

  test('counted once per word, with the first 20 lines and the gravest severity', () => {
    const program = readLines('G0 X1', ...Array(30).fill('M777'), 'M777 X1');
    expect(program.notSimulated).toHaveLength(1);
    expect(leftOut(program, 'M777')).toMatchObject({ count: 31, severity: 'stop' });
    expect(leftOut(program, 'M777')!.lines).toEqual(Array.from({ length: 20 }, (_, k) => k + 2));
  });

  test('a probing move stops the head; the lines that go on with it are left out', () => {
    const program = readLines('G0 X1', 'G38.2 Z-5 F9', 'Z-6', 'G0 X2');
    expect(Array.from(program.stops.line)).toEqual([2]);
    expect(leftOut(program, 'G38.2')).toMatchObject({ count: 2, lines: [2, 3] });
    expect(ends(program)).toEqual([
      [1, 0, 0],
      [2, 0, 0],
    ]);
  });

  test('coordinates before any motion word are rapids, and that is told', () => {
    const program = readLines('X5', 'G1 X6 F9');
    expect(Array.from(program.moves.rapid)).toEqual([1, 0]);
    expect(understoodText(program)).toMatch(/1: The first coordinates come before any G0 or G1/);
  });

  test('a % in the middle, with none at the beginning, is passed over and told', () => {
    const program = readLines('G0 X1', '%', 'G0 X2');
    expect(lastEnd(program)).toEqual([2, 0, 0]);
    expect(understoodText(program)).toMatch(/2: A “%” stands in the middle/);
  });
});

describe('moves', () => {
  test('zero-length moves vanish, their modal words stay', () => {
    const { moves } = readLines('M3 F60', 'G1 X0 Y0 S5', 'X1', 'X1 S9 F120', 'Y1');
    expect(Array.from(moves.line)).toEqual([3, 5]);
    expect(Array.from(moves.s)).toEqual([5, 9]);
    expect(Array.from(moves.feedMmPerS)).toEqual([1, 2]);
  });

  test('rounding dust of incremental coordinates makes no moves, and does not add up', () => {
    const there = Array(500).fill('X0.1 Y0.7');
    const back = Array(500).fill('X-0.1 Y-0.7');
    const program = readLines('G91 G0', ...there, ...back, 'G90 X0 Y0', 'G0 Z1');
    expect(program.moves.count).toBe(1001);
    expect(lastEnd(program)).toEqual([0, 0, 1]);
  });

  test('a million moves take their arrays and nothing else', () => {
    const { moves } = read('F60 G1\n' + 'X1\nX0\n'.repeat(5000));
    expect(moves.count).toBe(10_000);
    for (const array of [moves.xMm, moves.s, moves.powerMode, moves.line, moves.operation]) {
      expect(array).toHaveLength(10_000);
    }
  });
});
