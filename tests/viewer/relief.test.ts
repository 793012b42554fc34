import { describe, expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { depthsAt, netOver, reliefOf } from '../../viewer/stage/relief.ts';
import { surfaceOf } from '../../viewer/worker/surface.ts';
import { bench, board, poplar } from '../findings/pairs.ts';

/** A square cut half through and one cut through, beside rows that go some tenths of a millimetre deep. */
const JOB = `G21 G90
M4 S0
${Array.from({ length: 40 }, (_, k) => `G0 X10 Y${(10 + 0.1 * k).toFixed(1)}\nG1 X25 S600 F1500`).join('\n')}
G0 X40 Y10
G1 X55 S1000 F600
Y25
X40
Y10
${`G0 X10 Y30\nG1 X25 S1000 F240\nY45\nX10\nY30\n`.repeat(2)}M5
`;
const made = forecast(JOB, bench({ laser: { optical_power_w: 10 } }), poplar, { stock: board(3) });
const surface = surfaceOf(made.burn, made.dose.grid, 15_000_000);

describe('the wood as geometry', () => {
  test('is as deep as the forecast says, to 0.05 mm, wherever one looks closely', () => {
    const places = [
      [15, 10.05],
      [20, 12.02],
      [24.9, 13.4],
      [40, 18],
      [47, 10],
      [55, 20],
      [55.05, 20],
      [12, 30],
      [10, 40],
      [30, 28],
    ] as const;
    const depths = places.map(([x, y]) => {
      const net = netOver(made.board, surface, { atMm: [x, y], withinMm: [4, 3], finestMm: 0.01 }, 300);
      const at = reliefOf(net, surface).getAttribute('position');
      let nearest = 0;
      const away = (k: number) => Math.hypot(at.getX(k) - x, at.getY(k) - y);
      for (let k = 1; k < at.count; k++) if (away(k) < away(nearest)) nearest = k;
      expect(away(nearest)).toBeLessThan(made.burn.frame.cellMm);
      const told = made.burn.depthMm[cellAt(made.burn.frame, at.getX(nearest), at.getY(nearest))]!;
      expect(Math.abs(-at.getZ(nearest) - told)).toBeLessThan(0.05);
      return told;
    });
    // From bare wood through engraving and a half cut to the whole thickness.
    expect(Math.min(...depths)).toBe(0);
    expect(Math.max(...depths)).toBe(3);
    expect(depths.filter((mm) => mm > 0.02 && mm < 2.9).length).toBeGreaterThanOrEqual(4);
  });

  test('reaches from edge to edge, its threads in order, however few they may be', () => {
    for (const most of [20, 90, 420])
      for (const atMm of [
        [0, 0],
        [33, 21],
        [200, -50],
      ] as const) {
        const { xMm, yMm } = netOver(made.board, surface, { atMm, withinMm: [10, 6], finestMm: 0.05 }, most);
        for (const [mm, to] of [
          [xMm, made.board.maxXMm],
          [yMm, made.board.maxYMm],
        ] as const) {
          expect(mm.length).toBeLessThanOrEqual(most);
          expect([mm[0], mm.at(-1)]).toEqual([0, to]);
          for (let k = 1; k < mm.length; k++) expect(mm[k]!).toBeGreaterThan(mm[k - 1]!);
        }
      }
  });

  test('a kerf finer than a coarse net is left to the colour; a filled area is not', () => {
    const net = netOver(made.board, surface, { atMm: [40, 30], withinMm: [80, 60], finestMm: 0.7 }, 200);
    const depths = depthsAt(net, surface);
    let deepest = 0;
    for (const [j, y] of net.yMm.entries())
      for (const [i, x] of net.xMm.entries()) {
        const mm = depths[j * net.xMm.length + i]!;
        if (x > 30 || y > 20) expect(mm).toBe(0);
        else deepest = Math.max(deepest, mm);
      }
    expect(deepest).toBeGreaterThan(0.05);
  });

  /** 0.1 mm apart, and deep: whatever lies between two threads, they must not be met now on a row, now beside it. */
  test.each([0.06, 0.07, 0.08, 0.1, 0.13, 0.17, 0.23, 0.4, 0.7])(
    'rows finer than a net of %s mm are no steps in it',
    (finestMm) => {
      const net = netOver(made.board, surface, { atMm: [17, 12], withinMm: [12, 8], finestMm }, 800);
      const depths = depthsAt(net, surface);
      const within = (mm: Float64Array, from: number, to: number): number[] =>
        [...mm.keys()].filter((k) => mm[k]! > from && mm[k]! < to);
      const [columns, rows] = [within(net.xMm, 13, 22), within(net.yMm, 10.8, 13.1)];
      const apart = new Set(rows.slice(1).map((j) => Math.round((net.yMm[j]! - net.yMm[j - 1]!) / 0.01)));
      expect(apart.size).toBe(1);
      const at = columns.flatMap((i) => rows.map((j) => depths[j * net.xMm.length + i]!));
      expect(at.length).toBeGreaterThan(30);
      // As near as texels the rows are there to see; else all knots lie on the ridges between them.
      const isFine = finestMm < 1.5 * surface.frame.cellMm;
      if (!isFine) expect(Math.max(...at) - Math.min(...at)).toBeLessThan(0.02);
      expect(Math.min(...at)).toBeGreaterThan(0.05);
    },
  );

  test.each([true, false])('its faces cover the board once, all seen from above; sealed: %s', (isSealed) => {
    const net = netOver(made.board, surface, { atMm: [20, 20], withinMm: [12, 8], finestMm: 0.1 }, 160);
    const geometry = reliefOf(net, surface, isSealed);
    const at = geometry.getAttribute('position');
    const index = geometry.getIndex()!;
    let areaMm2 = 0;
    for (let k = 0; k < index.count; k += 3) {
      const [a, b, c] = [index.getX(k), index.getX(k + 1), index.getX(k + 2)];
      const twice =
        (at.getX(b) - at.getX(a)) * (at.getY(c) - at.getY(a)) -
        (at.getX(c) - at.getX(a)) * (at.getY(b) - at.getY(a));
      expect(twice).toBeGreaterThanOrEqual(0);
      areaMm2 += twice / 2;
    }
    expect(areaMm2).toBeCloseTo(80 * 60, 1);
    // Bare wood takes few of them.
    expect(index.count / 3).toBeLessThan(0.7 * 2 * (net.xMm.length - 1) * (net.yMm.length - 1));
  });

  test('each edge of a face amid the board is the edge of one other face', () => {
    for (const atMm of [
      [20, 12],
      [47, 10],
      [12, 40],
    ] as const) {
      const net = netOver(made.board, surface, { atMm, withinMm: [12, 8], finestMm: 0.1 }, 160);
      const index = reliefOf(net, surface).getIndex()!;
      const edges = new Set<string>();
      for (let k = 0; k < index.count; k += 3) {
        const corners = [index.getX(k), index.getX(k + 1), index.getX(k + 2)];
        for (const [n, from] of corners.entries()) edges.add(`${from} ${corners[(n + 1) % 3]}`);
      }
      // Each edge is there once; without its like the other way round are those along the board's rim alone.
      expect(edges.size).toBe(index.count);
      const [w, h] = [net.xMm.length, net.yMm.length];
      const alone = [...edges]
        .map((edge) => edge.split(' ').map(Number) as [number, number])
        .filter(([from, to]) => !edges.has(`${to} ${from}`));
      const rims = (knot: number): number[] => [
        ...(knot % w === 0 ? [0] : []),
        ...(knot % w === w - 1 ? [1] : []),
        ...(knot < w ? [2] : []),
        ...(knot >= w * (h - 1) ? [3] : []),
      ];
      for (const [from, to] of alone) expect(rims(from).some((rim) => rims(to).includes(rim))).toBe(true);
    }
  });
});
