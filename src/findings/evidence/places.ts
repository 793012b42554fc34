import type { Place } from '../finding.ts';

/** No finding names more places than this; its count tells how many there are. */
export const MOST_PLACES = 50;

/**
 * Gathers the places of one finding: counts them all, keeps the worst. Places closer together along the way
 * than `apartMm` are one, told by its worst.
 */
export interface Places {
  /**
   * @param alongMm how far along the way the place is; rising.
   * @param times what the motion says of it, to keep with the place.
   */
  add(
    worse: number,
    alongMm: number,
    atMm: readonly [x: number, y: number],
    from: { readonly line: number; readonly move: number },
    times?: number,
  ): void;
  /** Ends the way: what comes next is a new place however near. */
  lift(): void;
  finish(): Gathered | null;
}

export interface Gathered {
  readonly count: number;
  readonly worst: Spotted;
  /** The worst {@link MOST_PLACES}, worst first. */
  readonly places: readonly Place[];
}

export interface Spotted {
  worse: number;
  xMm: number;
  yMm: number;
  line: number;
  move: number;
  times: number;
}

export function gatherPlaces(apartMm: number): Places {
  let kept: Spotted[] = [];
  let count = 0;
  let open: Spotted | null = null;
  let openAlongMm = 0;
  const close = () => {
    if (!open) return;
    count++;
    kept.push(open);
    if (kept.length > 4 * MOST_PLACES) kept = worstOf(kept);
    open = null;
  };
  return {
    add(worse, alongMm, [xMm, yMm], { line, move }, times = 0) {
      if (open && alongMm - openAlongMm > apartMm) close();
      openAlongMm = alongMm;
      if (!open) open = { worse, xMm, yMm, line, move, times };
      else if (worse > open.worse) Object.assign(open, { worse, xMm, yMm, line, move, times });
    },
    lift: close,
    finish() {
      close();
      if (count === 0) return null;
      const worst = worstOf(kept);
      return {
        count,
        worst: worst[0]!,
        places: worst.map(({ xMm, yMm, line }) => [Number(xMm.toFixed(3)), Number(yMm.toFixed(3)), line]),
      };
    },
  };
}

const worstOf = (spotted: Spotted[]): Spotted[] =>
  spotted.sort((a, b) => b.worse - a.worse || a.line - b.line).slice(0, MOST_PLACES);
