import { describe, expect, test } from 'vitest';
import { measureHatch } from '../../src/findings/evidence/row-lines.ts';
import { forecast } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { adjust } from '../change/support.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar, ROUGH } from './pairs.ts';

/** Rows in several directions in one operation: each is judged as if it were alone. */

const read = (text: string) => readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
const job = (...fills: readonly string[][]): string =>
  ['G21 G90', 'M3 S0', ...fills.flat(), 'G0 S0', 'M5', ''].join('\n');

interface Fill {
  readonly spacingMm?: number;
  readonly count?: number;
  readonly lengthMm?: number;
  readonly degrees?: number;
  readonly atMm?: readonly [x: number, y: number];
  readonly s?: number;
}

/** A fill of rows to and fro about a point. */
function fill({
  spacingMm = 0.3,
  count = 26,
  lengthMm = 8,
  degrees = 0,
  atMm = [15, 15],
  s = 400,
}: Fill): string[] {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const at = (along: number, across: number) =>
    `X${(atMm[0] + along * cos - across * sin).toFixed(3)} Y${(atMm[1] + along * sin + across * cos).toFixed(3)}`;
  return Array.from({ length: count }, (_, k) => {
    const across = (k - (count - 1) / 2) * spacingMm;
    const from = (k % 2 ? lengthMm : -lengthMm) / 2;
    return `G0 ${at(from, across)} S0\nG1 ${at(-from, across)} S${s} F3000`;
  });
}

describe('the directions of rows', () => {
  const hatchOf = (text: string) => {
    const program = read(text);
    expect(program.operations.map(({ kind }) => kind)).toEqual(['rows']);
    return measureHatch(program, program.operations[0]!);
  };
  const degreesOf = (text: string) =>
    hatchOf(text)
      .map(({ ux, uy }) => (Math.atan2(uy, ux) * 180) / Math.PI)
      .map((degrees) => Math.round(((degrees + 180) % 180) * 10) / 10);

  test.each([[[0]], [[30]], [[0, 90]], [[45, 135]], [[20, 80, 140]], [[0, 90, 45]]])('%j', (degrees) => {
    const text = job(...degrees.map((each) => fill({ degrees: each })));
    expect(degreesOf(text).sort((a, b) => a - b)).toEqual([...degrees].sort((a, b) => a - b));
    for (const rows of hatchOf(text)) {
      expect(rows.spacingMm).toBeCloseTo(0.3, 2);
      expect(rows.count).toBe(26);
      expect(rows.longestMm).toBeCloseTo(8, 2);
    }
  });

  test('the one with most of the length comes first', () => {
    expect(degreesOf(job(fill({ count: 10 }), fill({ degrees: 90, count: 20 })))).toEqual([90, 0]);
  });

  test('burned steps from row to row are no rows', () => {
    // A meander of rows of 2 mm, 0.5 mm apart: a fifth of it are steps, all across the rows.
    const meander = Array.from({ length: 30 }, (_, k) => `Y${k / 2}\nX${k % 2 ? 0 : 2}`);
    expect(degreesOf(job(['G0 X0 Y0', `G1 S400 F3000 ${meander.join('\n')}`]))).toEqual([0]);
  });
});

describe('a cross-hatch', () => {
  const machine = machineWith({ spot: { width_mm: [0.1, 0.1] } });
  const findingsOf = (text: string) =>
    forecast(text, machine, poplar, { ...ROUGH, stock: board(4, 30, 30) }).findings;
  const of = (kind: string, text: string) => findingsOf(text).find((each) => each.kind === kind);
  const half = job(fill({}));
  const crossed = job(fill({}), fill({ degrees: 90 }));

  test('has what its halves have: as many dark row ends of both, and stripes', () => {
    const [one, both] = [half, crossed].map((text) => of('dark-row-end', text)!);
    expect(both!.measure.count).toBe(2 * Number(one!.measure.count));
    expect(both!.advice).toEqual(one!.advice);
    const [striped, net] = [half, crossed].map((text) => of('stripes', text)!);
    expect(net!.measure.row_spacing_mm).toBeCloseTo(0.3, 9);
    // On the mean of the rows it crosses the same swing is half as much of the whole.
    expect(Number(net!.measure.ripple_percent)).toBeCloseTo(Number(striped!.measure.ripple_percent) / 2, -1);
  });

  test('the same side by side: neither lies on the other', () => {
    const beside = job(fill({ atMm: [9, 9] }), fill({ degrees: 90, atMm: [20, 20] }));
    const [one, both] = [half, beside].map((text) => of('stripes', text)!);
    expect(both!.measure.ripple_percent).toBe(one!.measure.ripple_percent);
    expect(of('dark-row-end', beside)!.measure.count).toBe(2 * 52);
  });

  test('gets its overscan at both ends of all rows, and so loses their dark ends', () => {
    const change = of('dark-row-end', crossed)!.advice!.change;
    const changed = adjust(crossed, change, machine);
    const { moves } = read(changed);
    let rows = 0;
    for (let k = 1; k < moves.count - 1; k++) {
      if (moves.rapid[k] || !(moves.s[k]! > 0)) continue;
      rows++;
      for (const other of [k - 1, k + 1]) expect([moves.rapid[other], moves.s[other]]).toEqual([0, 0]);
    }
    expect(rows).toBe(52);
    expect(of('dark-row-end', changed)).toBeUndefined();
  });

  test('in one direction all rows of each follow the first of them', () => {
    const { moves } = read(adjust(crossed, '1: one direction', machine));
    const ways = new Set<string>();
    for (let k = 1; k < moves.count; k++) {
      if (moves.rapid[k] || !(moves.s[k]! > 0)) continue;
      ways.add(
        `${Math.sign(Math.round(moves.xMm[k]! - moves.xMm[k - 1]!))} ${Math.sign(Math.round(moves.yMm[k]! - moves.yMm[k - 1]!))}`,
      );
    }
    expect([...ways]).toEqual(['1 0', '0 1']);
  });
});
