import { describe, expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { frameBounds, frameOver, nearestCell } from '../../src/grid.ts';
import { heldAround, heldOutlines } from '../../src/parts/held.ts';
import { partsAmong, partsOf } from '../../src/parts/parts.ts';
import { bench, board, poplar } from '../findings/pairs.ts';
import { seeded } from '../support/random.ts';

const machine = bench({ laser: { optical_power_w: 10 } });
const run = (text: string, thicknessMm = 3) =>
  forecast(text, machine, poplar, { stock: board(thicknessMm, 46, 60) });

/** A square burned from corner to corner, `passes` times; at 240 mm/min two passes are through 3 mm. */
const square = (x: number, y: number, side: number, passes = 2, feed = 240) =>
  [
    `G0 X${x} Y${y}`,
    ...Array.from({ length: passes }, () => `G1 X${x + side} S1000 F${feed}\nY${y + side}\nX${x}\nY${y}`),
  ].join('\n');
const text = (...parts: string[]) => `G21 G90\nM4 S0\n${parts.join('\n')}\nM5\n`;

describe('what comes free', () => {
  test('a square cut all round is one part, a kerf’s width smaller than its path; the rest is the board', () => {
    const made = run(text(square(10, 10, 30)));
    const parts = partsOf(made)!;
    expect(made.cuts.map(({ through }) => through)).toEqual([true]);
    expect(parts.free).toHaveLength(1);
    const [{ areaMm2, bounds }] = parts.free as [(typeof parts.free)[number]];
    const sideMm = Math.sqrt(areaMm2);
    // Narrower than its path by what the spot takes on either side of it, which is less than the spot's width.
    expect(sideMm).toBeLessThan(30);
    expect(sideMm).toBeGreaterThan(30 - 0.2);
    expect(bounds.maxXMm - bounds.minXMm).toBeCloseTo(sideMm, 1);
    const pieceAt = (x: number, y: number) => parts.piece[nearestCell(parts.frame, x, y)];
    expect([pieceAt(25, 25), pieceAt(2, 2), pieceAt(43, 30)]).toEqual([1, 0, 0]);
    // Where nothing is left, the piece nearest.
    expect([pieceAt(25, 10.03), pieceAt(25, 9.95)]).toEqual([1, 0]);
  });

  test('a ring gives two parts, the larger first', () => {
    const { free } = partsOf(run(text(square(20, 20, 8), square(10, 10, 30))))!;
    expect(free.map(({ n }) => n)).toEqual([1, 2]);
    // Of each path the kerf takes no more than half the spot's width on either side.
    const [ring, core] = free.map(({ areaMm2 }) => areaMm2) as [number, number];
    expect(core).toBeLessThan(8 ** 2);
    expect(core).toBeGreaterThan((8 - 0.2) ** 2);
    expect(ring).toBeLessThan(30 ** 2 - 8 ** 2);
    expect(ring).toBeGreaterThan((30 - 0.2) ** 2 - (8 + 0.2) ** 2);
  });

  test('an outline that is not through, or open on one side, frees nothing', () => {
    expect(partsOf(run(text(square(10, 10, 30, 1, 900)), 4))).toBeNull();
    const open = `G0 X10 Y10\n${`G1 X40 S1000 F240\nY40\nX10\nG0 Y10\n`.repeat(2)}`;
    expect(partsOf(run(text(open)))!.free).toEqual([]);
  });

  test.each([
    [0.3, 1],
    [2, 0],
  ])(
    'a bridge %d mm long that little burns: %d parts, as the cut’s own verdict has it',
    (bridgeMm, count) => {
      const sides = `X${25 - bridgeMm / 2} S1000 F240\nX${25 + bridgeMm / 2} S250\nX40 S1000\nY40\nX10\nY10\n`;
      const made = run(text(`G0 X10 Y10\n${`G1 ${sides}`.repeat(2)}`));
      expect(made.cuts.map(({ through }) => through)).toEqual([count === 1]);
      expect(partsOf(made)!.free).toHaveLength(count);
    },
  );

  test('what reaches the border and is not the largest comes off as well', () => {
    const across = text(`G0 X20 Y0\n${'G1 Y60 S1000 F240\nY0\n'.repeat(2)}`);
    const { free, piece, frame } = partsOf(run(across))!;
    expect(free).toHaveLength(1);
    expect(free[0]!.areaMm2 / 60).toBeGreaterThan(20 - 0.1);
    expect(free[0]!.areaMm2 / 60).toBeLessThan(20);
    expect(piece[nearestCell(frame, 10, 30)]).toBe(1);
    // It goes on to the board's edge, far beyond what light falls on.
    expect(frame.x0Mm).toBeGreaterThan(15);
    expect(free[0]!.bounds).toMatchObject({ minXMm: 0, minYMm: 0, maxYMm: 60 });
    // Joined cells lose more to the kerf, and nothing else.
    const [joined] = partsOf(run(across), 4)!.free as [(typeof free)[number]];
    expect(joined.areaMm2).toBeLessThanOrEqual(free[0]!.areaMm2);
    expect(joined.areaMm2).toBeGreaterThan(free[0]!.areaMm2 - 60 * 4 * 2 * frame.cellMm);
  });

  test('cells joined by threes tell the same parts', () => {
    const made = run(text(square(20, 20, 8), square(10, 10, 30)));
    const [fine, joined] = [partsOf(made)!, partsOf(made, 3)!];
    expect(joined.frame.cellMm).toBeCloseTo(3 * fine.frame.cellMm, 12);
    expect(joined.free).toHaveLength(2);
    joined.free.forEach(({ areaMm2 }, k) => {
      const sideMm = Math.sqrt(fine.free[k]!.areaMm2);
      expect(areaMm2).toBeLessThan(fine.free[k]!.areaMm2);
      expect(areaMm2).toBeGreaterThan((sideMm - 6 * joined.frame.cellMm) ** 2);
    });
  });

  test('every filling agrees with one cell after the other, on grids cut at random', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const random = seeded(seed);
      const frame = frameOver({ minXMm: 0, minYMm: 0, maxXMm: 24, maxYMm: 17 }, 1);
      const isCut = Uint8Array.from({ length: frame.nx * frame.ny }, () => (random() < 0.45 ? 1 : 0));
      const { piece, free } = partsAmong(frame, isCut, frameBounds(frame));
      const seen = new Set<number>();
      const sizes: number[] = [];
      let border = 0;
      for (let from = 0; from < isCut.length; from++) {
        if (isCut[from] !== 0 || seen.has(from)) continue;
        const todo = [from];
        const found = new Set(todo);
        while (todo.length > 0) {
          const k = todo.pop()!;
          const i = k % frame.nx;
          for (const [at, isThere] of [
            [k - 1, i > 0],
            [k + 1, i < frame.nx - 1],
            [k - frame.nx, true],
            [k + frame.nx, true],
          ] as const)
            if (isThere && isCut[at] === 0 && !found.has(at)) {
              found.add(at);
              todo.push(at);
            }
        }
        for (const k of found) seen.add(k);
        // A piece has one number.
        expect(new Set([...found].map((k) => piece[k])).size).toBe(1);
        const touches = [...found].some((k) => {
          const [i, j] = [k % frame.nx, Math.floor(k / frame.nx)];
          return i === 0 || j === 0 || i === frame.nx - 1 || j === frame.ny - 1;
        });
        if (touches) border = Math.max(border, found.size);
        sizes.push(found.size);
      }
      sizes.sort((a, b) => b - a);
      sizes.splice(sizes.indexOf(border), 1);
      expect(free.map(({ areaMm2 }) => areaMm2)).toEqual(sizes);
    }
  });
});

describe('where an outline still holds', () => {
  test('half cut: all along, and so deep', () => {
    const made = run(text(square(10, 10, 30, 1, 500)), 4);
    const [outline, ...more] = heldOutlines(made);
    expect(more).toEqual([]);
    expect(outline!.heldMm).toBeCloseTo(120, 0);
    expect(outline!.lengthMm).toBeCloseTo(120, 0);
    expect(outline!.shallowestMm).toBe(made.cuts[0]!.shallowestMm);
    expect(outline!.shallowestMm).toBeLessThan(4);
    expect(outline!.stretches.length).toBe(1);
    expect(heldAround(made, [outline!], 25, 25)).toBe(outline);
    expect(heldAround(made, [outline!], 5, 5)).toBeNull();
  });

  test('a bridge: there, and nowhere else; of nested outlines the inner one is meant', () => {
    const sides = 'X24 S1000 F240\nX26 S250\nX40 S1000\nY40\nX10\nY10\n';
    const made = run(text(square(20, 20, 8, 1, 900), `G0 X10 Y10\n${`G1 ${sides}`.repeat(2)}`));
    const held = heldOutlines(made);
    const outer = heldAround(made, held, 12, 12)!;
    expect(outer.heldMm).toBeGreaterThan(1.5);
    expect(outer.heldMm).toBeLessThan(2.6);
    for (const stretch of outer.stretches)
      for (let k = 0; k < stretch.length; k += 2) {
        expect(Math.abs(stretch[k]! - 25)).toBeLessThan(1.6);
        expect(stretch[k + 1]).toBeCloseTo(10, 6);
      }
    const inner = heldAround(made, held, 24, 24);
    expect(inner).not.toBe(outer);
    expect(inner!.loop.maxXMm).toBeCloseTo(28, 6);
  });

  test('what was burned before is no part of it, in one stroke or another', () => {
    // A line that leads into the outline without a gap.
    const led = `G0 X2 Y2\nG1 X8 Y8 S300 F1500\n${'G1 X40 S1000 F600\nY40\nX8\nY8\n'}`;
    for (const before of ['G0 X12 Y50\nG1 X32 S300 F1500\n', '']) {
      const held = heldOutlines(run(text(before, led), 4));
      expect(held.length).toBeGreaterThan(0);
      for (const outline of held)
        for (const stretch of outline.stretches)
          for (let k = 0; k < stretch.length; k += 2) {
            expect(Math.min(stretch[k]!, stretch[k + 1]!)).toBeGreaterThan(outline.loop.minXMm - 0.2);
            expect(stretch[k]!).toBeLessThan(41);
          }
    }
  });

  test('what comes free holds nowhere', () => {
    expect(heldOutlines(run(text(square(10, 10, 30))))).toEqual([]);
  });
});
