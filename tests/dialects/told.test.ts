import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { reportOf } from '../../src/report.ts';
import { machineWith } from '../support/machines.ts';

type Overrides = Parameters<typeof machineWith>[0];

const reportFor = (text: string, overrides: Overrides = {}) =>
  reportOf(forecast(text, machineWith(overrides), shippedMaterials.basswood!, { cellMm: 0.2 }));

/** Everything the report says of how the file was understood, one thing a line: `3: The P of G4 …`. */
const understoodIn = (text: string, overrides?: Overrides): string =>
  reportFor(text, overrides)
    .understood.map(({ line, text: told }) => `${line}: ${told}`)
    .join('\n');

const laser = (fields: NonNullable<NonNullable<Overrides>['laser']>): Overrides => ({ laser: fields });

describe('the report names how each doubtful thing was understood', () => {
  const burns = 'M3 S100 F600\nG1 X9\n';
  test.each<[string, string, Overrides, RegExp]>([
    [
      'a scale of power',
      'G0 X1\nM3 S255\nG1 X9 F600',
      laser({ s_max: 1000 }),
      /^3: The greatest S of the job is 255, .* s_max .* is 1000, so it was read as 25\.5 %/,
    ],
    ['dwell in seconds', `${burns}G4 P0.5`, {}, /^3: The P of G4 was read in seconds \(dwell_unit/m],
    [
      'dwell in milliseconds',
      `${burns}G4 P500`,
      { dwell_unit: 'ms' },
      /^3: The P of G4 was read in milliseconds/m,
    ],
    [
      'dwell by S',
      `${burns}G4 S1`,
      {},
      /^3: The S of G4 was read as its time in seconds, not as beam power/m,
    ],
    [
      'power on a pin',
      'M106 S200\nG1 X9 F600\nM107',
      laser({ s_max: 255 }),
      /^1: M106 S… and M107 were read as beam power.*S from 0 to 255\. A beam on such an output also stays on in rapids/,
    ],
    [
      'power on a pin, on another scale',
      'M106 S200\nG1 X9 F600\nM107',
      laser({ s_max: 1000 }),
      /s_max of the machine profile is 1000, so that S255 burns with 25\.5 % of full power: s_max must be 255/,
    ],
    [
      'power on a pin, on a smaller scale',
      'M106 S200\nG1 X9 F600\nM107',
      laser({ s_max: 100 }),
      /s_max .* is 100, so that S100 is full power already/,
    ],
    [
      'power on a pin, by the profile',
      'M106 S200\nG1 X9 F600',
      laser({ s_max: 255, power_words: 'M106' }),
      /as the machine profile says/,
    ],
    [
      'S that never burns',
      'G1 X9 F600 S200',
      {},
      /^1: The file sets S but never switches the beam on with M3 or M4, so nothing burns/,
    ],
    [
      'no proportional power',
      'M4 S200\nG1 X9 F600',
      laser({ m4_power: 'constant' }),
      /^1: M4 was read as constant power, like M3 \(m4_power/,
    ],
    [
      'the I of M3',
      'M3 I S200\nG1 X9 F600',
      {},
      /^1: The I of M3 or M4 \(power follows S on the move\) was taken as given/,
    ],
    [
      'the end mark of old disks',
      `${burns}\x1a\0\0`,
      {},
      /^3: The mark for the end of a text \(code 26\), as old disks have it, was taken as the end of the job/m,
    ],
    ['home', `${burns}G28`, {}, /^3: G28 was read as rapids to the machine.s origin/m],
    [
      'coordinate systems',
      `G55\n${burns}`,
      {},
      /^1: G55: all coordinate systems are taken to have their origin/,
    ],
    ['block delete', `/${burns}`, {}, /^1: Lines that begin with “\/” are run/],
    ['no motion word', 'M3 S9 F600\nX5\nG1 X9', {}, /^2: The first coordinates come before any G0 or G1/],
    ['F beside G20', 'M3 S9\nG20 G1 X1 F600', {}, /^2: F600 stands on the line that changes units/],
    [
      'arcs without an end',
      'M3 S9 F600\nG2 I5',
      {},
      /^2: An arc without an end point was read as a full circle/,
    ],
    ['turns', 'M3 S9 F600\nG2 I5 X0 P2', {}, /^2: P in an arc was read as its number of turns/],
    ['blanks inside numbers', 'M3 S9 F600\nG1 X1 2', {}, /^2: X1 2 was read as X12/],
    ['a pause', `${burns}M0`, {}, /^3: M0 pauses for as long as the operator likes/m],
    ['a file that may be cut short', `%\n${burns}`, {}, /The file begins with “%” but ends without one/],
    [
      'a checksum without a number',
      `${burns}G1 X12*13`,
      {},
      /^3: A checksum stands on a line without a line number/m,
    ],
  ])('%s', (_, text, overrides, sentence) => {
    expect(understoodIn(text, overrides)).toMatch(sentence);
  });

  test('nothing doubtful, nothing told', () => {
    expect(understoodIn('G21 G90\nM4 S0\nG0 X2\nG1 X9 S700 F600\nG4 P0\nM5\n')).toBe('');
    // 255 is no other scale where it is the machine's own, nor where more is used.
    expect(understoodIn('M3 S255\nG1 X9 F600', laser({ s_max: 255 }))).toBe('');
    expect(understoodIn('M3 S255\nG1 X9 F600\nX2 S256', laser({ s_max: 1000 }))).toBe('');
  });
});

describe('words that are not simulated are reported with the lines they affect', () => {
  test.each<[string, string, readonly number[], 'stop' | 'warning']>([
    ['O100 sub', 'O sub', [2], 'stop'],
    ['M98 P100', 'M98', [2], 'stop'],
    ['M99', 'M99', [2], 'stop'],
    ['G65 P9', 'G65', [2], 'stop'],
    ['#1=5', '#', [2], 'warning'],
    ['G1 X#1', '#', [2], 'stop'],
    ['G1 X[1+2]', '[…]', [2], 'stop'],
    ['o10 call [1]\no10 if [1]\no10 endif', 'O sub', [2, 3, 4], 'stop'],
  ])('%j', (text, word, lines, severity) => {
    const { findings } = reportFor(`M3 S9 F600\n${text}\nG1 X9`);
    const finding = findings.find((each) => each.kind === 'not-simulated');
    expect(finding).toMatchObject({ severity, line: lines[0], measure: { word, lines } });
    expect(finding!.message).toMatch(new RegExp(`lines? ${lines.join(', ')}`));
  });
});
