import type { Arrival } from './arrival.ts';
import { HALVINGS } from './halvings.ts';

/**
 * When each place's energy came, at ever coarser sizes, for looking from afar: a coarser texel is touched from the
 * first arrival in its four to the last, so that no thin line falls between two of them.
 */
export interface RevealLevel {
  readonly nx: number;
  readonly ny: number;
  /** First and last arrival, s; first > last where nothing came. */
  readonly spanS: Float32Array;
  readonly visits: Uint8Array;
}

/** Times that stretch by more than this when four texels join belong to different lines, not to passes of one. */
const STRETCHED = 1.5;

/** The levels of a job's arrivals, the finest first. */
export function revealsOf({ frame, spanS, marks }: Arrival): RevealLevel[] {
  const visits = new Uint8Array(frame.nx * frame.ny);
  for (let k = 0; k < visits.length; k++) visits[k] = marks[4 * k]!;
  const finest = { nx: frame.nx, ny: frame.ny, spanS, visits };
  return [finest, ...coarserReveals(finest)];
}

/** @returns the levels after the finest, each half the size of the one before. */
export function coarserReveals(finest: RevealLevel): RevealLevel[] {
  const levels: RevealLevel[] = [];
  for (let n = 0, from = finest; n < HALVINGS; n++) {
    from = halved(from);
    levels.push(from);
  }
  return levels;
}

function halved({ nx, ny, spanS, visits }: RevealLevel): RevealLevel {
  const w = nx >> 1;
  const h = ny >> 1;
  const span = new Float32Array(2 * w * h);
  const often = new Uint8Array(w * h);
  for (let j = 0, to = 0; j < h; j++) {
    for (let i = 0; i < w; i++, to++) {
      const a = 2 * j * nx + 2 * i;
      let first = 1e9;
      let last = -1;
      let most = 0;
      let longest = 0;
      for (let q = 0; q < 4; q++) {
        const k = a + (q & 1) + (q >> 1) * nx;
        const from = spanS[2 * k]!;
        const until = spanS[2 * k + 1]!;
        if (from > until) continue;
        if (from < first) first = from;
        if (until > last) last = until;
        if (until - from > longest) longest = until - from;
        if (visits[k]! > most) most = visits[k]!;
      }
      span[2 * to] = first;
      span[2 * to + 1] = last;
      often[to] = last - first > STRETCHED * longest ? Math.min(1, most) : most;
    }
  }
  return { nx: w, ny: h, spanS: span, visits: often };
}
