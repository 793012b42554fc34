import { describe, expect, test } from 'vitest';
import type { Stock } from '../../src/board.ts';
import { forecast } from '../../src/forecast.ts';
import { bench, board, poplar } from './pairs.ts';

/** Bed and board told together: no finding advises a way off the one onto the other. */

const BED_MM: [number, number] = [400, 300];
const at = (xMm: number, yMm: number, widthMm = 120, heightMm = 90): Stock => ({
  ...board(4, widthMm, heightMm),
  xMm,
  yMm,
});
/** An outline of 30 × 20 mm, to which the head comes from so far to its left. */
const outline = (x: number, y: number, runUpMm = 0) =>
  `M4 S0\nG0 X${x - runUpMm} Y${y}\nG1 X${x} F600\nX${x + 30} S600\nY${y + 20}\nX${x}\nY${y}\nM5\n`;
const found = (text: string, stock: Stock) => {
  const { findings } = forecast(text, bench({ work_area_mm: BED_MM }), poplar, {
    stock,
    cellMm: 0.5,
    cool: true,
  });
  const of = (kind: string) => findings.find((each) => each.kind === kind);
  return { bed: of('off-bed'), board: of('off-stock') };
};
const BEYOND = /^The board that was told .* itself lies (wholly|partly) beyond the bed/;

describe('a board that lies wholly beyond the bed', () => {
  const stock = at(-120, -90);

  test.each([
    ['on the board', -85, -65, 'bed'],
    ['on the bed, where the bed’s advice used to bring it', 0, 0, 'board'],
  ] as const)('is named, and no way is told of a job %s', (_, x, y, kind) => {
    const told = found(outline(x, y), stock);
    expect(told[kind]!.remedy).toBe(
      'The board that was told (120 × 90 mm from x -120, y -90 mm) itself lies wholly beyond the bed (400 × 300 mm from x 0, y 0 mm), ' +
        'by 120 mm to the left and 90 mm at the front: the job fits both nowhere. Either the origin is not the bed’s lower left corner ' +
        '(a work origin set elsewhere, or homing to another corner), or the board’s place is wrong; put that right before you move the job.',
    );
    expect(told[kind]!.measure).not.toHaveProperty('shift_mm');
    expect(told[kind === 'bed' ? 'board' : 'bed']).toBeUndefined();
  });

  test('a burn beside both is told the same of both', () => {
    const told = found(outline(-200, 0), stock);
    expect(told.bed!.remedy).toMatch(BEYOND);
    expect(told.board!.remedy).toBe(told.bed!.remedy);
  });

  test('so is one that would have to be turned, or whose outline is known', () => {
    expect(found(outline(0, 0), at(-22, -40, 22, 40)).board!.remedy).toMatch(BEYOND);
    const corners = [
      [-120, -90],
      [0, -90],
      [0, 0],
      [-120, 0],
    ] as const;
    const told = found(outline(-85, -65), { ...stock, outline: corners });
    expect(told.bed!.remedy).toMatch(BEYOND);
  });
});

describe('a board that lies half on the bed', () => {
  test('has the job moved to where both are, if it fits there', () => {
    // 60 mm of the board lie on the bed.
    const told = found(outline(-40, 10), at(-60, 0));
    expect(told.bed!.remedy).toBe('Move the job 40 mm to the right; it fits the bed then.');
    expect(told.bed!.measure.shift_mm).toEqual([40, 0]);
    expect(found(outline(0, 10), at(-60, 0))).toEqual({ bed: undefined, board: undefined });
    // Beside the board's left side, nearest to which it would hang off the bed.
    const beside = found(outline(-100, 10), at(-60, 0));
    expect(beside.bed!.remedy).toBe(
      'Move the job 101.5 mm to the right; it fits the bed and the board then.',
    );
    expect(beside.board!.measure.shift_mm).toEqual(beside.bed!.measure.shift_mm);
  });

  test('is named where the job does not fit there', () => {
    const stock = at(-100, 0);
    const told = found(outline(-40, 10), stock);
    expect(told.bed!.remedy).toContain(
      'itself lies partly beyond the bed (400 × 300 mm from x 0, y 0 mm), by 100 mm to the left: the job fits both nowhere.',
    );
    expect(told.bed!.measure).not.toHaveProperty('shift_mm');
    const there = found(outline(0, 10), stock);
    expect(there.board!.remedy).toBe(told.bed!.remedy);
  });
});

describe('a board that lies on the bed', () => {
  test('is told the ordinary ways', () => {
    const bed = found(outline(-10, 5), at(0, 0)).bed!;
    expect(bed.remedy).toBe('Move the job 11.5 mm to the right; it fits the bed and the board then.');
    const beside = found(outline(100, 5), at(0, 0)).board!;
    expect(beside.remedy).toBe('Move the burn 11.5 mm to the left; it fits the board then.');
    expect(found(outline(20, 20), at(0, 0))).toEqual({ bed: undefined, board: undefined });
  });

  test('is to be laid anew where the head has no room for its run-up beside it', () => {
    const stock = at(0, 0, 34, 24);
    const bed = found(outline(2, 2, 10), stock).bed!;
    expect(bed.remedy).toBe(
      'Move the job 8 mm to the right and lay the board anew under it; where the board lies now, the job does not fit both bed and board.',
    );
    expect(bed.measure).not.toHaveProperty('shift_mm');
    const beside = found(outline(10, 2, 10), stock).board!;
    expect(beside.remedy).toBe(
      'Lay the board anew under the burn; where it lies now, the job does not fit both bed and board.',
    );
    expect(beside.measure).not.toHaveProperty('shift_mm');
  });
});

test('a size of the bed that nobody told is said to be assumed', () => {
  const told = (bedIsAssumed: boolean) =>
    forecast(outline(-200, 0), bench(), poplar, {
      stock: at(-120, -90),
      cellMm: 0.5,
      cool: true,
      bedIsAssumed,
    }).findings.filter(({ kind }) => kind === 'off-bed' || kind === 'off-stock');
  const [bed, beside] = told(true);
  expect(bed!.message).toContain(
    '300 × 200 mm (this size is assumed, as the machine’s profile tells none: its field is work_area_mm), by',
  );
  expect(beside!.remedy).toContain('(300 × 200 mm from x 0, y 0 mm, its size assumed), by');
  for (const { message, remedy } of told(false)) expect(message + remedy).not.toContain('assumed');
});
