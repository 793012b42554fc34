import type { Burn } from '../../src/burn/burn.ts';
import { type Bounds, frameOver, type Grid } from '../../src/grid.ts';

/**
 * Boards with a burn on them, straight from closed forms: a dose for every place as a function of distances,
 * and the burn as monotone functions of that dose. They stand in for forecasts, so that the pictures can be
 * tried without one.
 */
export interface Scene {
  readonly stock: Bounds;
  readonly dose: Grid;
  readonly burn: Burn;
}

type DoseAt = (xMm: number, yMm: number) => number;

export const stockOf = (widthMm: number, heightMm: number, minXMm = 0, minYMm = 0): Bounds => ({
  minXMm,
  minYMm,
  maxXMm: minXMm + widthMm,
  maxYMm: minYMm + heightMm,
});

export function sceneOf(stock: Bounds, cellMm: number, doseAt: DoseAt, thicknessMm = 4): Scene {
  const frame = frameOver(stock, cellMm);
  const data = new Float32Array(frame.nx * frame.ny);
  for (let j = 0, k = 0; j < frame.ny; j++) {
    const y = frame.y0Mm + (j + 0.5) * cellMm;
    for (let i = 0; i < frame.nx; i++, k++) data[k] = doseAt(frame.x0Mm + (i + 0.5) * cellMm, y);
  }
  const depthMm = data.map((dose) => Math.max(0, (dose - 0.25) / 2.5));
  return {
    stock,
    dose: { ...frame, unit: 'J/mm2', data },
    burn: {
      frame,
      tone: data.map((dose) => 1 - Math.exp(-((dose / 0.42) ** 1.4))),
      depthMm: depthMm.map((depth) => Math.min(depth, thicknessMm)),
      through: Uint8Array.from(depthMm, (depth) => (depth >= thicknessMm ? 1 : 0)),
    },
  };
}

/** Dose across a straight Gaussian line at distance d from its middle (width: 1/e², σ = width / 4). */
export const gaussianLine = (d: number, peak: number, widthMm = 0.2): number =>
  peak * Math.exp(-(d * d) / (2 * (widthMm / 4) ** 2));

/** Distance from the outline of a rectangle with rounded corners, negative inside. */
function roundedBox(x: number, y: number, box: Bounds, radiusMm: number): number {
  const qx = Math.abs(x - (box.minXMm + box.maxXMm) / 2) - (box.maxXMm - box.minXMm) / 2 + radiusMm;
  const qy = Math.abs(y - (box.minYMm + box.maxYMm) / 2) - (box.maxYMm - box.minYMm) / 2 + radiusMm;
  return Math.hypot(Math.max(qx, 0), Math.max(qy, 0)) + Math.min(Math.max(qx, qy), 0) - radiusMm;
}

/** Distance from a leaf: where two discs overlap; negative inside. */
function leaf(x: number, y: number, atX: number, atY: number, lengthMm: number): number {
  const radius = lengthMm * 0.72;
  const apart = Math.sqrt(radius * radius - (lengthMm / 2) ** 2);
  return Math.max(Math.hypot(x - atX, y - atY - apart), Math.hypot(x - atX, y - atY + apart)) - radius;
}

/** Raster rows 0.1 mm apart inside a shape, with the beam on only there. */
const rows = (y: number, inside: number, level: number): number => {
  const ripple = 1 + 0.12 * Math.cos((2 * Math.PI * y) / 0.1);
  return level * ripple * Math.min(1, Math.max(0, 0.5 - inside / 0.08));
};

/** A plant marker, 120 × 25 mm: a shaded leaf, a fading patch, scored lines, and the cut outline. */
export function markerScene(cellMm = 0.05): Scene {
  const stock = stockOf(120, 25);
  const outline = stockOf(112, 17, 4, 4);
  return sceneOf(stock, cellMm, (x, y) => {
    let dose = gaussianLine(roundedBox(x, y, outline, 6), 16, 0.22);
    const blade = leaf(x, y, 22, 12.5, 18);
    if (blade < 0.1) dose += rows(y, blade, 0.18 + 0.4 * ((x - 13) / 18));
    if (x > 13 && x < 34) dose += gaussianLine(y - 12.5, 0.9);
    for (let word = 0; word < 5; word++) {
      const bar = roundedBox(x, y, stockOf(8, 8, 44 + word * 11, 8.5), word * 0.9);
      if (bar < 0.1) dose += rows(y, bar, 0.12 + 0.22 * word);
    }
    return dose;
  });
}

/** A small sign, 120 × 80 mm: a wreath of leaves, scored rings, a wedge of all tones, and the cut outline. */
export function signScene(cellMm = 0.05): Scene {
  const stock = stockOf(120, 80);
  const outline = stockOf(110, 70, 5, 5);
  const turns = Array.from({ length: 10 }, (_, k) => (k * Math.PI) / 5);
  const leaves = turns.map((turn) => [Math.cos(turn), Math.sin(turn)] as const);
  return sceneOf(stock, cellMm, (x, y) => {
    let dose = gaussianLine(roundedBox(x, y, outline, 10), 16, 0.22);
    const radius = Math.hypot(x - 60, y - 44);
    for (const ring of [14, 15.2, 23.5]) dose += gaussianLine(radius - ring, 0.7);
    // Leaves lie from 15 to 24 mm from the middle.
    for (const [k, [cos, sin]] of Math.abs(radius - 19.5) < 4.5 ? leaves.entries() : []) {
      const dx = (x - 60) * cos + (y - 44) * sin;
      const dy = -(x - 60) * sin + (y - 44) * cos;
      const blade = leaf(dx, dy, 19.3, 0, 7.2);
      if (blade < 0.1) dose += rows(y, blade, 0.15 + 0.08 * k);
    }
    const wedge = roundedBox(x, y, stockOf(70, 5, 25, 10), 1);
    if (wedge < 0.1) dose += rows(y, wedge, Math.max(0, (x - 25) / 60));
    return dose;
  });
}
