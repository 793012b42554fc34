import { Matrix } from 'ml-matrix';
import { describe, expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { grown } from '../../src/nearby.ts';
import { flattened } from '../../src/photo/flatten.ts';
import { homographyOf, inverted, mapped } from '../../src/photo/homography.ts';
import { type Lens, seenAt, straightLens, unbent } from '../../src/photo/lens.ts';
import { codedOf, valueAt } from '../../src/photo/photo.ts';
import { addRow, type Column, equationsOf, layOut, matrixOf, solutionOf } from '../../src/piece/equations.ts';
import { lightTermsAt, withoutLight } from '../../src/piece/light-terms.ts';
import { setSloped } from '../../src/piece/look.ts';
import { coarser, lightByTone, marksOf } from '../../src/piece/marks.ts';
import { shownOf } from '../../src/piece/shown.ts';
import { seeded } from '../support/random.ts';
import { machine, wood } from './pieces.ts';

/** The parts of reading a photo of a piece, against closed forms. */

const map = homographyOf(
  [
    [0, 0],
    [60, 0],
    [60, 40],
    [0, 40],
  ],
  [
    [40, 300],
    [420, 280],
    [400, 40],
    [60, 30],
  ],
)!;

describe('the lens', () => {
  const lens: Lens = { ...straightLens({ width: 480, height: 340 }), k1: -0.12, k2: 0.03 };

  test('one half diagonal from the middle, k1 + k2 is the whole of it', () => {
    const plain = homographyOf(
      [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ],
      [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ],
    )!;
    const [x, y] = seenAt({ map: plain, lens }, 480, 340);
    expect(Math.hypot(x - 240, y - 170)).toBeCloseTo(lens.halfDiagonalPx * (1 - 0.12 + 0.03), 9);
    expect(seenAt({ map: plain, lens }, 240, 170)).toEqual([240, 170]);
  });

  test('is undone again', () => {
    for (const [x, y] of [
      [3, 5],
      [59, 2],
      [30, 20],
      [58, 39],
    ] as const) {
      const back = mapped(inverted(map), unbent(lens, seenAt({ map, lens }, x, y)));
      expect(back[0]).toBeCloseTo(x, 6);
      expect(back[1]).toBeCloseTo(y, 6);
    }
  });
});

test('a flat photo shows each cell what lies there, and nothing beyond its edge', () => {
  const [width, height] = [480, 340];
  const data = new Uint8ClampedArray(4 * width * height).fill(255);
  const back = inverted(map);
  // Light that rises with the board's own x, as the camera sees it.
  for (let y = 0, k = 0; y < height; y++)
    for (let x = 0; x < width; x++, k += 4) {
      const [xMm] = mapped(back, [x + 0.5, y + 0.5]);
      data.fill(codedOf(Math.min(1, Math.max(0, xMm / 60))), k, k + 3);
    }
  const frame = { nx: 66, ny: 20, x0Mm: -2, y0Mm: 10, cellMm: 1 };
  const lens = straightLens({ width, height });
  const { rgb } = flattened({ width, height, data }, { map, lens }, frame, 6);
  for (const i of [4, 20, 45, 60]) expect(rgb[3 * (10 * 66 + i)]).toBeCloseTo((i - 2 + 0.5) / 60, 1.7);
  const beyond = flattened({ width, height, data }, { map, lens }, { ...frame, x0Mm: 90 }, 6);
  expect(beyond.rgb.every(Number.isNaN)).toBe(true);
});

test('light that is uneven as a low surface leaves nothing, and a pattern leaves what is not such light', () => {
  const frame = { nx: 17, ny: 11, x0Mm: 0, y0Mm: 0, cellMm: 1 };
  const cells = Array.from({ length: 17 * 11 }, (_, k) => [k % 17, Math.floor(k / 17)] as const);
  const surface = Float32Array.from(cells, ([i, j]) => {
    const [one, x, y, xx, xy, yy] = lightTermsAt(frame, i, j) as [
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    return 0.3 * one - 0.2 * x + 0.1 * y - 0.15 * xx + 0.05 * xy + 0.07 * yy;
  });
  for (const left of withoutLight(frame, surface)) expect(Math.abs(left)).toBeLessThan(1e-6);
  const random = seeded(3);
  const pattern = surface.map((light) => light + random());
  const left = withoutLight(frame, pattern);
  for (let a = 0; a < 6; a++) {
    const along = cells.reduce((sum, [i, j], k) => sum + lightTermsAt(frame, i, j)[a]! * left[k]!, 0);
    expect(Math.abs(along)).toBeLessThan(1e-4);
  }
});

test('light and its slopes from nine pixels are those of straight lines between them, at the edge too', () => {
  const random = seeded(12);
  const image = { width: 7, height: 5, values: Float32Array.from({ length: 35 }, random) };
  const seen = new Float64Array(3);
  const places = [...Array.from({ length: 200 }, () => [7 * random(), 5 * random()]), [0, 0], [7, 5], [3, 5]];
  for (const [x, y] of places as [number, number][]) {
    setSloped(seen, image, x, y);
    expect(seen[0]).toBeCloseTo(valueAt(image, x, y), 12);
    expect(seen[1]).toBeCloseTo(valueAt(image, x + 0.5, y) - valueAt(image, x - 0.5, y), 12);
    expect(seen[2]).toBeCloseTo(valueAt(image, x, y + 0.5) - valueAt(image, x, y - 0.5), 12);
  }
});

test('sums of few functions a row are those of every column with every other, and are solved', () => {
  const [nx, ny] = [9, 6];
  const random = seeded(13);
  const columns: readonly Column[] = [
    { of: 0, times: () => 1 },
    { of: 1, times: () => 1 },
    { of: 0, times: (up) => up },
    { of: 1, times: (up) => up * up },
    { of: 2, times: (up) => 1 - up },
    { of: 3, times: () => 1 },
  ];
  const truth = [0.7, -1.2, 0.4, 2.1, -0.3];
  const equations = equationsOf(layOut(columns));
  const whole = new Matrix(5, 5);
  for (let j = 0; j < ny; j++) {
    const up = (j + 0.5) / ny;
    const rows = Array.from({ length: 3 }, () => Float64Array.from({ length: nx }, random));
    const weights = Float64Array.from({ length: nx }, random);
    const at = (a: number, i: number) => rows[columns[a]!.of]![i]! * columns[a]!.times(up);
    const seen = Float64Array.from({ length: nx }, (_, i) =>
      truth.reduce((sum, each, a) => sum + each * at(a, i), 0),
    );
    addRow(equations, [...rows, seen], weights, up);
    for (let a = 0; a < 5; a++)
      for (let b = 0; b < 5; b++)
        for (let i = 0; i < nx; i++) whole.set(a, b, whole.get(a, b) + weights[i]! * at(a, i) * at(b, i));
  }
  const { normal, right } = matrixOf(equations);
  expect(Matrix.sub(normal, whole).norm()).toBeLessThan(1e-12 * whole.norm());
  for (const [k, value] of solutionOf(normal, right).entries()) expect(value).toBeCloseTo(truth[k]!, 9);
});

test('of columns that tell the same, each takes half', () => {
  const alike = new Matrix([
    [4, 4],
    [4, 4],
  ]);
  const [one, other] = solutionOf(alike, Matrix.columnVector([6, 6]));
  expect(one).toBeCloseTo(0.75, 9);
  expect(other).toBeCloseTo(0.75, 9);
});

test('squares of a photo hold the mean light, whatever their size', () => {
  const random = seeded(8);
  const image = { width: 50, height: 30, values: Float32Array.from({ length: 1500 }, () => 0.1 + random()) };
  const squares = shownOf(image).squares(5);
  expect([squares.width, squares.height]).toEqual([10, 6]);
  let sum = 0;
  for (let y = 5; y < 10; y++) for (let x = 10; x < 15; x++) sum += image.values[y * 50 + x]!;
  expect(squares.values[12]).toBeCloseTo(Math.log(sum / 25), 5);
  expect(valueAt(squares, 2.5, 1.5)).toBe(squares.values[12]);
  expect(valueAt(squares, 3, 1.5)).toBeCloseTo((squares.values[12]! + squares.values[13]!) / 2, 6);
});

test('marks hold the mean light of the burn’s cells, each by its share of theirs', () => {
  const stock = { widthMm: 4, heightMm: 3, thicknessMm: 3, xMm: 0, yMm: 0 };
  const { burn } = forecast('G21 G90\nG0 X0.5 Y0.5\nM3 S500\nG1 X3.5 Y2.5 F3000\nM5\n', machine, wood, {
    stock,
    cellMm: 0.1,
  });
  const random = seeded(4);
  const { frame } = burn;
  const seen = {
    ...burn,
    through: null,
    depthMm: burn.depthMm.map(() => 0),
    tone: burn.tone.map(() => (random() < 0.5 ? 0 : Math.round(500 * random()) / 500)),
  };
  // Wide cells of 0.25 mm that begin 0.05 mm beside the burn's: half a fine cell divides both.
  const bounds = {
    minXMm: frame.x0Mm + 0.05,
    minYMm: frame.y0Mm + 0.15,
    maxXMm: frame.x0Mm + 2.05,
    maxYMm: frame.y0Mm + 1.4,
  };
  const marks = marksOf(seen, wood, bounds, 0.25);
  expect([marks.nx, marks.ny]).toEqual([8, 5]);
  const byTone = lightByTone(wood);
  for (let j = 0; j < marks.ny; j++)
    for (let i = 0; i < marks.nx; i++) {
      let sum = 0;
      for (let v = 0; v < 5; v++)
        for (let u = 0; u < 5; u++) {
          const column = Math.floor((1 + 5 * i + u) / 2);
          const row = Math.floor((3 + 5 * j + v) / 2);
          sum += byTone[Math.round(500 * seen.tone[row * frame.nx + column]!)]! / 25;
        }
      expect(marks.data[j * marks.nx + i], `${i},${j}`).toBeCloseTo(sum, 5);
    }
  // Beyond the burn's own grid all is bare, and a cell half on it half as dark.
  const dark = { ...seen, tone: seen.tone.map(() => 0.9) };
  const beside = marksOf(dark, wood, { ...bounds, minXMm: frame.x0Mm - 0.375 }, 0.25).data;
  expect(beside[0]).toBe(1);
  expect(beside[1]).toBeCloseTo((1 + byTone[450]!) / 2, 5);
  expect(beside[2]).toBeCloseTo(byTone[450]!, 5);
});

test('coarser cells hold the mean of those they stand for', () => {
  const grid = {
    nx: 4,
    ny: 2,
    x0Mm: 1,
    y0Mm: 2,
    cellMm: 0.5,
    unit: '',
    data: Float32Array.of(1, 2, 3, 4, 5, 6, 7, 8),
  };
  expect(coarser(grid, 2)).toMatchObject({ nx: 2, ny: 1, cellMm: 1, data: Float32Array.of(3.5, 5.5) });
});

test('what is grown reaches as far as is said, and no farther', () => {
  const frame = { nx: 9, ny: 7 };
  const marked = new Uint8Array(63);
  marked[3 * 9 + 4] = 1;
  const wide = grown(marked, frame, 2);
  for (let j = 0; j < 7; j++)
    for (let i = 0; i < 9; i++)
      expect(wide[j * 9 + i], `${i},${j}`).toBe(Math.abs(i - 4) <= 2 && Math.abs(j - 3) <= 2 ? 1 : 0);
  marked[0] = 1;
  expect(grown(marked, frame, 1)[1]).toBe(1);
  expect(grown(marked, frame, 1)[2]).toBe(0);
});
