import { greatestOf } from '../lists.ts';
import { isThroughAlong } from './evidence/cut-path.ts';
import type { Cut } from './evidence/cuts.ts';
import { type Enclosed, enclosedByAll, type Freeing, largestOf } from './evidence/enclosed.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Loop } from './evidence/loops.ts';
import { MOST_PLACES } from './evidence/places.ts';
import type { Advice, Finding } from './finding.ts';
import { capital, listWords, round } from './phrases.ts';

/**
 * `cut-before-engraved`: a closed outline is cut through, by its last pass or more likely than not by an earlier one, and
 * what lies inside it is burned afterwards: by then the part is loose and may have dropped, tilted or shifted. One finding
 * for each operation that comes too late, with every outline that comes before it.
 */
export function findCutBeforeEngraved(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const { program } = evidence;
  const all = cuts.flatMap((cut) =>
    cut.loops.map((loop) => ({ cut, loop, allThrough: cut.path.uncut === null })),
  );
  const freed = largestOf(all, ({ loop }) => loop)
    .filter(({ loop, allThrough }) => allThrough || isThroughAlong(evidence, loop.firstMove, loop.lastMove))
    .map(({ cut, loop }) => freeing(evidence, cut, loop));
  if (freed.length === 0) return [];
  const enclosed = enclosedByAll(evidence, freed);
  const cure = curesOf(evidence, enclosed.flat());
  return program.operations.flatMap(({ n }, k) =>
    enclosed[k]!.some(({ late }) => late) ? [finding(evidence, n, enclosed[k]!, cure)] : [],
  );
}

/** From this chance on a part counts as free before its last pass. */
const LIKELY = 0.5;

/** The pass of a loop that frees its part: the first after which it is more likely than not through, else the last. */
function freeing({ sureness }: Evidence, { each, least }: Cut, loop: Loop): Freeing {
  const all = [...loop.earlier, loop];
  // Nothing comes between passes that follow one another; and only of a path that is burned as often as its operation is it
  // known what one pass brings.
  if (!least || loop.begunMove === all[0]!.firstMove || all.length !== each.operation.passes) return loop;
  const free = loop.earlier.findIndex((_, k) => {
    const part = (k + 1) / all.length;
    const soFar = {
      ...least,
      passes: k + 1,
      doseJPerMm2: least.doseJPerMm2 - (all.length - k - 1) * least.perPassJPerMm2,
      firings: least.firings === null ? null : Math.max(1, least.firings * part),
    };
    return sureness.comesThrough(soFar).chanceThrough > LIKELY;
  });
  return free < 0 ? loop : { ...all[free]!, pass: [free + 1, all.length] };
}

/** In what order a cut is to be burned that frees a part: in words, and as settings of its operation, where those do it. */
export interface Order {
  readonly words: string;
  readonly settings: string | null;
}

/**
 * What becomes of the order once cuts come through that do not yet: what is burned inside their outlines after them would
 * come too late.
 * @returns the order that operation n then needs; null where the present one will do.
 */
export function orderOnceThrough(evidence: Evidence, cuts: readonly Cut[]): (n: number) => Order | null {
  const loops = largestOf(
    cuts.flatMap((cut) => cut.loops),
    (loop) => loop,
  );
  const enclosed = enclosedByAll(evidence, loops).flat();
  const cure = curesOf(evidence, enclosed);
  return (n) => {
    const late = enclosed.filter(({ loop, late }) => late && loop.operation === n);
    if (late.length === 0) return null;
    const inside = late.filter(({ operation }) => operation === n);
    const isOvertaken = inside.length < late.length;
    if ((isOvertaken && !cure.canBeLast(n)) || !inside.every(cure.isApart)) {
      return {
        words:
          'Once it comes through, what is burned inside it afterwards lies on a loose part: change the order in the program ' +
          'that wrote the job.',
        settings: null,
      };
    }
    const ways = [...(isOvertaken ? ['last'] : []), ...(inside.length > 0 ? ['inside first'] : [])];
    return {
      words: `Once it comes through it must be burned ${ways.join(', ')}: else what lies inside it is burned on a loose part.`,
      settings: ways.join(', '),
    };
  };
}

/** What a change of order can mend. */
interface Cure {
  /** Whether burning it last brings no other trouble of this kind. */
  canBeLast(operation: number): boolean;
  /** Whether the beam goes off between a loop and what comes too late in it, so that they can change places. */
  isApart(each: Enclosed): boolean;
}

function curesOf({ program, energies }: Evidence, enclosed: readonly Enclosed[]): Cure {
  const { operations, pauseLines } = program;
  const pairs = enclosed.filter(({ operation, loop }) => loop.operation !== operation);
  const moved = new Set(pairs.filter(({ late }) => late).map(({ loop }) => loop.operation));
  const inOrder = operations.toSorted((a, b) => a.firstMove - b.firstMove).map(({ n }) => n);
  const order = [...inOrder.filter((n) => !moved.has(n)), ...inOrder.filter((n) => moved.has(n))];
  const place = new Map(order.map((n, k) => [n, k]));
  const wrong = new Set(
    pairs
      .filter(({ operation, loop }) => place.get(loop.operation)! < place.get(operation)!)
      .flatMap(({ operation, loop }) => [operation, loop.operation]),
  );
  // A pause may be there to change or turn the piece: what stands on either side of it stays there.
  const lastLine = greatestOf(operations.map(({ lines }) => lines[1]));
  const mayCross = (line: number) => !pauseLines.some((pause) => pause > line && pause < lastLine);
  return {
    canBeLast: (n) => !wrong.has(n) && mayCross(operations[n - 1]!.lines[0]),
    isApart({ operation, loop, late }) {
      const { lines } = operations[operation - 1]!;
      if (!late || pauseLines.some((pause) => pause > lines[0] && pause < lines[1])) return false;
      for (let k = loop.lastMove + 1; k < late.move; k++) if (energies.nominalMmPerS[k] === 0) return true;
      return false;
    },
  };
}

function finding(evidence: Evidence, n: number, enclosed: readonly Enclosed[], cure: Cure): Finding {
  const { program } = evidence;
  const { line } = program.moves;
  const late = enclosed
    .flatMap((each) => (each.late ? [{ ...each, late: each.late }] : []))
    .sort((a, b) => a.late.move - b.late.move);
  const { loop, late: first } = late[0]!;
  const cutLines = [line[loop.begunMove]!, line[loop.lastMove]!] as const;
  const where = `of ${cutLines[0] === cutLines[1] ? `line ${cutLines[0]}` : `lines ${cutLines[0]} to ${cutLines[1]}`}`;
  const early = loop.pass ? ` more likely than not with pass ${loop.pass[0]} of ${loop.pass[1]} already` : '';
  const what = program.operations[n - 1]!.kind === 'rows' ? 'engraved' : 'burned';
  const count = late.length;
  const many =
    count < enclosed.length ? `${count} outlines` : count === 2 ? 'both outlines' : `all ${count} outlines`;
  const { remedy, advice } = remedyOf(n, late, cure);
  return {
    kind: 'cut-before-engraved',
    severity: 'stop',
    line: line[first.move]!,
    atMm: [round(first.xMm, 3), round(first.yMm, 3)],
    operation: n,
    message:
      count === 1
        ? `The outline ${where} cuts its part free${early}, and only then is the inside ${what} (from line ${line[first.move]!}): ` +
          'a loose part drops, tilts or shifts, so it lands in the wrong place.'
        : `${capital(many)} cut their parts free${early} before their inside is ${what} (first the outline ${where}, its inside ` +
          `from line ${line[first.move]!}): loose parts drop, tilt or shift, so it lands in the wrong place.`,
    remedy,
    measure: {
      cut_operation: loop.operation,
      cut_lines: cutLines,
      late_line: line[first.move]!,
      loop_mm: round(loop.lengthMm, 2),
      count,
      places: late
        .slice(0, MOST_PLACES)
        .map(({ late: { move, xMm, yMm } }) => [round(xMm, 3), round(yMm, 3), line[move]!] as const),
    },
    advice,
  };
}

function remedyOf(
  n: number,
  late: readonly Enclosed[],
  cure: Cure,
): { remedy: string; advice: Advice | null } {
  const inside = late.filter(({ loop }) => loop.operation === n);
  const others = [...new Set(late.map(({ loop }) => loop.operation))].filter((each) => each !== n);
  others.sort((a, b) => a - b);
  if (!others.every(cure.canBeLast) || !inside.every(cure.isApart)) {
    return {
      remedy:
        `Burn ${late.length === 1 ? 'the outline' : 'each outline'} after what lies inside it. No change of settings does it here: change the order in the program ` +
        'that wrote the job.',
      advice: null,
    };
  }
  const changes = [
    ...(inside.length > 0 ? [`${n}: inside first`] : []),
    ...others.map((each) => `${each}: last`),
  ];
  const words = [
    ...(others.length > 0
      ? [`burn ${others.length === 1 ? 'operation' : 'operations'} ${listWords(others.map(String))} last`]
      : []),
    ...(inside.length > 0 ? [`burn operation ${n} inside first, each outline after what lies in it`] : []),
  ];
  return {
    remedy: `${capital(words.join('; '))}.`,
    advice: { operation: others[0] ?? n, change: changes.join('; ') },
  };
}
