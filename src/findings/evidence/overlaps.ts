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

/**
 * Walks all outlines in burn order over a map of half-spot cells that remembers the last move through each, and
 * measures where a later move follows an earlier one. Crossings and touching corners do not run the same way
 * and do not count. O(burned length / spot width).
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
  const stretches = gatherStretches();
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
          const again = follows(evidence, before, [x, y], [dx / flat, dy / flat], nearMm);
          const times = again && own ? Math.min(255, visits[cell]! + 1) : 1;
          visits[cell] = times;
          if (times === 1) distinctMm[n]! += stepMm;
          if (again && (!own || times > passes)) {
            const first = !own || times === passes + 1;
            const at = { x, y, line: line[i]!, move: i };
            stretches.add({ operation: n, on: operation[before]!, first }, stepMm, pathMm, at);
          }
        }
        lastMove[cell] = i + 1;
        lastMm[cell] = pathMm;
      }
    }
  }
  return stretches.finish(distinctMm);
}

/** Whether the point lies on an earlier move and goes its way, to or fro. */
function follows(
  { program: { moves } }: Evidence,
  before: number,
  [x, y]: readonly [number, number],
  [ux, uy]: readonly [number, number],
  nearMm: number,
): boolean {
  const x0 = before > 0 ? moves.xMm[before - 1]! : 0;
  const y0 = before > 0 ? moves.yMm[before - 1]! : 0;
  const dx = moves.xMm[before]! - x0;
  const dy = moves.yMm[before]! - y0;
  const length = Math.sqrt(dx * dx + dy * dy);
  if (Math.abs(ux * dy - uy * dx) > SAME_WAY * length) return false;
  return Math.abs(dx * (y - y0) - dy * (x - x0)) <= nearMm * length;
}

interface Found {
  readonly operation: number;
  readonly on: number;
  lengthMm: number;
  againMm: number;
  readonly places: Places;
}

/** Joins samples that follow each other into stretches, and keeps those that are long enough. */
function gatherStretches() {
  const found = new Map<string, Found>();
  const now = {
    operation: 0,
    on: 0,
    lengthMm: 0.5,
    againMm: 0.5,
    endMm: 0.5,
    x: 0.5,
    y: 0.5,
    line: 0,
    move: 0,
  };
  now.lengthMm = 0;
  const close = () => {
    if (now.lengthMm < LEAST_MM) return;
    const key = `${now.operation} ${now.on}`;
    const there = found.get(key) ?? {
      operation: now.operation,
      on: now.on,
      lengthMm: 0,
      againMm: 0,
      places: gatherPlaces(0),
    };
    found.set(key, there);
    there.lengthMm += now.lengthMm;
    there.againMm += now.againMm;
    there.places.add(now.lengthMm, 0, [now.x, now.y], now);
    there.places.lift();
  };
  return {
    /** @param burned `first`: whether this is the first time that the place is burned again. */
    add(
      { operation, on, first }: { operation: number; on: number; first: boolean },
      stepMm: number,
      pathMm: number,
      at: { x: number; y: number; line: number; move: number },
    ): void {
      const joined =
        now.operation === operation && now.on === on && pathMm - now.endMm <= stepMm + LEAST_MM / 4;
      if (!joined) {
        close();
        Object.assign(now, { operation, on, lengthMm: 0, againMm: 0, ...at });
      }
      now.lengthMm += stepMm;
      if (first) now.againMm += stepMm;
      now.endMm = pathMm;
    },
    finish(distinctMm: Float64Array): Overlap[] {
      close();
      return Array.from(found.values(), ({ places, ...each }) => ({
        ...each,
        distinctMm: distinctMm[each.operation]!,
        places: places.finish()!,
      }));
    },
  };
}

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
  return {
    cellMm,
    leftMm,
    lowMm,
    nx,
    /** The last move through each cell, plus 1 (0: none), and how far along all paths that was. */
    lastMove: new Int32Array(size),
    lastMm: new Float64Array(size),
    /** How often the operation now under way has come by. */
    visits: new Uint8Array(size),
  };
}
