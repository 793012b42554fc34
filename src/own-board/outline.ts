import { InputError } from '../errors.ts';
import { type Bounds, grownBounds } from '../grid.ts';
import { greatestOf, leastOf } from '../lists.ts';
import { type Homography, inverted, mapped } from '../photo/homography.ts';
import { type Photo, valueAt } from '../photo/photo.ts';
import { depthInside, type Polygon, polygonBounds, signedArea } from '../polygon.ts';
import { type Plan, planOver } from './flatten.ts';
import { flood, labsOf, steepness } from './shed.ts';
import { straightSides } from './sides.ts';

/** The marks of {@link flood}. */
const BOARD = 1;
const BESIDE = 2;

/** A first look over all that is seen, then a close one along the edge. */
const FAR_PIXELS = 500_000;
const NEAR_PIXELS = 3_000_000;
/** The edge is looked for so far to either side of where the first look has it. */
const BAND_MM = 2.5;
/** Colours are smoothed over this, so that grain and noise are no edges; the first look smooths more. */
const FAR_SMOOTH_MM = 1;
const NEAR_SMOOTH_MM = 0.2;
/** What is nearer to the place on the board than this is board. */
const SURE_MM = 4;
/** How far beyond a place on the board its outline is looked for: larger boards are not laid under hobby machines. */
const FARTHEST_EDGE_MM = 700;
/** A smaller step of colour (CIELAB) is no edge but grain, … */
const FAINTEST_EDGE = 5;
/** … and so much of an outline may be without one: a gleam, a shadow, a clamp. */
const MOST_UNSEEN = 0.08;

/**
 * Finds the outline of a board on a photo: the line between a place that is on it and the surroundings along which the
 * colour changes most.
 * @param map from the board's upper side, mm, to pixels.
 * @param below the same from its lower side; where the sides of the board are seen, the outline is that of the upper one.
 * @param on a place of it that is wood for some mm around, in the job's coordinates.
 * @returns counter-clockwise, mm.
 * @throws {InputError} where there is no such line, or the photo does not show all of it.
 */
export function findOutline(
  photo: Photo,
  map: Homography,
  on: readonly [number, number],
  below: Homography = map,
): Polygon {
  const far = planOver(photo, map, seenAround(photo, map, on), FAR_PIXELS);
  const marks = new Uint8Array(far.nx * far.ny);
  markEnd(far, marks);
  markDisc(far, marks, on, SURE_MM);
  if (!marks.includes(BOARD)) throw notSeen(on);
  const farSteep = steepnessOf(far, FAR_SMOOTH_MM);
  flood(farSteep, marks, far.nx, far.ny);

  const area = grownBounds(polygonBounds(traced(far, marks)), 3 * BAND_MM);
  const near = planOver(photo, map, area, NEAR_PIXELS);
  const finer = bandOf(far, marks, near);
  const steep = steepnessOf(near, NEAR_SMOOTH_MM);
  flood(steep, finer, near.nx, near.ny);
  const edge = traced(near, finer);
  const missed = faintWords(near, steep, edge) ?? noiseWords(near, edge);
  if (missed !== null) throw new InputError(elsewhereWords(photo, map, on) ?? missed);
  const upper = ofUpperSide(edge, near, steep, fallBetween(map, below));
  const outline = straightSides(settled(upper, near, steep), near.stepMm);
  return signedArea(outline) < 0 ? outline.toReversed() : outline;
}

function steepnessOf(plan: Plan, smoothMm: number): Float32Array {
  return steepness(labsOf(plan, Math.round(smoothMm / plan.stepMm / 2)), plan.nx, plan.ny);
}

/** What is seen of the surroundings of a place. */
function seenAround({ width, height }: Photo, map: Homography, [x, y]: readonly [number, number]): Bounds {
  const back = inverted(map);
  const side = Math.sign(map[6] * x + map[7] * y + map[8]);
  const far = { minXMm: x, minYMm: y, maxXMm: x, maxYMm: y };
  const steps = 24;
  for (let j = 0; j <= steps; j++) {
    for (let i = 0; i <= steps; i++) {
      const [u, v] = mapped(back, [(i / steps) * width, (j / steps) * height]);
      const isBeyond = (map[6] * u + map[7] * v + map[8]) * side <= 0;
      if (isBeyond || Math.hypot(u - x, v - y) > FARTHEST_EDGE_MM) continue;
      far.minXMm = Math.min(far.minXMm, u);
      far.minYMm = Math.min(far.minYMm, v);
      far.maxXMm = Math.max(far.maxXMm, u);
      far.maxYMm = Math.max(far.maxYMm, v);
    }
  }
  if (far.maxXMm - far.minXMm < 2 * SURE_MM || far.maxYMm - far.minYMm < 2 * SURE_MM) throw notSeen([x, y]);
  return far;
}

const notSeen = ([x, y]: readonly [number, number]) =>
  new InputError(
    `found nothing of the board on the photo at x ${Math.round(x)}, y ${Math.round(y)} mm, where the middle of the job lies; expected the board there, or the job moved onto it`,
  );

/** Where the photo ends, or the plan, there is no board. */
function markEnd({ nx, ny, light }: Plan, marks: Uint8Array): void {
  for (let j = 0, k = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, k++) {
      if (i === 0 || j === 0 || i === nx - 1 || j === ny - 1 || Number.isNaN(light[3 * k]!))
        marks[k] = BESIDE;
    }
  }
}

function markDisc(plan: Plan, marks: Uint8Array, [x, y]: readonly [number, number], radiusMm: number): void {
  const { nx, ny, x0Mm, y0Mm, stepMm } = plan;
  const lowest = Math.max(0, Math.floor((y - radiusMm - y0Mm) / stepMm));
  const highest = Math.min(ny - 1, Math.floor((y + radiusMm - y0Mm) / stepMm));
  const first = Math.max(0, Math.floor((x - radiusMm - x0Mm) / stepMm));
  const last = Math.min(nx - 1, Math.floor((x + radiusMm - x0Mm) / stepMm));
  for (let j = lowest; j <= highest; j++) {
    for (let i = first; i <= last; i++) {
      const [u, v] = middleOf(plan, i, j);
      const k = j * nx + i;
      if (marks[k] === 0 && Math.hypot(u - x, v - y) <= radiusMm) marks[k] = BOARD;
    }
  }
}

const middleOf = ({ x0Mm, y0Mm, stepMm }: Plan, i: number, j: number): [number, number] => [
  x0Mm + (i + 0.5) * stepMm,
  y0Mm + (j + 0.5) * stepMm,
];

/** The surroundings of the edge that was found from afar are left open; what is surely board or beside it is marked. */
function bandOf(far: Plan, marks: Uint8Array, near: Plan): Uint8Array {
  const finer = new Uint8Array(near.nx * near.ny);
  const reach = Math.max(1, Math.ceil(BAND_MM / far.stepMm));
  const open = new Uint8Array(far.nx * far.ny);
  for (let j = 0; j < far.ny; j++) {
    for (let i = 0; i < far.nx; i++) {
      const k = j * far.nx + i;
      if (marks[k] !== BOARD) continue;
      const isEdge = [k - 1, k + 1, k - far.nx, k + far.nx].some((next) => marks[next] !== BOARD);
      if (!isEdge) continue;
      for (let v = Math.max(0, j - reach); v <= Math.min(far.ny - 1, j + reach); v++)
        open.fill(1, v * far.nx + Math.max(0, i - reach), v * far.nx + Math.min(far.nx - 1, i + reach) + 1);
    }
  }
  for (let j = 0, k = 0; j < near.ny; j++) {
    for (let i = 0; i < near.nx; i++, k++) {
      const [x, y] = middleOf(near, i, j);
      const u = Math.min(far.nx - 1, Math.max(0, Math.floor((x - far.x0Mm) / far.stepMm)));
      const v = Math.min(far.ny - 1, Math.max(0, Math.floor((y - far.y0Mm) / far.stepMm)));
      const from = v * far.nx + u;
      finer[k] = open[from] === 1 ? 0 : marks[from]!;
    }
  }
  return finer;
}

/** The middles of the sides between pixels of the board and others, in the order in which they go round it. */
function traced(plan: Plan, marks: Uint8Array): [number, number][] {
  const { nx, ny, x0Mm, y0Mm, stepMm } = plan;
  const isBoard = (i: number, j: number): boolean =>
    i >= 0 && j >= 0 && i < nx && j < ny && marks[j * nx + i] === BOARD;
  const start = marks.indexOf(BOARD);
  const [i0, j0] = [start % nx, Math.floor(start / nx)];
  // Along the sides of pixels, the board to the left. From a corner (i, j): right, up, left, down.
  const steps = [
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ] as const;
  /** The pixel to the left of a step from a corner, and the one to its right. */
  const left = (i: number, j: number, way: number): [number, number] =>
    [
      [i, j],
      [i - 1, j],
      [i - 1, j - 1],
      [i, j - 1],
    ][way] as [number, number];
  const right = (i: number, j: number, way: number): [number, number] => left(i, j, (way + 3) % 4);
  const points: [number, number][] = [];
  let [i, j, way] = [i0, j0, 0];
  do {
    const [di, dj] = steps[way]!;
    points.push([x0Mm + (i + di / 2) * stepMm, y0Mm + (j + dj / 2) * stepMm]);
    i += di;
    j += dj;
    const turnsRight = isBoard(...right(i, j, way));
    const goesOn = isBoard(...left(i, j, way));
    if (turnsRight && goesOn) way = (way + 3) % 4;
    else if (!goesOn) way = (way + 1) % 4;
  } while ((i !== i0 || j !== j0 || way !== 0) && points.length < 4 * nx * ny);
  return points;
}

/** Where the edge of the lower side is seen, from that of the upper one above it, mm: both as places on the upper side. */
export function fallBetween(map: Homography, below: Homography) {
  const back = inverted(map);
  return ([x, y]: readonly [number, number]): readonly [number, number] => {
    const [u, v] = mapped(back, mapped(below, [x, y]));
    return [u - x, v - y];
  };
}

/** Sides that are seen narrower than this are not told from the edge. */
const LEAST_SIDE_MM = 0.5;
/**
 * The line is looked for from the middle of the way on, and a little beyond its end: boards are not as thick as they are
 * said to be, nor lie quite flat.
 */
const PARTS = Array.from({ length: 23 }, (_, k) => 0.05 * k);
const FIRST_PART = 10;
/** Between two lines it is less steep than this part of the nearer one. A judgement: with 0.8 to 0.88 the same is found. */
const DIP = 0.85;
/** What is looked for is the mean along the edge, so far to either side: there grain is no line. */
const ALONG_MM = 8;
/** It is a line where it is so many times as steep as the wood next to it. A judgement. */
const LEAST_RISE = 2;
/** The wood next to it is so far in, mm. */
const NEXT_MM = [1, 1.3, 1.6] as const;

/**
 * The edge of the upper side. On a bright bed the steepest line is the one between a side of the board, which lies in
 * its own shade, and the bed: there a second line runs along it, nearer to the board by about as much as the side is
 * seen wide.
 */
function ofUpperSide(
  edge: Polygon,
  plan: Plan,
  steep: Float32Array,
  fallAt: (at: readonly [number, number]) => readonly [number, number],
): EdgePoint[] {
  const count = edge.length;
  const seen = edge.map((at, k) => {
    const outward = outwardAt(edge, k, plan);
    const fall = fallAt(at);
    const wideMm = fall[0] * outward[0] + fall[1] * outward[1];
    if (wideMm < LEAST_SIDE_MM) return null;
    const steepAt = (inMm: number) =>
      valueOn(plan, steep, at[0] - inMm * outward[0], at[1] - inMm * outward[1]);
    return {
      outward,
      wideMm,
      rises: PARTS.map((part) => steepAt(part * wideMm)),
      wood: greatestOf(NEXT_MM.map((inMm) => steepAt(PARTS.at(-1)! * wideMm + inMm))),
    };
  });
  const reach = Math.round(ALONG_MM / plan.stepMm);
  return edge.map(([x, y], k) => {
    const own = seen[k];
    if (!own) return { at: [x, y], freeMm: Infinity };
    const rises = new Float64Array(PARTS.length);
    let wood = 0;
    for (let n = -reach; n <= reach; n++) {
      const near = seen[(k + n + count * (1 + Math.ceil(reach / count))) % count];
      if (!near) continue;
      wood += near.wood;
      for (let part = 0; part < rises.length; part++) rises[part] = rises[part]! + near.rises[part]!;
    }
    const most = greatestOf(rises.subarray(FIRST_PART));
    const at = rises.indexOf(most, FIRST_PART);
    const isLine = most > LEAST_RISE * wood && leastOf(rises.subarray(0, at)) < DIP * most;
    if (!isLine) return { at: [x, y], freeMm: Infinity };
    const inMm = PARTS[at]! * own.wideMm;
    return { at: [x - inMm * own.outward[0], y - inMm * own.outward[1]], freeMm: inMm / 2 };
  });
}

/** How far to either side of the traced edge its steepest line is looked for, and over which the edge is evened, mm. */
const SETTLE_MM = 0.6;
const EVEN_MM = 0.8;

/** Square to a traced edge at one of its points, by those a millimetre to either side; one long. */
function outwardAt(edge: Polygon, k: number, { stepMm }: Plan): readonly [number, number] {
  const count = edge.length;
  const aside = Math.max(2, Math.round(1 / stepMm));
  const [u, v] = edge[(k + aside) % count]!;
  const [s, t] = edge[(k + count - aside) % count]!;
  const length = Math.max(1e-9, Math.hypot(u - s, v - t));
  return [(v - t) / length, (s - u) / length];
}

/** A place on the edge, and how far to either side of it no other line lies, mm. */
interface EdgePoint {
  readonly at: readonly [number, number];
  readonly freeMm: number;
}

/** The edge between the pixels: each point moved across it to the middle of what is steep, then evened along it. */
function settled(edge: readonly EdgePoint[], plan: Plan, steep: Float32Array): Polygon {
  const { stepMm } = plan;
  const count = edge.length;
  const points = edge.map(({ at }) => at);
  const steps = Math.max(1, Math.round((2 * SETTLE_MM) / stepMm));
  const moved = edge.map(({ at: [x, y], freeMm }, k): [number, number] => {
    const reachMm = Math.min(SETTLE_MM, freeMm);
    const across = outwardAt(points, k, plan);
    let [sum, weight] = [0, 0];
    for (let n = -steps; n <= steps; n++) {
      const away = (n / steps) * reachMm;
      const weighs = valueOn(plan, steep, x + away * across[0], y + away * across[1]) ** 2;
      sum += weighs * away;
      weight += weighs;
    }
    const away = weight > 0 ? sum / weight : 0;
    return [x + away * across[0], y + away * across[1]];
  });
  const reach = Math.max(1, Math.round(EVEN_MM / stepMm));
  return moved.map((_, k) => {
    let [x, y] = [0, 0];
    for (let n = -reach; n <= reach; n++) {
      const [u, v] = moved[(k + n + count * (1 + Math.ceil(reach / count))) % count]!;
      x += u / (2 * reach + 1);
      y += v / (2 * reach + 1);
    }
    return [x, y] as const;
  });
}

/** A value of the plan at a place, by straight lines between the middles of its pixels. */
function valueOn(
  { nx, ny, x0Mm, y0Mm, stepMm }: Plan,
  values: Float32Array,
  xMm: number,
  yMm: number,
): number {
  return valueAt({ width: nx, height: ny, values }, (xMm - x0Mm) / stepMm, (yMm - y0Mm) / stepMm);
}

/** The part of an edge along which the colour does not change. */
const unseenPart = (plan: Plan, steep: Float32Array, edge: Polygon): number =>
  edge.filter(([x, y]) => valueOn(plan, steep, x, y) < FAINTEST_EDGE).length / edge.length;

/** Where the colour does not change, the outline is no more than half way to where something else begins; null: it does. */
function faintWords(plan: Plan, steep: Float32Array, edge: Polygon): string | null {
  const unseen = unseenPart(plan, steep, edge);
  if (unseen <= MOST_UNSEEN) return null;
  return `found a board whose edge cannot be seen for ${Math.round(100 * unseen)} % of its way; expected all of it on the photo with some of the bed on every side, and a bed that is clearly lighter or darker, such as a sheet of dark card under it`;
}

/** The colours to either side of the edge are taken so far from it, over so much; and as far apart along it. */
const ASIDE_MM = 1;
/** A step across the edge that is less than so many times what colours differ along it is chance. A judgement. */
const LEAST_STEP = 2;

/**
 * In noise, or in leaves and gravel, there is a steepest line too; but across it colours differ no more than between any two
 * places, while a board and its bed are each more like themselves than like each other; null: they are.
 */
function noiseWords(plan: Plan, edge: Polygon): string | null {
  if (standsOut(plan, coloursAside(plan), edge, LEAST_STEP)) return null;
  return 'found no board on the photo: colours differ no more across what is most like an edge than along it; expected all of the board on the photo with some of the bed on every side, and a bed that is clearly lighter or darker, such as a sheet of dark card under it';
}

/** A plan's colours as they are compared to either side of an edge. */
const coloursAside = (plan: Plan): Float32Array[] => labsOf(plan, Math.round(ASIDE_MM / plan.stepMm / 2));

/** Whether colours differ so many times as much across an edge as along it, in the middle of both. */
function standsOut(plan: Plan, planes: readonly Float32Array[], edge: Polygon, times: number): boolean {
  const { stepMm } = plan;
  const apart = (x: number, y: number, u: number, v: number): number =>
    Math.sqrt(
      planes.reduce((sum, each) => sum + (valueOn(plan, each, x, y) - valueOn(plan, each, u, v)) ** 2, 0),
    );
  const aside = Math.max(2, Math.round((2 * ASIDE_MM) / stepMm));
  const across: number[] = [];
  const along: number[] = [];
  for (let k = 0; k < edge.length; k++) {
    const [x, y] = edge[k]!;
    const [u, v] = edge[(k + aside) % edge.length]!;
    const [s, t] = edge.at((k - aside) % edge.length)!;
    const length = Math.max(1e-9, Math.hypot(u - s, v - t));
    const [dx, dy] = [(ASIDE_MM * (u - s)) / length, (ASIDE_MM * (v - t)) / length];
    across.push(apart(x + dy, y - dx, x - dy, y + dx));
    for (const side of [-1, 1]) {
      const [p, q] = [x + side * dy, y - side * dx];
      along.push(apart(p + dx, q + dy, p - dx, q - dy));
    }
  }
  return middle(across) >= times * middle(along);
}

/** Where no board was found around a place, another is looked for around so many by so many places of the photo, coarsely. */
const ELSEWHERE = 8;
const ELSEWHERE_PIXELS = 60_000;
/** Of so many places one has an edge by chance, so it must stand out further. A judgement. */
const STEP_ELSEWHERE = 2 * LEAST_STEP;

/**
 * That the place lies beside the board, or on its edge, where another part of the photo has a clear edge all around it; null
 * where none has: then something is amiss with the photo.
 */
function elsewhereWords(photo: Photo, map: Homography, on: readonly [number, number]): string | null {
  const plan = planOver(photo, map, seenAround(photo, map, on), ELSEWHERE_PIXELS);
  const { nx, ny } = plan;
  const steep = steepnessOf(plan, FAR_SMOOTH_MM);
  const planes = coloursAside(plan);
  let found: Polygon | null = null;
  for (let k = 0; k < ELSEWHERE ** 2; k++) {
    const i = Math.floor((((k % ELSEWHERE) + 0.5) / ELSEWHERE) * nx);
    const j = Math.floor(((Math.floor(k / ELSEWHERE) + 0.5) / ELSEWHERE) * ny);
    const marks = new Uint8Array(nx * ny);
    markEnd(plan, marks);
    markDisc(plan, marks, middleOf(plan, i, j), SURE_MM);
    if (!marks.includes(BOARD)) continue;
    flood(steep, marks, nx, ny);
    const edge = traced(plan, marks);
    if (depthInside(edge, ...on) >= SURE_MM) continue;
    if (unseenPart(plan, steep, edge) > MOST_UNSEEN || !standsOut(plan, planes, edge, STEP_ELSEWHERE))
      continue;
    if (found === null || Math.abs(signedArea(edge)) > Math.abs(signedArea(found))) found = edge;
  }
  if (found === null) return null;
  const { minXMm, maxXMm, minYMm, maxYMm } = polygonBounds(found);
  const [left, right, low, high, x, y] = [minXMm, maxXMm, minYMm, maxYMm, ...on].map(Math.round);
  const depthMm = Math.round(depthInside(found, ...on));
  return (
    `found no board around x ${x}, y ${y} mm, where the middle of the job lies: that is ` +
    `${depthMm > 0 ? `only ${depthMm} mm within` : `${-depthMm} mm beyond`} the edge of what stands out from the bed, at ` +
    `x ${left} to ${right}, y ${low} to ${high} mm; expected it ${SURE_MM} mm or more within the board, so move the one or the other`
  );
}

const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!;
