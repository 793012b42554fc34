import { describe, expect, test } from 'vitest';
import { adjustText } from '../../src/change/adjust-text.ts';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { machineWith } from '../support/machines.ts';
import { adjust, difference, gcode, read } from './support.ts';

/**
 * Changed jobs, word by word. What the changed text should be was worked out by hand from RS-274/NGC's modal
 * words (NISTIR 6556 §3.4: a word holds until the next of its group).
 */

const SQUARES = gcode(
  '; two squares',
  'G21 G90',
  'M4 S0',
  'G0 X10 Y10',
  'G1 X20 S600 F1200 ; begin',
  'Y20',
  'X10',
  'Y10',
  'G0 X30',
  'G1 X40 S800 F600',
  'Y20',
  'X30',
  'Y10',
  'M5',
);

describe('speed', () => {
  test('changes where it is said', () => {
    expect(difference(SQUARES, adjust(SQUARES, '1: speed 1500'))).toEqual([
      '- G1 X20 S600 F1200 ; begin',
      '+ G1 X20 S600 F1500 ; begin',
    ]);
  });

  test('a feed shared with the next operation is said again there', () => {
    const text = gcode('G21 G90', 'M3 S0', 'G0 X5', 'G1 X9 S500 F900', 'M4 S0', 'G0 Y5', 'G1 X5 S500', 'M5');
    expect(difference(text, adjust(text, '1: speed 1500'))).toEqual([
      '- G1 X9 S500 F900',
      '+ G1 X9 S500 F1500',
      '- G1 X5 S500',
      '+ G1 X5 S500 F900',
    ]);
    expect(difference(text, adjust(text, '2: speed 1500'))).toEqual(['- G1 X5 S500', '+ G1 X5 S500 F1500']);
  });

  test('a feed said on the rapid before, or on a line of its own, changes there', () => {
    const onRapid = gcode('G21 G90', 'M4 S500', 'G0 X5 F900', 'G1 X9', 'M5');
    expect(difference(onRapid, adjust(onRapid, '1: speed 600'))).toEqual(['- G0 X5 F900', '+ G0 X5 F600']);
    const alone = gcode('G21 G90', 'M4 S500', 'F900', 'G0 X5', 'G1 X9', 'M5');
    expect(difference(alone, adjust(alone, '1: speed 600'))).toEqual(['- F900', '+ F600']);
  });

  test('inches a minute in a job in inches', () => {
    const text = gcode('G20 G90', 'M4 S500', 'G0 X1', 'G1 X2 F10', 'M5');
    expect(adjust(text, '1: speed 508')).toContain('G1 X2 F20\n');
    // 1770 / 25.4 = 69.68503937…: as many digits as a machine could tell apart, and the forecast knows of it.
    expect(adjust(text, '1: speed 1770')).toContain('G1 X2 F69.685\n');
    expect(adjust(text, '1: speed 254')).toBe(text);
  });
});

describe('power', () => {
  test('scales S to the asked part of full scale, and nothing else', () => {
    expect(difference(SQUARES, adjust(SQUARES, '2: power 95 %'))).toEqual([
      '- G1 X40 S800 F600',
      '+ G1 X40 S950 F600',
    ]);
  });

  test('shades keep their ratios; the greatest becomes what was asked', () => {
    const text = gcode('G21 G90', 'M4 S0', 'G0 X0.5', 'G1 X2 S100 F900', 'X3 S250', 'X4 S400', 'X5 S0', 'M5');
    const changed = adjust(text, '1: power 60 %');
    expect(difference(text, changed)).toEqual([
      '- G1 X2 S100 F900',
      '- X3 S250',
      '- X4 S400',
      '+ G1 X2 S150 F900',
      '+ X3 S375',
      '+ X4 S600',
    ]);
  });

  test('is relative to the machine’s own scale', () => {
    const machine = machineWith({ laser: { optical_power_w: 5, s_max: 255 } });
    const text = gcode('G21 G90', 'M4 S128', 'G0 X5', 'G1 X9 F900', 'M5');
    expect(difference(text, adjust(text, '1: power 80 %', machine))).toEqual(['- M4 S128', '+ M4 S204']);
  });

  test('an S said with the beam word, a dwell’s S and an S in a comment', () => {
    const text = gcode('G21 G90', 'M3 S500 (S500 is half)', 'G0 X5 Y5', 'G4 S0.5', 'G1 X9 F900 ; S500', 'M5');
    expect(difference(text, adjust(text, '1: power 60 %'))).toEqual([
      '- M3 S500 (S500 is half)',
      '+ M3 S600 (S500 is half)',
    ]);
  });

  test('a beam on an output pin', () => {
    const machine = machineWith({ laser: { optical_power_w: 5, s_max: 255, fires_on_rapids: true } });
    const text = gcode(
      'G21 G90',
      'G0 X5 Y5',
      'M106 S100',
      'G1 X9 F900',
      'M107',
      'G0 X20',
      'M106 S200',
      'G1 X24',
      'M107',
    );
    expect(difference(text, adjust(text, '1: power 50 %', machine))).toEqual(
      ['- M106 S100', '- M106 S200', '+ M106 S63.75', '+ M106 S127.5'].sort(
        (a, b) => Number(a.includes('2')) - Number(b.includes('2')),
      ),
    );
  });
});

describe('a machine whose M4 burns with constant power', () => {
  const machine = machineWith({ laser: { m4_power: 'constant' }, spot: { width_mm: [1, 1] } });
  const text = gcode(
    'G21 G90',
    'M3 S0',
    'G0 X5 Y5',
    'G1 X15 S400 F900',
    'M4 S0',
    'G0 X5 Y8',
    'G1 X15 Y9 S400',
    'G0 X5 Y12',
    'G1 X15 S500 F600',
    'Y18',
    'X5',
    'Y12',
    'M5',
  );

  test('counts operations as its forecast does, so power goes where it was asked', () => {
    // By that machine M3 and M4 are one mode, so the first two strokes are one operation and the outline is the second.
    expect(difference(text, adjust(text, '2: power 90 %', machine))).toEqual([
      '- G1 X15 S500 F600',
      '+ G1 X15 S900 F600',
    ]);
  });

  test('is not asked for proportional power', () => {
    expect(() => adjust(text, '2: proportional', machine)).toThrow(
      /(?:^|: )found proportional power asked of a machine whose M4 burns with constant power \(m4_power\); expected constant power$/,
    );
  });

  test('what is written must be what was forecast', () => {
    const plan = changeProgram(read(text), parseChanges('2: power 90 %'), machineWith());
    expect(() => adjustText(text, parseChanges('2: power 90 %'), machine, plan)).toThrow(
      /nothing was written$/,
    );
  });
});

describe('power mode', () => {
  test('changes the beam word that stands before the operation', () => {
    const text = gcode(
      'G21 G90',
      'M03 S0',
      'G0 X5',
      'G1 X9 S500 F900',
      'M3 S0',
      'G0 Y5',
      'G1 X5 S500 F600',
      'M5',
    );
    expect(difference(text, adjust(text, '1: proportional'))).toEqual(['- M03 S0', '+ M4 S0']);
    expect(difference(text, adjust(text, '2: proportional'))).toEqual(['- M3 S0', '+ M4 S0']);
  });

  test('an operation that shares its beam word gets one of its own, and its neighbours keep theirs', () => {
    const text = gcode(
      'G21 G90',
      'M4 S0',
      'G0 X5',
      'G1 X9 S500 F900',
      'G0 Y5',
      'G1 X5 S600 F600',
      'G0 Y9',
      'G1 X9 S500 F900',
      'M5',
    );
    expect(difference(text, adjust(text, '2: constant'))).toEqual(['+ M3 S0', '+ M4 S0']);
    expect(adjust(text, '2: constant').split('\n').slice(3, 9)).toEqual([
      'G1 X9 S500 F900',
      'M3 S0',
      'G0 Y5',
      'G1 X5 S600 F600',
      'M4 S0',
      'G0 Y9',
    ]);
  });

  test('a beam on an output pin knows no other mode', () => {
    const text = gcode('G21 G90', 'G0 X5 Y5', 'M106 S100', 'G1 X9 F900', 'M107');
    expect(() =>
      adjust(text, '1: proportional', machineWith({ laser: { optical_power_w: 5, s_max: 255 } })),
    ).toThrow(/(?:^|: )found a beam that is switched by M106; expected M3 or M4/);
  });
});

describe('passes', () => {
  test('a closed outline is burned on from where it ends', () => {
    const changed = adjust(SQUARES, '1: passes 2');
    expect(difference(SQUARES, changed)).toEqual(
      ['+ X20', '+ Y20', '+ X10', '+ Y10'].map((line, k) => (k === 0 ? '+ G1 X20 S600 F1200 ; begin' : line)),
    );
    expect(read(changed).operations[0]!.passes).toBe(2);
  });

  test('an open stroke is run back to with the beam off', () => {
    const text = gcode('G21 G90', 'M3 S0', 'G0 X5 Y5', 'G1 X9 S500 F900', 'Y9', 'G0 X0 Y0 S0', 'M5');
    expect(adjust(text, '1: passes 2').split('\n').slice(3, 9)).toEqual([
      'G1 X9 S500 F900',
      'Y9',
      'G0 X5 Y5 S0',
      'G1 X9 S500 F900',
      'Y9',
      'G0 X0 Y0 S0',
    ]);
  });

  test('the last passes are left out', () => {
    const text = gcode(
      'G21 G90',
      'M3 S0',
      'G0 X5 Y5',
      'G1 X9 S500 F900',
      'Y9 ; pass 1',
      'X5',
      'Y5',
      'X9',
      'Y9 ; pass 2',
      'X5',
      'Y5',
      'G0 X0 Y0',
      'M5',
    );
    expect(read(text).operations[0]!.passes).toBe(2);
    expect(difference(text, adjust(text, '1: passes 1'))).toEqual([
      '- X9',
      '- Y9 ; pass 2',
      '- X5',
      '- Y5',
      '+ ; pass 2',
    ]);
  });

  test('incremental coordinates, where the job begins anew', () => {
    const text = gcode('G21 G91', 'M3 S0', 'G0 X5 Y5', 'G1 X4 S500 F900', 'Y4', 'G0 X-9 Y-9 S0', 'M5');
    const changed = adjust(text, '1: passes 2');
    expect(difference(text, changed)).toEqual(['+ G0 X-4 Y-4 S0', '+ G1 X4 S500 F900', '+ Y4']);
  });

  test('a full circle on one line', () => {
    const text = gcode('G21 G90', 'M4 S0', 'G0 X10 Y5', 'G2 I5 J0 S500 F900', 'M5');
    expect(difference(text, adjust(text, '1: passes 3'))).toEqual([
      '+ G2 I5 J0 S500 F900',
      '+ G2 I5 J0 S500 F900',
    ]);
  });

  test('one line that makes two passes is refused', () => {
    const text = gcode('G21 G90', 'M4 S0', 'G0 X10 Y5', 'G2 I6 J0 P2 S500 F900', 'M5');
    expect(read(text).operations[0]!.passes).toBe(2);
    expect(() => adjust(text, '1: passes 1')).toThrow(/(?:^|: )found one line that makes several passes/);
  });

  test('a shift of the origin within what is burned again is refused', () => {
    const text = gcode('G21 G90', 'M4 S0', 'G0 X10 Y5', 'G1 X20 S500 F900', 'G92 X0', 'G1 X5', 'M5');
    expect(() => adjust(text, '1: passes 2')).toThrow(
      /(?:^|: )found units, origin or distance mode changing within what is burned again/,
    );
  });
});

const RASTER = gcode(
  'G21 G90',
  'M3 S0',
  'G0 X10 Y5',
  'G1 X20 S500 F3000',
  'Y5.1 S0',
  'X10 S500',
  'Y5.2 S0',
  'X20 S500',
  'G0 X0 Y0 S0',
  'M5',
);

describe('what cannot be done safely', () => {
  test('no other way for the head where it is not known where it is', () => {
    const text = gcode(
      'G21 G90',
      'M4 S0',
      'G0 X10 Y5',
      'G1 X20 S500 F900',
      'G5 X25 Y9 I1 J1 P1 Q1',
      'G1 X30 Y5',
      'M5',
    );
    expect(() => adjust(text, '1: passes 2')).toThrow(
      /(?:^|: )found G5, which may move the head but is not simulated; expected a job without it/,
    );
    expect(difference(text, adjust(text, '1: speed 600'))).toEqual([
      '- G1 X20 S500 F900',
      '+ G1 X20 S500 F600',
    ]);
  });

  test('a way home inside what is burned again starts elsewhere', () => {
    const text = gcode('G21 G90', 'M4 S0', 'G0 X10 Y5', 'G1 X20 S500 F900', 'G28', 'G1 X30 Y5', 'M5');
    expect(read(adjust(text, '1: passes 2')).operations[0]!.passes).toBe(2);
  });
});

describe('overscan and row order', () => {
  test('the head runs out, over and in, with the beam off', () => {
    expect(adjust(RASTER, '1: overscan 3')).toBe(
      gcode(
        'G21 G90',
        'M3 S0',
        'G0 X7 Y5',
        'G1 X10 F3000',
        'X20 S500 F3000'.replace('X20', 'G1 X20'),
        'X23 S0',
        'Y5.1',
        'X20',
        'X10 S500',
        'X7 S0',
        'Y5.2',
        'X10',
        'X20 S500',
        'X23 S0',
        'G0 X0 Y0 S0',
        'M5',
      ),
    );
  });

  test('asked for twice, it is there already', () => {
    const once = adjust(RASTER, '1: overscan 3');
    expect(adjust(once, '1: overscan 3')).toBe(once);
  });

  test('another length changes only the places where the head turns', () => {
    const once = adjust(RASTER, '1: overscan 3');
    const changes = difference(once, adjust(once, '1: overscan 4.5'));
    expect(changes).toContain('- G0 X7 Y5');
    expect(changes).toContain('+ G0 X5.5 Y5');
    expect(changes.filter((line) => line.includes('S500'))).toEqual([]);
    expect(changes.every((line) => /^[-+] (G0 )?[XY]?/.test(line))).toBe(true);
  });

  test('one direction: every second row is turned round, and the way back is a rapid', () => {
    const changed = adjust(RASTER, '1: one direction, overscan 2');
    const { moves } = read(changed);
    const burned: number[][] = [];
    for (let k = 0; k < moves.count; k++) {
      if (moves.rapid[k] === 0 && moves.s[k]! > 0) burned.push([moves.xMm[k - 1]!, moves.xMm[k]!]);
    }
    expect(burned).toEqual([
      [10, 20],
      [10, 20],
      [10, 20],
    ]);
    expect(changed).toContain('X22 S0\nG0 X8 Y5.1\nG1 X10\nX20 S500\n');
  });

  test('rows that are switched by beam words are refused, with the line', () => {
    const text = gcode(
      'G21 G90',
      ...[0, 1, 2].flatMap((k) => [`G0 X5 Y${k / 10}`, 'M3 S500', 'G1 X9 F3000', 'M5']),
    );
    expect(read(text).operations[0]!.kind).toBe('rows');
    expect(() => adjust(text, '1: overscan 3')).toThrow(
      expect.objectContaining({
        message: expect.stringMatching(/(?:^|: )found a word that stops the head at a row of operation 1/),
        line: 5,
      }),
    );
  });

  test('outlines have no overscan', () => {
    expect(() => adjust(SQUARES, '1: overscan 3')).toThrow(
      /(?:^|: )found an overscan for operation 1, which is an outline; expected an operation of rows$/,
    );
    expect(() => adjust(SQUARES, 'outlines: one direction')).toThrow(
      /(?:^|: )found a row order for operation 1/,
    );
    expect(() => adjust(SQUARES, 'rows: overscan 3')).toThrow(
      /(?:^|: )found a change of rows; expected a job that has rows$/,
    );
    expect(() => adjust(SQUARES, '3: speed 600')).toThrow(
      /(?:^|: )found a change of operation 3; expected one from 1 to 2$/,
    );
    // Said of all, it concerns the rows alone.
    expect(adjust(SQUARES, 'all: overscan 3')).toBe(SQUARES);
  });

  test('without overscan the beam is still off when the job ends', () => {
    const text = gcode(
      'G21 G90',
      'M4 S0',
      'G0 X8',
      ...[0, 1, 2].flatMap((k) => [
        `G1 X10 Y${k / 10} S0 F3000`,
        `X20 S500`,
        'X22 S0',
        `G0 X8 Y${(k + 1) / 10}`,
      ]),
    ).replace('X22 S0\nG0 X8 Y0.3\n', 'X22 S0\n');
    expect(read(text).endsWithBeamOn).toBeNull();
    expect(read(adjust(text, '1: overscan 0')).endsWithBeamOn).toBeNull();
  });
});

describe('all other bytes stay', () => {
  test('line ends, a byte-order mark, comments beyond ASCII, blanks and lower case', () => {
    const text =
      '\u00EF\u00BB\u00BF(Blatt f\u00FCr Minze)\r\n  g21  g90 \r\nm4 s0\r\n\r\ng0x5\r\ng1  x9   s500f900 ; \u00E9\r\n%';
    expect(adjust(text.replace(/%$/, ''), '1: speed 600, power 60%')).toBe(
      text.replace(/%$/, '').replace('s500f900', 'S600F600'),
    );
  });

  test('a last line without a line end', () => {
    const text = 'G21 G90\nM3 S0\nG0 X5\nG1 X9 S500 F900\nX5 Y9';
    expect(adjust(text, '1: speed 600')).toBe('G21 G90\nM3 S0\nG0 X5\nG1 X9 S500 F600\nX5 Y9');
    expect(adjust(text, '1: passes 2')).toBe(
      'G21 G90\nM3 S0\nG0 X5\nG1 X9 S500 F900\nX5 Y9\nG0 Y0 S0\nG1 X9 S500 F900\nX5 Y9',
    );
  });

  test('words without blanks stay so', () => {
    const text = gcode('G21G90', 'M3S0', 'G0X5', 'G1X9S500F900', 'M4S0', 'G0Y5', 'G1X5S500', 'M5');
    expect(adjust(text, '2: speed 1500')).toContain('\nG1X5S500F1500\n');
  });

  test('checksums are worked out anew, and numbers go on by ones', () => {
    // Exclusive or of all characters before the “*”, worked out by an independent one-liner:
    // python3 -c "import functools,operator,sys; print(functools.reduce(operator.xor, sys.argv[1].encode()))" 'N4 G1 X9 S500 F600'
    const text = gcode(
      'N1 G21 G90*117',
      'N2 M3 S0*97',
      'N3 G0 X5*103',
      'N4 G1 X9 S500 F900*116',
      'N5 X5*54',
      'N6 M5*32',
    );
    expect(difference(text, adjust(text, '1: speed 600'))).toEqual([
      '- N4 G1 X9 S500 F900*116',
      '+ N4 G1 X9 S500 F600*123',
    ]);
    const numbers = adjust(text, '1: passes 2').match(/^N\d+/gm);
    expect(numbers).toEqual(Array.from({ length: numbers!.length }, (_, k) => `N${k + 1}`));
  });

  test('a check number that cannot be worked out is refused', () => {
    const text = gcode(
      'N1 G21 G90*117',
      'N2 M3 S0*97',
      'N3 G0 X5*103',
      'N4 G1 X9 S500 F900*12345',
      'N5 M5*35',
    );
    expect(() => adjust(text, '1: speed 600')).toThrow(
      /(?:^|: )found the check number \*12345 on a line that has to change/,
    );
  });

  test('lines behind the end of the program are left alone', () => {
    const text = gcode('G21 G90', 'M3 S0', 'G0 X5', 'G1 X9 S500 F900', 'M2', 'G1 X20 S500 F900', 'done');
    expect(
      difference(text, adjust(text, '1: power 90 %, passes 2')).some((line) => /X20|done/.test(line)),
    ).toBe(false);
  });
});
