import { followCut } from './cut-path.ts';
import type { Cut } from './cuts.ts';
import type { Evidence } from './evidence.ts';
import type { Finding } from './finding.ts';
import { isInside, type Loop } from './loops.ts';
import { round } from './say.ts';

/** Places of each later operation that are tried. */
const TRIES = 500;
/** Loops looked at, the largest first. */
const MOST_LOOPS = 100;

/**
 * `cut-before-engraved`: a closed outline is cut through, and what lies inside it is burned afterwards: by then the
 * part is loose and may have dropped, tilted or shifted. One finding for each operation that comes too late.
 */
export function findCutBeforeEngraved(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const { program, survey } = evidence;
  const freed = cuts
    .flatMap(({ loops, path }) => loops.map((loop) => ({ loop, allThrough: path.uncut === null })))
    .sort((a, b) => b.loop.lengthMm - a.loop.lengthMm)
    .slice(0, MOST_LOOPS)
    .filter(
      ({ loop, allThrough }) =>
        allThrough || followCut(evidence, loop.firstMove, loop.lastMove).uncut === null,
    )
    .map(({ loop }) => loop);
  if (freed.length === 0) return [];
  return program.operations.flatMap((operation) => {
    if (!(survey.burnedMm[operation.n]! > 0)) return [];
    const late = firstInside(evidence, freed, operation.firstMove, operation.lastMove);
    return late ? [finding(evidence, operation.n, late)] : [];
  });
}

interface Late {
  readonly loop: Loop;
  readonly move: number;
  readonly xMm: number;
  readonly yMm: number;
}

/** The first burning found, between two moves, inside a loop that was finished before it. */
function firstInside(
  { program, energies, machine }: Evidence,
  loops: readonly Loop[],
  first: number,
  last: number,
): Late | null {
  const { xMm, yMm } = program.moves;
  const clearMm = 2 * Math.max(...machine.spot.width_mm);
  const from = Math.max(first, Math.min(...loops.map((loop) => loop.lastMove)) + 1);
  const stride = Math.max(1, Math.floor((last - from) / TRIES));
  for (let at = from; at <= last; at += stride) {
    // The next move that burns, within the stride.
    let i = at;
    while (i <= last && i < at + stride && energies.nominalMmPerS[i] === 0) i++;
    if (i > last || energies.nominalMmPerS[i] === 0) continue;
    const x = (xMm[i]! + (i > 0 ? xMm[i - 1]! : 0)) / 2;
    const y = (yMm[i]! + (i > 0 ? yMm[i - 1]! : 0)) / 2;
    const loop = loops.find((each) => each.lastMove < i && isInside(program, each, x, y, clearMm));
    if (loop) return { loop, move: i, xMm: x, yMm: y };
  }
  return null;
}

function finding({ program }: Evidence, n: number, { loop, move, xMm, yMm }: Late): Finding {
  const { line } = program.moves;
  const operation = program.operations[n - 1]!;
  const cutLines = [line[loop.firstMove]!, line[loop.lastMove]!] as const;
  const sameOperation = loop.operation === n;
  const what = operation.kind === 'rows' ? 'engraved' : 'burned';
  return {
    kind: 'cut-before-engraved',
    severity: 'stop',
    line: line[move]!,
    atMm: [round(xMm, 3), round(yMm, 3)],
    operation: n,
    message:
      `The outline of lines ${cutLines[0]} to ${cutLines[1]} cuts its part free, and only then is the inside ${what} ` +
      `(from line ${line[move]!}): a loose part drops, tilts or shifts, so it lands in the wrong place.`,
    remedy: sameOperation
      ? `Burn from the inside out: move lines ${cutLines[0]} to ${cutLines[1]} behind line ${operation.lines[1]}.`
      : `Cut last: move operation ${loop.operation} (or lines ${cutLines[0]} to ${cutLines[1]}) behind line ${operation.lines[1]}.`,
    measure: {
      cut_operation: loop.operation,
      cut_lines: cutLines,
      late_line: line[move]!,
      loop_mm: round(loop.lengthMm, 2),
    },
  };
}
