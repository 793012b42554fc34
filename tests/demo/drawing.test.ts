import { Resvg } from '@resvg/resvg-js';
import { PNG } from 'pngjs';
import { describe, expect, it } from 'vitest';
import { lengthOf, minus, type Point, place, type Ring, ribbon, unplace } from '../../src/demo/geometry.ts';
import { BASIL, MINT, sprigSpans, THYME } from '../../src/demo/herbs.ts';
import { type Leaf, leafPoint, margin } from '../../src/demo/leaf.ts';
import { lettering } from '../../src/demo/lettering.ts';
import { bow, circle, type Leg, notch, outline, round, sharp } from '../../src/demo/path.ts';
import { burnRows, evenRuns, rowHeights, shadedRuns } from '../../src/demo/raster.ts';
import { spansAt, together, without } from '../../src/demo/scan.ts';
import { font, fontPath } from './font.ts';

const square = (fromMm: number, toMm: number): Ring => [
  [fromMm, fromMm],
  [toMm, fromMm],
  [toMm, toMm],
  [fromMm, toMm],
];
const reversed = (ring: Ring): Ring => [...ring].reverse();

/** The shoelace formula (Gauss's area formula): positive for counter-clockwise rings. */
const shoelaceMm2 = (ring: Ring): number =>
  ring.reduce((sum, [x, y], k) => {
    const [nextX, nextY] = ring[(k + 1) % ring.length]!;
    return sum + (x * nextY - nextX * y) / 2;
  }, 0);

describe('scan conversion', () => {
  it('counts a corner on the scan line once', () => {
    const diamond: Ring = [
      [0, -1],
      [1, 0],
      [0, 1],
      [-1, 0],
    ];
    expect(spansAt([diamond], 0, 'nonzero')).toEqual([[-1, 1]]);
    expect(spansAt([diamond], 1, 'nonzero')).toEqual([]);
    expect(spansAt([diamond], 0.5, 'even-odd')).toEqual([[-0.5, 0.5]]);
  });

  // The two rules as in SVG 1.1, section 11.3 (fill-rule): nested squares.
  it('fills by turns or by crossings', () => {
    const same = [square(0, 9), square(3, 6)];
    const opposed = [square(0, 9), reversed(square(3, 6))];
    const ring = [
      [0, 3],
      [6, 9],
    ];
    expect(spansAt(same, 4, 'nonzero')).toEqual([[0, 9]]);
    expect(spansAt(same, 4, 'even-odd')).toEqual(ring);
    expect(spansAt(opposed, 4, 'nonzero')).toEqual(ring);
    expect(spansAt(opposed, 4, 'even-odd')).toEqual(ring);
  });

  it('takes holes out of spans', () => {
    const bare = without(
      [
        [0, 10],
        [20, 30],
      ],
      [
        [-5, 1],
        [3, 4],
        [8, 25],
      ],
    );
    expect(bare).toEqual([
      [1, 3],
      [4, 8],
      [25, 30],
    ]);
    expect(together([[5, 6]], [[1, 2]])).toEqual([
      [1, 2],
      [5, 6],
    ]);
  });

  it('adds up to the shoelace area of a leaf', () => {
    const leaf: Leaf = { lengthMm: 15, widthMm: 9, base: 0.6, tip: 0.95, bowMm: 0.7, veinPairs: 5, teeth: 0 };
    const ring = margin(leaf);
    const rowMm = 0.01;
    const areaMm2 = rowHeights(-10, 10, rowMm)
      .flatMap((yMm) => spansAt([ring], yMm, 'nonzero'))
      .reduce((sum, [from, to]) => sum + (to - from) * rowMm, 0);
    expect(areaMm2).toBeCloseTo(shoelaceMm2(ring), 2);
  });
});

describe('lettering', () => {
  it('sets capitals to the height asked for, from x = 0', () => {
    const { rings, widthMm } = lettering(font, 'HE', 10);
    const ys = rings.flat().map(([, y]) => y);
    expect(Math.min(...ys)).toBeCloseTo(0, 1);
    expect(Math.max(...ys)).toBeCloseTo(10, 1);
    expect(Math.min(...rings.flat().map(([x]) => x))).toBe(0);
    expect(Math.max(...rings.flat().map(([x]) => x))).toBe(widthMm);
  });

  // Outside check: a general-purpose SVG renderer fills the same words from the font file, by its own
  // shaping and its own rasteriser.
  it.each(['Basil', 'Thyme', 'Mint', 'Herb garden'])(
    'rows of "%s" are what an SVG renderer fills',
    (text) => {
      const pxPerMm = 20;
      const capMm = 10;
      const { rings, widthMm } = lettering(font, text, capMm);
      const sizePx = ((capMm * font.unitsPerEm) / font.tables.os2!.sCapHeight) * pxPerMm;
      const bearingPx = Math.min(
        ...font.getPath(text, 0, 0, sizePx).commands.flatMap((c) => ('x' in c ? [c.x] : [])),
      );
      const width = Math.ceil(widthMm * pxPerMm) + 40;
      const height = 18 * pxPerMm;
      const baselinePx = 13 * pxPerMm;
      const svg =
        `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"><rect width="100%" height="100%" fill="white"/>` +
        `<text x="${20 - bearingPx}" y="${baselinePx}" font-family="Crete Round" font-size="${sizePx}">${text}</text></svg>`;
      const { data } = PNG.sync.read(
        new Resvg(svg, { font: { fontFiles: [fontPath], loadSystemFonts: false } }).render().asPng(),
      );

      let ink = 0;
      let differs = 0;
      for (let j = 0; j < height; j++) {
        const spans = spansAt(rings, (baselinePx - j - 0.5) / pxPerMm, 'nonzero');
        for (let i = 0; i < width; i++) {
          const xMm = (i + 0.5 - 20) / pxPerMm;
          const ours = spans.some(([from, to]) => xMm >= from && xMm < to);
          const theirs = data[4 * (j * width + i)]! < 128;
          ink += theirs ? 1 : 0;
          differs += ours === theirs ? 0 : 1;
        }
      }
      expect(ink).toBeGreaterThan(10_000);
      expect(differs / ink).toBeLessThan(0.01);
    },
  );
});

describe('rows', () => {
  it('lie in the middle of their strips', () => {
    expect(rowHeights(0, 0.5, 0.1).map((y) => y.toFixed(2))).toEqual([
      '0.05',
      '0.15',
      '0.25',
      '0.35',
      '0.45',
    ]);
  });

  it('merge neighbouring pixels of one shade and cut the last ones to the span', () => {
    const runs = shadedRuns([[0.25, 1.1]], 0.2, (xMm) => (xMm < 0.6 ? 100 : 300));
    expect(runs).toEqual([
      { fromMm: 0.25, toMm: 0.6, s: 100 },
      { fromMm: 0.6, toMm: 1.1, s: 300 },
    ]);
  });

  it('go back and forth, with room to turn on both sides', () => {
    const rows = [1, 2].map((yMm) => ({
      yMm,
      runs: evenRuns(
        [
          [10, 12],
          [15, 20],
        ],
        500,
      ),
    }));
    const went = burnRows(rows, { feedMmPerMin: 3000, overscanMm: 3 }).map((block) =>
      block.do === 'line' || block.do === 'travel' ? [...block.toMm, block.do === 'line' ? block.s : 0] : [],
    );
    expect(went).toEqual([
      [7, 1, 0],
      [10, 1, 0],
      [12, 1, 500],
      [15, 1, 0],
      [20, 1, 500],
      [23, 1, 0],
      [23, 2, 0],
      [20, 2, 0],
      [15, 2, 500],
      [12, 2, 0],
      [10, 2, 500],
      [7, 2, 0],
    ]);
  });
});

describe('paths', () => {
  const arcsOf = (startMm: Point, legs: readonly Leg[]) =>
    legs.flatMap((leg, k) => {
      if (leg.kind !== 'arc') return [];
      const fromMm = k === 0 ? startMm : legs[k - 1]!.toMm;
      return [
        { ...leg, fromMm, radii: [fromMm, leg.toMm].map((point) => lengthOf(minus(point, leg.centreMm))) },
      ];
    });

  it('bow by the sagitta asked for, to the left when positive', () => {
    // r = (c² / 4 + s²) / 2s for chord c and sagitta s (elementary geometry): c = 8, s = 2 gives 5.
    const path = bow([0, 0], [8, 0], 2);
    const [arc] = arcsOf(path.startMm, path.legs);
    expect(arc!.centreMm[0]).toBeCloseTo(4, 12);
    expect(arc!.centreMm[1]).toBeCloseTo(-3, 12);
    expect(arc!.clockwise).toBe(true);
    expect(bow([0, 0], [8, 0], -2).legs[0]).toMatchObject({ clockwise: false });
  });

  it('round off a corner by a circle that touches both sides', () => {
    const { startMm, legs } = outline([round(0, 0, 2), round(10, 0, 2), round(10, 6, 2), round(0, 6, 2)]);
    expect(startMm).toEqual([5, 0]);
    expect(legs.at(-1)!.toMm).toEqual([5, 0]);
    const arcs = arcsOf(startMm, legs);
    expect(arcs).toHaveLength(4);
    for (const arc of arcs) {
      expect(arc.radii[0]).toBeCloseTo(2, 12);
      expect(arc.radii[1]).toBeCloseTo(2, 12);
      expect(arc.clockwise).toBe(false);
    }
    expect(arcs[0]!.centreMm[0]).toBeCloseTo(8, 12);
    expect(arcs[0]!.centreMm[1]).toBeCloseTo(2, 12);
  });

  it('notch a corner by a bite around it, and leave a sharp one alone', () => {
    const { startMm, legs } = outline([sharp(0, 0), notch(10, 0, 2), sharp(10, 6)]);
    expect(arcsOf(startMm, legs)).toMatchObject([{ centreMm: [10, 0], clockwise: true, radii: [2, 2] }]);
    expect(legs.map((leg) => leg.toMm)).toContainEqual([10, 6]);
  });

  it('close a circle where it began', () => {
    expect(circle([3, 4], 2)).toMatchObject({ startMm: [4, 4], legs: [{ toMm: [4, 4], centreMm: [3, 4] }] });
  });
});

describe('leaves and sprigs', () => {
  it('put and take back a point', () => {
    const placement = { atMm: [3, -2] as Point, turnRad: 1.1, mirrored: true };
    const back = unplace(place([4, 5], placement), placement);
    expect(back[0]).toBeCloseTo(4, 12);
    expect(back[1]).toBeCloseTo(5, 12);
  });

  it('are as long and as wide as asked', () => {
    const leaf: Leaf = { lengthMm: 20, widthMm: 8, base: 0.6, tip: 0.9, bowMm: 0, veinPairs: 4, teeth: 0 };
    expect(leafPoint(leaf, 0, 1)).toEqual([0, 0]);
    expect(leafPoint(leaf, 1, 1)).toEqual([20, 0]);
    const widest = 0.6 / (0.6 + 0.9);
    expect(leafPoint(leaf, widest, 1)[1]).toBeCloseTo(4, 12);
    expect(Math.max(...margin(leaf).map(([, y]) => y))).toBeLessThanOrEqual(4 + 1e-12);
  });

  it('make a ribbon of the widths asked for', () => {
    const ring = ribbon(
      [
        [0, 0],
        [10, 0],
      ],
      2,
      1,
    );
    expect(shoelaceMm2(ring)).toBeCloseTo(-15, 12);
  });

  it.each([BASIL, MINT, THYME])('$name leaves its veins bare', ({ sprig }) => {
    const rowMm = 0.05;
    const area = (spansOf: (yMm: number) => readonly (readonly [number, number])[]) =>
      rowHeights(-11, 11, rowMm)
        .flatMap((yMm) => [...spansOf(yMm)])
        .reduce((sum, [from, to]) => sum + (to - from) * rowMm, 0);
    const burnedMm2 = area((yMm) => sprigSpans(sprig, yMm));
    const filledMm2 = sprig.filled.reduce((sum, ring) => sum + Math.abs(shoelaceMm2(ring)), 0);
    expect(burnedMm2).toBeGreaterThan(0.7 * filledMm2);
    expect(burnedMm2).toBeLessThan(0.92 * filledMm2);
  });
});
