import { meanWidthMm } from '../../laser/spot.ts';
import { greatestOf, leastOf } from '../../lists.ts';
import type { Evidence } from './evidence.ts';
import { type Gathered, gatherPlaces, type Places } from './places.ts';
import { boundsOf } from './survey.ts';

/** Where an outline operation burns along a line that was burned before. */
export interface Overlap {
  readonly operation: number;
  /** The operation that burned there before; the same one where it lies on itself. */
  readonly on: number;
  /** Length burned again, beyond the operation's own passes, mm. */
  readonly lengthMm: number;
  /** How much of its path, each place counted once, that is, mm; and how long that path is. */
  readonly againMm: number;
  readonly distinctMm: number;
  readonly places: Gathered;
}

/** Cells of the map of what was burned where; a larger job gets coarser ones and finds a little less. */
const MOST_CELLS = 2_000_000;
/** Lines nearer than this part of a spot's width are the same line … */
const SAME_LINE = 0.25;
/** … if they run the same way within about ten degrees. */
const SAME_WAY = Math.sin((10 * Math.PI) / 180);
/** Burning that comes by again within this length of its own path is still the same stroke. */
const SAME_STROKE_MM = 1;
/** Shorter stretches are how strokes meet: a closing stroke runs on a little over its own start. */
const LEAST_MM = 1;
/** A gap this short parts no stretch. */
const JOINED_MM = LEAST_MM / 4;
/**
 * Lines that only touch or cross at a glance are near each other for a while too: circles of radii r and q that touch keep
 * within d of one another for 2·√(2·d·r·q/(r ± q)) (their distances from the common tangent, s²/2r and s²/2q, differ by d).
 * What is meant by the same line keeps its distance; these leave each other at a slope of half a degree at least, by a good
 * part of what counts as the same line or steeply (slopes that rounded coordinates do not come to; judgements).
 */
const LEAVES_AT = 0.01;
const LEAVES_BY = 0.35;
const LEAVES_STEEPLY = 0.05;

/**
 * Walks all outlines in burn order over a map of half-spot cells that remembers the last move through each, and
 * measures where a later move follows an earlier one. Crossings and touching corners do not run the same way
 * and do not count, nor do circles that touch. O(burned length / spot width).
 */
export function findOverlaps(evidence: Evidence): Overlap[] {
  const { program, energies, machine, survey } = evidence;
  const outlines = program.operations.filter(({ kind, n }) => kind === 'outline' && survey.burnedMm[n]! > 0);
  if (outlines.length === 0) return [];
  const { cellMm, leftMm, lowMm, nx, lastMove, lastMm, visits } = openMap(
    evidence,
    outlines.map(({ n }) => n),
  );
  const { xMm, yMm, line, operation } = program.moves;
  const { nominalMmPerS } = energies;
  const nearMm = SAME_LINE * meanWidthMm(machine.spot);
  // On a way straight on a cell is met again until the far side of its diagonal.
  const sameStrokeMm = Math.max(SAME_STROKE_MM, 2 * cellMm);
  const stretches = gatherStretches(nearMm);
  const distinctMm = new Float64Array(program.operations.length + 1);
  let pathMm = 0;

  for (const { n, firstMove, lastMove: last, passes } of outlines) {
    for (let i = firstMove; i <= last; i++) {
      if (nominalMmPerS[i] === 0) continue;
      const x0 = i > 0 ? xMm[i - 1]! : 0;
      const y0 = i > 0 ? yMm[i - 1]! : 0;
      const dx = xMm[i]! - x0;
      const dy = yMm[i]! - y0;
      const flat = Math.sqrt(dx * dx + dy * dy);
      if (flat === 0) continue;
      const steps = Math.ceil(flat / cellMm);
      const stepMm = flat / steps;
      for (let k = 0; k < steps; k++) {
        const part = (k + 0.5) / steps;
        const x = x0 + dx * part;
        const y = y0 + dy * part;
        pathMm += stepMm;
        const cell = Math.floor((y - lowMm) / cellMm) * nx + Math.floor((x - leftMm) / cellMm);
        const before = lastMove[cell]! - 1;
        if (before < 0) {
          visits[cell] = 1;
          distinctMm[n]! += stepMm;
        } else if (pathMm - lastMm[cell]! >= sameStrokeMm) {
          const own = operation[before] === n;
          const asideMm = besideLine(evidence, before, x, y, dx / flat, dy / flat);
          const again = Math.abs(asideMm) <= nearMm;
          const times = again && own ? Math.min(255, visits[cell]! + 1) : 1;
          visits[cell] = times;
          if (times === 1) distinctMm[n]! += stepMm;
          if (again && (!own || times > passes)) {
            const first = !own || times === passes + 1;
            const at = { x, y, line: line[i]!, move: i };
            stretches.add({ operation: n, on: operation[before]!, first, asideMm }, stepMm, pathMm, at);
          }
        }
        lastMove[cell] = i + 1;
        lastMm[cell] = pathMm;
      }
    }
  }
  return stretches.finish(distinctMm);
}

/**
 * How far a point lies beside an earlier move's line, mm, to the left of the way it is passed; Infinity where that line does
 * not go the same way, to or fro.
 */
function besideLine(
  { program: { moves } }: Evidence,
  before: number,
  x: number,
  y: number,
  ux: number,
  uy: number,
): number {
  const x0 = before > 0 ? moves.xMm[before - 1]! : 0;
  const y0 = before > 0 ? moves.yMm[before - 1]! : 0;
  const dx = moves.xMm[before]! - x0;
  const dy = moves.yMm[before]! - y0;
  const length = Math.sqrt(dx * dx + dy * dy);
  if (!(Math.abs(ux * dy - uy * dx) <= SAME_WAY * length) || length === 0) return Infinity;
  const toOrFro = ux * dx + uy * dy < 0 ? -1 : 1;
  return (toOrFro * (dx * (y - y0) - dy * (x - x0))) / length;
}

interface Found {
  readonly operation: number;
  readonly on: number;
  lengthMm: number;
  againMm: number;
  readonly places: Places;
}

/** A stretch burned again without a gap, and where it begins. */
interface Stretch {
  lengthMm: number;
  againMm: number;
  readonly x: number;
  readonly y: number;
  readonly line: number;
  readonly move: number;
}

/** Stretches with gaps no longer than themselves: of one line, where they are of the same line at all. */
interface Run {
  readonly operation: number;
  readonly on: number;
  readonly stretches: Stretch[];
  readonly fromMm: number;
  endMm: number;
  readonly asides: Asides;
}

/** Joins samples that follow each other into stretches, and keeps those that are long enough and of the same line. */
function gatherStretches(nearMm: number) {
  const found = new Map<string, Found>();
  let run: Run | null = null;
  const close = ({ operation, on, stretches, asides }: Run): void => {
    const long = stretches.filter(({ lengthMm }) => lengthMm >= LEAST_MM);
    if (long.length === 0 || isGlance(asides, nearMm)) return;
    const key = `${operation} ${on}`;
    const there = found.get(key) ?? { operation, on, lengthMm: 0, againMm: 0, places: gatherPlaces(0) };
    found.set(key, there);
    for (const each of long) {
      there.lengthMm += each.lengthMm;
      there.againMm += each.againMm;
      there.places.add(each.lengthMm, 0, [each.x, each.y], each);
      there.places.lift();
    }
  };
  return {
    /** @param burned `first`: whether this is the first time that the place is burned again; `asideMm` from the line there. */
    add(
      { operation, on, first, asideMm }: { operation: number; on: number; first: boolean; asideMm: number },
      stepMm: number,
      pathMm: number,
      at: { x: number; y: number; line: number; move: number },
    ): void {
      const gapMm = run ? pathMm - stepMm - run.endMm : 0;
      const { lengthMm = 0 } = run?.stretches.at(-1) ?? {};
      const goesOn = run?.operation === operation && run.on === on && gapMm <= Math.max(JOINED_MM, lengthMm);
      if (run && !goesOn) {
        close(run);
        run = null;
      }
      run ??= {
        operation,
        on,
        stretches: [],
        fromMm: pathMm,
        endMm: pathMm,
        asides: startAsides(),
      };
      let stretch = run.stretches.at(-1);
      if (!stretch || gapMm > JOINED_MM) {
        stretch = { lengthMm: 0, againMm: 0, ...at };
        run.stretches.push(stretch);
      }
      stretch.lengthMm += stepMm;
      if (first) stretch.againMm += stepMm;
      run.endMm = pathMm;
      addAside(run.asides, pathMm - run.fromMm, asideMm);
    },
    finish(distinctMm: Float64Array): Overlap[] {
      if (run) close(run);
      return Array.from(found.values(), ({ places, ...each }) => ({
        ...each,
        distinctMm: distinctMm[each.operation]!,
        places: places.finish()!,
      }));
    },
  };
}

/** Sums of the powers of the way along a run, mm, and of those times how far it lies aside: what a parabola is fitted by. */
interface Asides {
  readonly powers: [number, number, number, number, number];
  readonly moments: [number, number, number];
  lengthMm: number;
}

const startAsides = (): Asides => ({ powers: [0, 0, 0, 0, 0], moments: [0, 0, 0], lengthMm: 0 });

function addAside(asides: Asides, alongMm: number, asideMm: number): void {
  const { powers, moments } = asides;
  let power = 1;
  for (let k = 0; k < 5; k++) {
    powers[k]! += power;
    if (k < 3) moments[k]! += power * asideMm;
    power *= alongMm;
  }
  asides.lengthMm = alongMm;
}

/** Whether a run leaves the line it is near, by the parabola that fits how far it lies aside best (least squares). */
function isGlance({ powers, moments, lengthMm }: Asides, nearMm: number): boolean {
  if (powers[0] < 3 || lengthMm === 0) return false;
  // In parts of its length, so that the powers are of one size.
  const [p0, p1, p2, p3, p4] = powers.map((sum, k) => sum / lengthMm ** k) as Asides['powers'];
  const [m0, m1, m2] = moments.map((sum, k) => sum / lengthMm ** k) as Asides['moments'];
  const whole = determinant([p0, p1, p2], [p1, p2, p3], [p2, p3, p4]);
  const slope = determinant([p0, p1, p2], [m0, m1, m2], [p2, p3, p4]) / whole;
  const bend = determinant([p0, p1, p2], [p1, p2, p3], [m0, m1, m2]) / whole;
  const steepest = Math.max(Math.abs(slope), Math.abs(slope + 2 * bend)) / lengthMm;
  const at = (part: number): number => slope * part + bend * part * part;
  const summit = bend === 0 ? 0 : Math.min(1, Math.max(0, -slope / (2 * bend)));
  const [end, turn] = [at(1), at(summit)];
  const byMm = Math.max(0, end, turn) - Math.min(0, end, turn);
  return steepest >= LEAVES_STEEPLY || (steepest >= LEAVES_AT && byMm >= LEAVES_BY * nearMm);
}

type Row = readonly [number, number, number];

const determinant = ([a, b, c]: Row, [d, e, f]: Row, [g, h, i]: Row): number =>
  a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);

function openMap({ survey, machine }: Evidence, operations: readonly number[]) {
  const all = operations.map((n) => boundsOf(survey, n));
  const leftMost = leastOf(all.map((b) => b.minXMm));
  const lowest = leastOf(all.map((b) => b.minYMm));
  const width = greatestOf(all.map((b) => b.maxXMm)) - leftMost;
  const height = greatestOf(all.map((b) => b.maxYMm)) - lowest;
  const cellMm = Math.max(
    meanWidthMm(machine.spot) / 2,
    Math.sqrt((width * height) / MOST_CELLS),
    (2 * Math.max(width, height)) / MOST_CELLS,
  );
  // Shifted by an odd part of a cell, so that lines at round coordinates do not run along its edges.
  const leftMm = leftMost - 0.371 * cellMm;
  const lowMm = lowest - 0.371 * cellMm;
  const nx = Math.ceil((leftMost + width - leftMm) / cellMm) + 1;
  const size = nx * (Math.ceil((lowest + height - lowMm) / cellMm) + 1);
  return { cellMm, leftMm, lowMm, nx, ...emptyCells(size) };
}

/** What the map knows of each cell; but for the last move it counts only where there is one. */
interface Cells {
  /** The last move through it, plus 1 (0: none), and how far along all paths that was. */
  readonly lastMove: Int32Array;
  readonly lastMm: Float64Array;
  /** How often the operation now under way has come by. */
  readonly visits: Uint8Array;
}

const cellsOf = (size: number): Cells => ({
  lastMove: new Int32Array(size),
  lastMm: new Float64Array(size),
  visits: new Uint8Array(size),
});

/** Cells of the largest map so far: to make as much room anew for each job takes longer than most walks through it. */
let room = cellsOf(0);

function emptyCells(size: number): Cells {
  if (room.lastMove.length < size) room = cellsOf(size);
  else room.lastMove.fill(0, 0, size);
  return room;
}
