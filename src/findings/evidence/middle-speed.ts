import type { Operation } from '../../program/program.ts';
import type { Evidence } from './evidence.ts';
import { spreadLitMoves } from './straight-line.ts';
import { slowMmOf } from './survey.ts';

/** Moves that tell how fast the head is, spread over the operation, and steps in which that is found. */
const MOST_ASKED = 400;
const SPEED_STEPS = 20;

/** The speed that the head is slower than on half of its lit way, and how many times what full speed gives falls there. */
export function middleSpeed(
  { motion, energies }: Pick<Evidence, 'motion' | 'energies'>,
  operation: Operation,
): { readonly mmPerS: number; readonly timesFull: number } {
  const asked = spreadLitMoves(operation, energies, MOST_ASKED).filter((i) => energies.flatMm(i) > 0);
  const mean = (of: (i: number) => number): number => {
    const mm = asked.map((i) => energies.flatMm(i));
    return asked.reduce((sum, i, k) => sum + mm[k]! * of(i), 0) / mm.reduce((sum, each) => sum + each, 0);
  };
  const speed = (i: number, part: number): number => part * energies.nominalMmPerS[i]!;
  let part = 0;
  for (let step = 1; step <= SPEED_STEPS; step++) {
    const next = part + 2 ** -step;
    if (mean((i) => slowMmOf(motion, i, speed(i, next)) / motion.lengthMm[i]!) < 0.5) part = next;
  }
  const fullJPerMm = mean((i) => energies.nominalJPerMm(i));
  const thereJPerMm = mean((i) => energies.atSpeedJPerMm(i, speed(i, part)));
  return {
    mmPerS: mean((i) => speed(i, part)),
    timesFull: fullJPerMm > 0 ? thereJPerMm / fullJPerMm : 1,
  };
}
