import { colourDifference } from '../burn/colour.ts';
import { PLAINLY_DIFFERENT } from '../findings/evidence/visible-difference.ts';
import { numberWords } from '../words.ts';
import { cannotTell, differs, isSeen, MOST_LISTED, type Shade } from './told-apart.ts';

/** How the tone of each operation that both have changes, and whether anybody will see it. */
export function toneChanges(a: readonly Shade[], b: readonly Shade[]): string[] {
  const inB = new Map(b.map((each) => [each.operation, each]));
  const changed = a.flatMap((before) => {
    const after = inB.get(before.operation);
    return after && differs(before, after) ? [changeOf(before, after)] : [];
  });
  if (changed.length <= MOST_LISTED)
    return changed.map((each) => `Operation ${each.operation} comes out ${changeWords(each)}`);
  const most = changed.reduce((worst, each) => (each.seen > worst.seen ? each : worst));
  return [
    `${changed.length} operations change in tone, operation ${most.operation} most: it comes out ${changeWords(most)}`,
  ];
}

/** How an operation's tone changes: by so much L*, and by so much in colour, as the eye sees it. */
interface ToneChange {
  readonly operation: number;
  readonly lighterL: number;
  /** The one that is burned further is the lighter. */
  readonly isPaledChar: boolean;
  /** ΔE*ab (CIE 1976). */
  readonly seen: number;
  /** Whether anybody sees it at all. */
  readonly isSeen: boolean;
  /** From one board to the next the difference is lost in what is not known. */
  readonly isLost: boolean;
}

const changeOf = (before: Shade, after: Shade): ToneChange => ({
  operation: before.operation,
  lighterL: after.lab[0] - before.lab[0],
  isPaledChar: after.lab[0] > before.lab[0] === after.tone > before.tone,
  seen: colourDifference(after.lab, before.lab),
  isSeen: isSeen(before, after),
  isLost: cannotTell(before, after),
});

function changeWords({ lighterL, isPaledChar, seen, isSeen, isLost }: ToneChange): string {
  if (!isSeen) return 'in B as in A by its usual tone: what that differs by nobody sees.';
  const eye =
    seen >= PLAINLY_DIFFERENT && !isLost ? 'you will see it' : 'you will see it side by side on one board';
  const why = isPaledChar ? ', since char that is burned on grows paler' : '';
  return `about ${numberWords(Math.abs(lighterL), 1)} L* ${lighterL > 0 ? 'lighter' : 'darker'} in B${why}: ${eye}.`;
}
