import { expect, test } from 'vitest';
import { findNotSimulated } from '../../src/findings/not-simulated.ts';
import { readOptions } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { bench } from './pairs.ts';

const remediesOf = (lines: string) =>
  findNotSimulated(
    readProgram(`G21 G90\nM3 S500\nG1 X10 F600\n${lines}\nG1 X20\nM5\n`, readOptions(bench())),
  );

test.each([
  [
    'G5 X20 Y20 I1 J1',
    /^Export the job anew with lines and arcs only \(G1, G2, G3\), or judge that place by hand\.$/,
  ],
  ['G81 X5 Y5 Z-1 R1', /^Export the job anew as one run of plain moves, without cycles, /],
  ['#1=5', /^Export the job anew with plain numbers, without parameters and expressions, /],
  ['G1 X[1+1]', /^Export the job anew with plain numbers, /],
  [
    'O100 SUB',
    /^Export the job anew as one run of plain moves, without cycles, subprograms, loops and conditions, /,
  ],
  ['M98 P1', /^Export the job anew as one run of plain moves, /],
  ['G68 X0 Y0 R30', /^Export the job anew with its places worked out, in plain X and Y, /],
  ['G41 D1', /^Export the job anew with the width of the cut already allowed for in its path, /],
  ['M62 P1', /^Leave M62 out of the job, or judge that place by hand\.$/],
])('what draws the job is not to be left out of it: %s', (line, remedy) => {
  expect(remediesOf(line)[0]!.remedy).toMatch(remedy);
});
