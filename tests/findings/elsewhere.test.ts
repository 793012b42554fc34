import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { finishOf } from '../../src/finish/finish.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { learn } from '../../src/outcome/learn.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { readProgram } from '../../src/program/read.ts';
import { machineWith } from '../support/machines.ts';

/** Words after which the same X and Y are another place on the piece: a further axis, another coordinate system. */

const machine = machineWith();
const wood = shippedMaterials['poplar plywood']!;
const options = { stock: { widthMm: 60, heightMm: 60, thicknessMm: 1, xMm: 0, yMm: 0 }, cellMm: 0.4 };
const jobOf = (...lines: string[]) => ['G21 G90', 'M3 S0', ...lines, 'M5', 'M2', ''].join('\n');
const leftOut = (text: string) =>
  readProgram(text, readOptions(machine)).notSimulated.map(({ word, severity }) => `${word} ${severity}`);

const ROWS = [0, 1, 2, 3].flatMap((angle) => [`G0 X5 A${angle}`, 'G1 X40 S500 F1500', 'S0']);

describe('a further axis', () => {
  test.each<[string, string[]]>([
    ['turns between what is burned', ROWS],
    ['turns while a line is burned', ['G0 X5', 'G1 X40 A90 S500 F1500']],
    ['turns alone with the beam on', ['G0 X5', 'G1 S500 F1500', 'G1 A90', 'S0']],
    ['turns between dots', ['G0 X5', 'G1 F900 S300', 'G4 P0.1', 'S0', 'G0 A5', 'G1 S300', 'G4 P0.1', 'S0']],
    ['turns by so much', ['G91', 'G1 X5 S500 F900', 'S0', 'G0 A5', 'G1 X5 S500']],
  ])('that %s is a stop', (_, lines) => {
    expect(leftOut(jobOf(...lines))).toContain('A stop');
  });

  test.each<[string, string[]]>([
    ['stays where it is', ['G0 X5 A0', 'G1 X40 S500 F1500', 'G0 X5 A0', 'G1 Y9']],
    ['turns before anything is burned', ['G0 X5 A90', 'G1 X40 S500 F1500']],
    ['turns after all is burned', ['G0 X5', 'G1 X40 S500 F1500', 'S0', 'G0 A90']],
    ['is only called otherwise', ['G0 X5 A7', 'G1 X40 S500 F1500', 'G92 A0', 'G0 X5 A0', 'G1 X30']],
    ['turns by nothing', ['G91', 'G1 X5 S500 F900', 'G0 A0', 'G1 X5']],
  ])('that %s is told as left out', (_, lines) => {
    expect(leftOut(jobOf(...lines))).toContain('A warning');
  });

  const made = forecast(jobOf(...ROWS), machine, wood, options);

  test('whose remedy is never to leave it out', () => {
    const [finding] = made.findings;
    expect(finding).toMatchObject({ kind: 'not-simulated', severity: 'stop' });
    expect(finding!.message).toMatch(
      /^A is not simulated .*turns or moves the piece while it is burned or in between/,
    );
    expect(finding!.remedy).toMatch(
      /^Export the job anew without A if the piece lies flat \(in this one A must stay/,
    );
  });

  test('leaves nothing to tell of the wood, of passes and of where it lies', () => {
    expect([made.cuts, made.engravings]).toEqual([[], []]);
    expect(made.findings.map(({ kind }) => kind)).toEqual(['not-simulated']);
    expect(made.operations.map(({ operation }) => operation.passes)).toEqual([1]);
    expect(made.notes[0]).toMatch(
      /^This job turns or moves the piece by A .*nothing is told of tones, depths and cuts\.$/,
    );
    // Without it the same rows are one line, cut through.
    const still = forecast(jobOf(...ROWS).replace(/ A\d/g, ''), machine, wood, options);
    expect([still.cuts.length, still.operations[0]!.operation.passes]).toEqual([1, 4]);
    const unknown = forecast(jobOf(...Array(15).fill(ROWS).flat()), machine, wood, { cellMm: 0.4 });
    expect(unknown.findings.map(({ kind }) => kind)).toEqual(['not-simulated']);
  });

  test('leaves nothing to learn from, to finish or to burn in another order', () => {
    const burn = { date: '2026-01-01', job: 'a.nc', jobHash: '0' };
    expect(() => learn(made, readSaid('1: through'), burn)).toThrow(
      /found a job that turns or moves the piece/,
    );
    expect(() => finishOf(made, readSaid('1: 1 mm'))).toThrow(/found a job that turns or moves the piece/);
    expect(() => adjustText(jobOf(...ROWS), parseChanges('1: passes 2'), machine)).toThrow(
      /found A, which may move/,
    );
  });
});

describe('a second coordinate system', () => {
  const corner = ['G0 X10 Y10', 'G1 X30 S300 F1000', 'Y30', 'S0'];

  test('in which is burned as in the first is a stop, told once', () => {
    const made = forecast(jobOf('G54', ...corner, 'G55', ...corner), machine, wood, options);
    const [finding] = made.findings;
    expect(finding).toMatchObject({ kind: 'not-simulated', severity: 'stop', line: 8 });
    expect(finding!.message).toMatch(
      /^G55 is not simulated \(once, line 8\): what is burned in it lies as far from what is burned in G54 as their origins do/,
    );
    expect(finding!.remedy).toMatch(
      /^Export the job anew in one coordinate system, or what lies in each as a job of its own/,
    );
    expect(made.program.understood).toEqual([]);
  });

  test.each<[string, string[], string[]]>([
    ['that begins before any word of one', [...corner, 'G55', ...corner], ['G55 stop']],
    [
      'among several',
      ['G56', ...corner, 'G54', ...corner, 'G56', ...corner, 'G59.1', ...corner],
      ['G54 stop', 'G59.1 stop'],
    ],
    ['alone', ['G55', ...corner, ...corner], []],
    ['to which is only travelled', ['G54', ...corner, 'G55', 'G0 X0 Y0'], []],
    ['after travel in the first', ['G54', 'G0 X1 Y1', 'G55', ...corner], []],
    ['chosen again', ['G54', ...corner, 'G54', ...corner], []],
  ])('%s', (_, lines, found) => {
    expect(leftOut(jobOf(...lines))).toEqual(found);
  });
});
