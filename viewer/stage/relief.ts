import { BufferAttribute, BufferGeometry } from 'three';
import type { Bounds } from '../../src/grid.ts';
import type { Surface } from '../worker/surface.ts';

/**
 * The wood's surface as geometry: a net over a rectangle whose knots lie as deep as the forecast says. Its threads lie
 * as near as texels, or as pixels, around what is looked at, and ever farther apart away from it; every knot is the
 * middle of a texel, so that nothing is read between two depths.
 */
export interface Net {
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
}

/** What is looked at, and how fine. */
export interface Gaze {
  readonly atMm: readonly [number, number];
  /** Threads lie evenly within this distance of it, along x and y, mm. */
  readonly withinMm: readonly [number, number];
  /** No nearer to each other than this, mm. */
  readonly finestMm: number;
}

/** Each gap is so many times the one before, from the middle outward; the least that keeps to the count is taken. */
const GROWTHS = [1, 1.01, 1.02, 1.04, 1.08, 1.15, 1.3, 1.6];
/** An even middle that takes too many threads is woven so many times as wide. */
const COARSER = 1.2;

/**
 * The net over a rectangle.
 * @param most threads along each axis.
 */
export function netOver(over: Bounds, surface: Surface, gaze: Gaze, most: number): Net {
  const { cellMm, x0Mm, y0Mm } = surface.frame;
  const [x, y] = gaze.atMm;
  const [withinX, withinY] = gaze.withinMm;
  const axis = (fromMm: number, toMm: number, zeroMm: number, atMm: number, withinMm: number): Float64Array =>
    threads({ fromMm, toMm, zeroMm, cellMm, finestMm: gaze.finestMm }, atMm, withinMm, most);
  return {
    xMm: axis(over.minXMm, over.maxXMm, x0Mm, x, withinX),
    yMm: axis(over.minYMm, over.maxYMm, y0Mm, y, withinY),
  };
}

interface Axis {
  readonly fromMm: number;
  readonly toMm: number;
  /** Where the texels begin, and how wide they are. */
  readonly zeroMm: number;
  readonly cellMm: number;
  readonly finestMm: number;
}

function threads(axis: Axis, atMm: number, withinMm: number, most: number): Float64Array {
  // So many texels from each to the next, all alike: were some threads one apart and some two, even rows would be read
  // now here, now there across them, and stand as steps that are not there.
  for (
    let texels = Math.max(1, Math.round(axis.finestMm / axis.cellMm));
    ;
    texels = Math.ceil(texels * COARSER)
  ) {
    for (const growth of GROWTHS) {
      const found = woven(axis, atMm, withinMm, texels * axis.cellMm, growth, most);
      if (found) return found;
    }
  }
}

/** @returns null where it would be more than `most`. */
function woven(
  { fromMm, toMm, zeroMm, cellMm }: Axis,
  atMm: number,
  withinMm: number,
  gapMm: number,
  growth: number,
  most: number,
): Float64Array | null {
  const snapped = (mm: number): number => zeroMm + (Math.floor((mm - zeroMm) / cellMm) + 0.5) * cellMm;
  // From the middle of a texel: steps of whole texels then never end on the edge of one.
  const middle = snapped(Math.min(toMm, Math.max(fromMm, atMm)));
  const outward = (way: 1 | -1): number[] | null => {
    const found: number[] = [];
    let gap = gapMm;
    for (let mm = 0; ; mm += gap) {
      const place = middle + way * mm;
      if (place <= fromMm || place >= toMm) break;
      found.push(place);
      if (found.length > most) return null;
      if (mm > withinMm) gap *= growth;
    }
    return found;
  };
  const [below, above] = [outward(-1), outward(1)];
  if (!below || !above || below.length + above.length + 2 > most) return null;
  const places = [...below.reverse(), ...above];
  const threadsMm = [fromMm];
  for (const place of places) {
    const threadMm = snapped(place);
    if (threadMm > threadsMm.at(-1)! + cellMm / 4 && threadMm < toMm - cellMm / 4) threadsMm.push(threadMm);
  }
  threadsMm.push(toMm);
  return Float64Array.from(threadsMm);
}

/** Where threads stand apart, what lies between is read at so many places to either side at most, … */
const MOST_BETWEEN = 4;
/** … which then lie unevenly, lest rows be met always on one side: as parts of half the way to the next thread. */
const PARTS = [0.21, 0.47, 0.72, 1];

/**
 * Where a thread is read, as texels along its axis: at its own; where threads stand apart, also at all that are nearer
 * to it than to the next ones, and those between.
 */
function readAlong(mm: Float64Array, zeroMm: number, cellMm: number): readonly (readonly number[])[] {
  const texels = Array.from(mm, (each) => Math.floor((each - zeroMm) / cellMm));
  return texels.map((at, k) => {
    const apart = Math.max((texels[k + 1] ?? at) - at, at - (texels[k - 1] ?? at));
    if (apart <= 1) return [at];
    const half = Math.ceil(apart / 2);
    const out =
      half <= MOST_BETWEEN
        ? Array.from({ length: half }, (_, step) => step + 1)
        : PARTS.map((part) => Math.round(part * half));
    return [at, ...out.flatMap((step) => [at - step, at + step])];
  });
}

/**
 * How deep the wood is at each knot, mm, row by row. Where threads stand apart, a knot is as deep as the least around
 * it: of rows and lines finer than the net it would know only by chance.
 */
export function depthsAt({ xMm, yMm }: Net, surface: Surface): Float32Array {
  const { frame, rgba, deepestMm } = surface;
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const depths = new Float32Array(xMm.length * yMm.length);
  const code = (i: number, j: number): number =>
    i >= 0 && j >= 0 && i < nx && j < ny ? rgba[4 * (j * nx + i) + 1]! : 0;
  const columns = readAlong(xMm, x0Mm, cellMm);
  const rows = readAlong(yMm, y0Mm, cellMm);
  const leastOver = (across: readonly number[], along: readonly number[]): number => {
    let least = 255;
    for (const i of across)
      for (const j of along) {
        least = Math.min(least, code(i, j));
        if (least === 0) return 0;
      }
    return least;
  };
  for (let j = 0, k = 0; j < rows.length; j++)
    for (let i = 0; i < columns.length; i++, k++)
      depths[k] = (leastOver(columns[i]!, rows[j]!) / 255) * deepestMm;
  return depths;
}

/**
 * The net as faces, z up, the bare wood at z 0.
 * @param isSealed no hair's breadth gapes beside a finer face; it takes more faces, and thin ones, than a picture that
 *   is gone in a moment needs.
 */
export function reliefOf(net: Net, surface: Surface, isSealed = true): BufferGeometry {
  const { xMm, yMm } = net;
  const depths = depthsAt(net, surface);
  const [w, h] = [xMm.length, yMm.length];
  const places = new Float32Array(3 * w * h);
  for (let j = 0, k = 0; j < h; j++)
    for (let i = 0; i < w; i++, k++) {
      places[3 * k] = xMm[i]!;
      places[3 * k + 1] = yMm[j]!;
      places[3 * k + 2] = -depths[k]!;
    }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(places, 3));
  geometry.setIndex(new BufferAttribute(facesOf(depths, w, h, isSealed), 1));
  return geometry;
}

/** An even piece of a net: the knots of its edges, from the left and from below. */
interface EvenPiece {
  readonly left: number;
  readonly low: number;
  readonly right: number;
  readonly top: number;
}

/**
 * The faces of a net of w by h knots. Where it is even, pieces of it become few faces: of the knots along an edge those
 * stay that are corners of a piece, on whichever side, lest a hair's breadth gape beside a finer face.
 */
function facesOf(depths: Float32Array, w: number, h: number, isSealed: boolean): Uint32Array {
  const pieces = piecesOf(depths, w, h);
  const isCorner = new Uint8Array(w * h);
  if (isSealed)
    for (const { left, low, right, top } of pieces)
      for (const row of [low * w, top * w]) isCorner[row + left] = isCorner[row + right] = 1;
  const faces = new Uint32Array(6 * (w - 1) * (h - 1));
  let to = 0;
  const face = (a: number, b: number, c: number): void => {
    faces[to++] = a;
    faces[to++] = b;
    faces[to++] = c;
  };
  /** The next corner after a knot along an edge that ends at another, so many knots a step. */
  const next = (knot: number, end: number, step: number): number => {
    let at = knot + step;
    while (at !== end && isCorner[at] === 0) at += step;
    return at;
  };
  /** Faces around a knot amid a piece, to each stretch of an edge. */
  const fan = (hub: number, from: number, end: number, step: number): void => {
    for (let at = from; at !== end; ) {
      const then = next(at, end, step);
      face(hub, at, then);
      at = then;
    }
  };
  /** Faces to and fro between two edges; the second lies left of the first. */
  const zigzag = (first: number, second: number, threads: number, step: number): void => {
    const [firstEnd, secondEnd] = [first + threads * step, second + threads * step];
    for (let [a, b] = [first, second]; a !== firstEnd || b !== secondEnd; ) {
      const [aThen, bThen] = [
        a === firstEnd ? Infinity : next(a, firstEnd, step),
        b === secondEnd ? Infinity : next(b, secondEnd, step),
      ];
      if (aThen - first <= bThen - second) {
        face(a, aThen, b);
        a = aThen;
      } else {
        face(a, bThen, b);
        b = bThen;
      }
    }
  };
  for (const { left, low, right, top } of pieces) {
    const [lowLeft, lowRight, topLeft, topRight] = [
      low * w + left,
      low * w + right,
      top * w + left,
      top * w + right,
    ];
    if (!isSealed || top - low === 1) zigzag(lowLeft, topLeft, right - left, 1);
    else if (right - left === 1) zigzag(lowRight, lowLeft, top - low, w);
    else {
      const hub = ((low + top) >> 1) * w + ((left + right) >> 1);
      fan(hub, lowLeft, lowRight, 1);
      fan(hub, lowRight, topRight, w);
      fan(hub, topRight, topLeft, -1);
      fan(hub, topLeft, lowLeft, -w);
    }
  }
  return faces.slice(0, to);
}

/** All even pieces of a net, each as wide as it goes and then as high; what is uneven is one thread wide and high. */
function piecesOf(depths: Float32Array, w: number, h: number): EvenPiece[] {
  const pieces: EvenPiece[] = [];
  const done = new Uint8Array(w * h);
  for (let low = 0; low < h - 1; low++)
    for (let left = 0; left < w - 1; left++) {
      if (done[low * w + left] === 1) continue;
      const [right, top] = evenFrom(depths, done, [left, low], [w, h]);
      for (let row = low; row < top; row++) done.fill(1, row * w + left, row * w + right);
      pieces.push({ left, low, right, top });
    }
  return pieces;
}

/** Knots that differ in depth by less than this lie even, mm: nobody sees or feels it. */
const EVEN_MM = 0.012;

/** The upper right corner of an even rectangle of what is not done yet, as wide as it goes and then as high. */
function evenFrom(
  depths: Float32Array,
  done: Uint8Array,
  [left, low]: readonly [number, number],
  [w, h]: readonly [number, number],
): readonly [number, number] {
  const level = depths[low * w + left]!;
  const isEven = (k: number): boolean => Math.abs(depths[k]! - level) < EVEN_MM;
  const isFree = (i: number, j: number): boolean => {
    const k = j * w + i;
    return done[k] === 0 && isEven(k) && isEven(k + 1) && isEven(k + w) && isEven(k + w + 1);
  };
  if (!isFree(left, low)) return [left + 1, low + 1];
  let right = left + 1;
  let top = low + 1;
  while (right < w - 1 && isFree(right, low)) right++;
  const isRowFree = (row: number): boolean => {
    for (let i = left; i < right; i++) if (!isFree(i, row)) return false;
    return true;
  };
  while (top < h - 1 && isRowFree(top)) top++;
  return [right, top];
}
