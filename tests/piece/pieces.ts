import type { Stock } from '../../src/board.ts';
import { stockBounds } from '../../src/board.ts';
import type { Burn } from '../../src/burn/burn.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { homographyOf, mapped } from '../../src/photo/homography.ts';
import { type CameraView, seenAt } from '../../src/photo/lens.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { truthOf, type Workshop, woodOf } from '../outcome/workshop.ts';
import { isInside } from '../support/inside.ts';
import { jpegOf } from '../support/jpeg.ts';
import { machineWith } from '../support/machines.ts';
import { seeded } from '../support/random.ts';
import { type Camera, photographBoard } from '../swatch/photograph.ts';
import { randomCamera } from '../swatch/scene.ts';

/** Burned pieces and photos of them: forecast by the profiles, burned with a truth of their own. */

export const wood = shippedMaterials['poplar plywood']!;
export const machine = machineWith({ spot: { width_mm: [0.16, 0.16] } });
export const CELL_MM = 0.16;

/** An area engraved in rows. */
function area(x: number, y: number, width: number, height: number, s: number, feed: number): string[] {
  const lines = ['M4 S0', `G0 X${x} Y${y}`];
  for (let row = 0; row * 0.16 <= height; row++) {
    const [from, to] = row % 2 === 0 ? [x, x + width] : [x + width, x];
    lines.push(`G1 X${from} Y${(y + row * 0.16).toFixed(2)} S0 F${feed}`, `X${to} S${s}`);
  }
  return [...lines, 'M5'];
}

const outline = (points: readonly (readonly [number, number])[], s: number, feed: number): string[] => [
  'M3 S0',
  `G0 X${points[0]![0]} Y${points[0]![1]}`,
  ...points.slice(1).map(([x, y], k) => `G1 X${x} Y${y}${k === 0 ? ` S${s} F${feed}` : ''}`),
  'M5',
];

const polygon = (x: number, y: number, r: number, corners: number, turn = 0) =>
  Array.from({ length: corners + 1 }, (_, k) => {
    const angle = turn + (2 * Math.PI * k) / corners;
    return [
      Number((x + r * Math.cos(angle)).toFixed(3)),
      Number((y + r * Math.sin(angle)).toFixed(3)),
    ] as const;
  });

const job = (...parts: readonly string[][]) => `${['G21 G90', ...parts.flat(), 'M2'].join('\n')}\n`;

export interface Piece {
  readonly name: string;
  readonly text: string;
  readonly stock: Stock;
}

const stockOf = (widthMm: number, heightMm: number): Stock => ({
  widthMm,
  heightMm,
  thicknessMm: 3,
  xMm: 0,
  yMm: 0,
});

/** Along which the tag is cut out. */
const TAG = [
  [6, 5],
  [62, 5],
  [68, 20],
  [62, 36],
  [6, 36],
] as const;
export const isOnTag = (x: number, y: number): boolean => isInside(TAG, x, y);

/** Two fields and an outline; fields and lines only; lines only. */
export const pieces: readonly Piece[] = [
  {
    name: 'a tag: two fields in a cut outline',
    text: job(
      area(12, 10, 22, 12, 260, 3000),
      area(42, 12, 10, 18, 420, 2900),
      outline([...TAG, TAG[0]], 1000, 300),
    ),
    stock: stockOf(76, 42),
  },
  {
    name: 'a coaster: a field and scored polygons',
    text: job(
      area(20, 34, 30, 9, 330, 3000),
      outline(polygon(36, 30, 25, 6, 0.2), 700, 2400),
      outline(polygon(33, 18, 8, 5, 0.4), 600, 2400),
      outline(polygon(52, 22, 4, 24), 600, 2400),
    ),
    stock: stockOf(70, 60),
  },
  {
    name: 'a label: lines alone',
    text: job(
      outline(polygon(20, 20, 12, 3, 0.3), 800, 1200),
      outline(polygon(48, 24, 10, 7, 0.1), 800, 1200),
      outline(
        [
          [10, 44],
          [58, 40],
          [60, 46],
          [12, 50],
        ],
        800,
        1200,
      ),
    ),
    stock: stockOf(66, 56),
  },
];

/** By the profiles as they stand: test files of one process share them, and nobody writes into them. */
const forecasts = new Map<Piece, Forecast>();

/** As the profiles have it. */
export function forecastOf(piece: Piece): Forecast {
  const made = forecasts.get(piece) ?? forecastBy(piece, { material: wood, machine });
  forecasts.set(piece, made);
  return made;
}

type Profiles = Pick<Workshop, 'material' | 'machine'>;

export const forecastBy = ({ text, stock }: Piece, by: Profiles): Forecast =>
  forecast(text, by.machine, by.material, { stock, cellMm: CELL_MM });

/** A piece that was burned, and with what. */
interface Burned extends Profiles {
  readonly burn: Burn;
}

const burnedBy = ({ text, stock }: Piece, by: Profiles): Burned => ({
  ...by,
  burn: woodOf(text, { ...by, stock }, CELL_MM),
});

/** What a piece was truly burned with, drawn by the seed. */
export const truthBySeed = ({ stock }: Piece, seed: number): Profiles => truthOf(wood, machine, stock, seed);

/** Burned with a truth drawn by the seed; shared as forecasts are. */
const burnedPieces = new Map<string, Burned>();

function burnedBySeed(piece: Piece, seed: number): Burned {
  const key = `${piece.name} ${seed}`;
  const burned = burnedPieces.get(key) ?? burnedBy(piece, truthBySeed(piece, seed));
  burnedPieces.set(key, burned);
  return burned;
}

export interface Taken {
  readonly photo: Photo;
  readonly camera: Camera;
}

/** The piece burned with a truth drawn by the seed, or as a forecast has it, before a camera drawn by the same. */
export function photoOfPiece(
  piece: Piece,
  seed: number,
  change: Partial<Camera> = {},
  { burn, material }: Pick<Burned, 'burn' | 'material'> = burnedBySeed(piece, seed),
): Taken {
  const random = seeded(500 + seed);
  const camera = { ...randomCamera(piece, material, random), ...change };
  return { photo: photographBoard(burn, material, stockBounds(piece.stock), camera, random), camera };
}

/** A photo that is laid on its forecast lies nowhere farther off. */
export const HALF_A_MM = 0.5;

/** The farthest that the places of the burn lie from where the photo truly has them, mm. */
export function farthestOff(
  { stock }: Piece,
  { burnBounds }: Forecast,
  camera: Camera,
  view: CameraView,
): number {
  const { xMm, yMm, widthMm, heightMm } = stock;
  const board = [
    [xMm, yMm],
    [xMm + widthMm, yMm],
    [xMm + widthMm, yMm + heightMm],
    [xMm, yMm + heightMm],
  ] as const;
  const truth = homographyOf(board, camera.corners)!;
  const middle = [camera.widthPx / 2, camera.heightPx / 2] as const;
  const half = Math.hypot(...middle);
  let most = 0;
  for (let u = 0; u <= 4; u++) {
    for (let v = 0; v <= 4; v++) {
      const x = burnBounds.minXMm + (u / 4) * (burnBounds.maxXMm - burnBounds.minXMm);
      const y = burnBounds.minYMm + (v / 4) * (burnBounds.maxYMm - burnBounds.minYMm);
      let [px, py] = mapped(truth, [x, y]);
      const square = ((px - middle[0]) ** 2 + (py - middle[1]) ** 2) / half ** 2;
      const [k1, k2] = camera.lens ?? [0, 0];
      const by = 1 + k1 * square + k2 * square * square;
      [px, py] = [middle[0] + (px - middle[0]) * by, middle[1] + (py - middle[1]) * by];
      const [sx, sy] = seenAt(view, x, y);
      const scale =
        Math.hypot(
          camera.corners[1]![0] - camera.corners[0]![0],
          camera.corners[1]![1] - camera.corners[0]![1],
        ) / widthMm;
      most = Math.max(most, Math.hypot(sx - px, sy - py) / scale);
    }
  }
  return most;
}

const MARKER_BOARD: Stock = { widthMm: 130, heightMm: 32, thicknessMm: 4, xMm: 0, yMm: 0 };

/** The demo's marker, or another job, burned with a truth of its own, as a JPEG that a person would have of it. */
export function photoOfMarker(
  text: string,
  own: Machine,
  stock: Stock = MARKER_BOARD,
  change: Partial<Camera> = {},
): Uint8Array {
  const { material, machine: gantry } = truthOf(wood, own, stock, 3);
  const burn = woodOf(text, { material, machine: gantry, stock }, 0.15);
  const random = seeded(3);
  const camera = randomCamera({ stock }, wood, random, { widthPx: 1100, heightPx: 620 });
  const taken = { ...camera, ...change };
  return jpegOf(photographBoard(burn, material, stockBounds(stock), taken, random), 92);
}
