import { moveTimeS } from '../../src/motion/timeline.ts';
import type { Scene } from '../worker/messages.ts';

/**
 * When the beam was last within so many mm of a place, s; null: never.
 * @param operation only where it was this one that came last; where it never was, any.
 */
export function lastArrivalS(
  { arrival }: Scene,
  [xMm, yMm]: readonly [number, number],
  withinMm: number,
  operation: number | null,
): number | null {
  const { frame, marks, spanS, move } = arrival;
  const { cellMm, x0Mm, y0Mm, nx, ny } = frame;
  const from = (mm: number, zeroMm: number) => Math.max(0, Math.floor((mm - withinMm - zeroMm) / cellMm));
  const to = (mm: number, zeroMm: number, n: number) =>
    Math.min(n - 1, Math.floor((mm + withinMm - zeroMm) / cellMm));
  let own = -1;
  let any = -1;
  for (let j = from(yMm, y0Mm); j <= to(yMm, y0Mm, ny); j++) {
    for (let i = from(xMm, x0Mm); i <= to(xMm, x0Mm, nx); i++) {
      const k = j * nx + i;
      if (move[k] === 0) continue;
      const last = spanS[2 * k + 1]!;
      if (last > any) any = last;
      if (last > own && marks[4 * k + 3] === operation) own = last;
    }
  }
  return own >= 0 ? own : any >= 0 ? any : null;
}

/** The line a finding names leads to its place when it passes within this, mm. */
const AT_PLACE_MM = 2;

/** When the moves of a line are nearest to the place they lead to, s; null where they do not lead there. */
export function momentOf(
  { forecast }: Scene,
  [xMm, yMm]: readonly [number, number],
  line: number,
): number | null {
  const { motion, program } = forecast;
  const { moves } = program;
  let nearest = AT_PLACE_MM;
  let when: number | null = null;
  for (let i = 0; i < moves.count; i++) {
    if (moves.line[i] !== line || line === 0) continue;
    const x0 = i === 0 ? 0 : moves.xMm[i - 1]!;
    const y0 = i === 0 ? 0 : moves.yMm[i - 1]!;
    const dx = moves.xMm[i]! - x0;
    const dy = moves.yMm[i]! - y0;
    const length2 = dx * dx + dy * dy;
    const part = length2 === 0 ? 0 : Math.min(1, Math.max(0, ((xMm - x0) * dx + (yMm - y0) * dy) / length2));
    const away = Math.hypot(xMm - x0 - part * dx, yMm - y0 - part * dy);
    if (away >= nearest) continue;
    nearest = away;
    when = motion.startS[i]! + part * moveTimeS(motion, i);
  }
  return when;
}
