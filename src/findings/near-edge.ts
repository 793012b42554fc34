import { outlinePlusMinusMm, type Stock, stockBounds } from '../board.ts';
import { grownBounds } from '../grid.ts';
import type { Machine } from '../machine/profile.ts';
import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import { edgeSlackMm } from './evidence/on-board.ts';
import { fitShiftMm, wayWords } from './evidence/overhang.ts';
import type { Finding, Severity } from './finding.ts';
import { round } from './phrases.ts';

/**
 * So near to the edge wood splinters and smoke stains round it, and an outline on a photo is known to half a millimetre (a
 * judgement, no source).
 */
export const NEAR_MM = 1.5;

/** How far the burn should keep from the edge: as far as that may lie off, too. */
const keepMm = (stock: Stock): number => Math.max(NEAR_MM, outlinePlusMinusMm(stock));

/** Less is rounding. */
const ROUNDING_MM = 1e-6;

/** Where what burns nearest to the edge lies: clear of it, near it, on it so that light falls beside, or beyond it. */
export type AtEdge = 'clear' | 'near' | 'on' | 'beyond';

/** From here on an outline is in doubt by more than half a millimetre, which another photo can mend, mm. */
export const MUCH_DOUBT_MM = 0.65;

/** `about half a millimetre`, `about 2.4 mm`. */
export const aboutWords = (mm: number): string =>
  mm < MUCH_DOUBT_MM ? 'about half a millimetre' : `about ${numberWords(mm, 2)} mm`;

/** @param leastMm how far the burn keeps from the edge. */
export function atEdge(leastMm: number, machine: Machine, stock: Stock): AtEdge {
  const slackMm = edgeSlackMm(machine);
  if (leastMm < -slackMm) return 'beyond';
  if (leastMm < slackMm) return 'on';
  return leastMm < keepMm(stock) - ROUNDING_MM ? 'near' : 'clear';
}

/** Of a line so near to the edge, as a part of half the spot's width, 40 to 60 % of a Gaussian's light falls beside. */
const ABOUT_HALF = 1 / 8;

/**
 * `near-edge`: the burn stays on the board, but comes close to its edge or lies on it; and `off-stock`, where it leaves an
 * outline that is known (a plain board's: `off-stock.ts`). One finding for the job, at the worst place.
 */
export function findNearEdge({ stock, machine, program, clearance, burnBounds }: Evidence): Finding[] {
  if (!stock || !clearance) return [];
  const { leastMm, xMm, yMm, move } = clearance;
  const at = atEdge(leastMm, machine, stock);
  const isPlain = !stock.outline;
  if (at === 'clear' || (at === 'beyond' && isPlain)) return [];
  // Of another outline nobody knows by how much without trying.
  const shiftMm = isPlain ? fitShiftMm(burnBounds, grownBounds(stockBounds(stock), -keepMm(stock))) : null;
  const byMm = `${numberWords(Math.abs(leastMm), 2)} mm`;
  const doubt = isPlain
    ? ''
    : `, and the outline itself is known to ${aboutWords(outlinePlusMinusMm(stock))}`;
  const much = Math.abs(leastMm) < ABOUT_HALF * edgeSlackMm(machine) ? 'about half' : 'part';
  const messages = {
    beyond: `The burn reaches beyond the outline of the board, by ${byMm} at the worst place: that part is missing from the piece and burns the bed instead.`,
    on: `The burn lies on the very edge of the board: ${much} of its light falls beside the wood and burns the bed, the edge chars, and wood may break out there${doubt}.`,
    near: `The burn comes within ${byMm} of the board’s edge: wood may break out there${doubt}.`,
  };
  const severities = { beyond: 'stop', on: 'warning', near: isPlain ? 'note' : 'warning' } as const;
  return [
    {
      kind: at === 'beyond' ? 'off-stock' : 'near-edge',
      severity: severities[at] satisfies Severity,
      line: program.moves.line[move]!,
      atMm: [round(xMm, 3), round(yMm, 3)],
      operation: program.moves.operation[move]! || null,
      message: messages[at],
      remedy: `${shiftMm ? `Move the burn ${wayWords(shiftMm)}` : 'Move or turn the job on the board (a change such as “all: shift 5x-3, turn 90”)'} so that it keeps ${numberWords(keepMm(stock), 2)} mm from the edge, make it smaller, or take a larger board.`,
      measure: { clearance_mm: round(leastMm, 3), ...(shiftMm ? { shift_mm: shiftMm } : {}) },
    },
  ];
}
