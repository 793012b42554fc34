import { isLitAtRest } from './beam-on.ts';
import type { Program } from './program.ts';

/** The head rests with the beam on, which burns a dot. */
export interface Dot {
  readonly xMm: number;
  readonly yMm: number;
  readonly zMm: number;
  /** The move that led there; 0 too where none did. */
  readonly move: number;
  readonly line: number;
}

/** The dwells of a program that burn a dot each, in order; a pause lasts nobody knows how long, and is none. */
export function dotsOf(
  { moves, stops }: Pick<Program, 'moves' | 'stops'>,
  firesOnRapids: boolean,
): readonly Dot[] {
  const dots: Dot[] = [];
  for (let k = 0; k < stops.count; k++) {
    if (!(stops.dwellS[k]! > 0 && isLitAtRest(stops, k, firesOnRapids))) continue;
    const before = stops.beforeMove[k]!;
    const move = Math.max(0, before - 1);
    const [xMm, yMm, zMm] = before > 0 ? [moves.xMm[move]!, moves.yMm[move]!, moves.zMm[move]!] : [0, 0, 0];
    dots.push({ xMm, yMm, zMm, move, line: stops.line[k]! });
  }
  return dots;
}
