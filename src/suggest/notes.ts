import { guessNote } from '../burn/guesses.ts';
import { dwellNotice } from '../burn/need.ts';
import type { Work } from '../burn/speed-power.ts';
import { stripesNote } from '../chart/notes.ts';
import { powerLaw } from '../laser/power.ts';
import { greatestOf, leastOf } from '../lists.ts';
import type { Machine } from '../machine/profile.ts';
import { numberWords, percentWords } from '../words.ts';
import type { Proposal, Suggestion } from './proposal.ts';

/** A spot whose two widths differ more than this burns lines along x and along y plainly differently. */
const OBLONG = 1.15;
/** From this loss of dose on, %, it is worth saying that more power loses less. */
const MUCH_LOSS = 15;

/** What must be known besides the settings, in plain sentences. */
export function proposalNotes(proposal: Omit<Proposal, 'notes'>, work: Work): string[] {
  const { suggestions, machine, material, want } = proposal;
  const dwells = suggestions.map(({ outcome }) => outcome.dwellS);
  const notes: (string | null)[] = [
    suggestions.length > 0 ? powerModeNote(suggestions, machine) : null,
    stripesNote(work),
    work.use.kind === 'line' ? oblongNote(machine.spot.width_mm) : null,
    want.kind === 'cut' && suggestions.some(({ passes }) => passes > 1)
      ? 'Several faster passes or one slow one: common practice prefers several where edges char or flare, though each pays for warming the wood again.'
      : null,
    guessNote(material),
    dwells.length > 0 ? dwellNotice(leastOf(dwells), greatestOf(dwells)) : null,
    material.caution,
  ];
  return notes.filter((note) => note !== null);
}

/** What the power modes of the machine do to these very settings where the head has slowed to half, and which to take. */
function powerModeNote(suggestions: readonly Suggestion[], { laser }: Machine): string {
  const inRows = suggestions[0]!.use.kind === 'rows';
  const where = inRows ? 'at the ends of rows' : 'in corners and at ends';
  if (laser.m4_power === 'constant')
    return (
      `The power of this machine never follows its head: where that has slowed to half, ${where}, the dose doubles; ` +
      (inRows
        ? 'let it turn beyond them with the beam off, as far as told here.'
        : 'the slower the setting, the shorter the way on which it slows.')
    );
  const law = powerLaw(laser);
  const losses = suggestions.map(({ s }) =>
    Math.round(100 * (1 - (2 * law.watts(s, 0.5)) / law.watts(s, 1))),
  );
  const [least, most] = [leastOf(losses), greatestOf(losses)];
  const falls =
    most <= 0 ? 'stays the same' : `falls by ${least === most ? '' : `${Math.max(0, least)} to `}${most} %`;
  const less = most >= MUCH_LOSS ? '; the more power, the less' : '';
  return (
    `Use proportional power: where the head has slowed to half, ${where}, the dose then ${falls}${less}; ` +
    'with constant power it doubles.'
  );
}

function oblongNote([x, y]: readonly [number, number]): string | null {
  const ratio = Math.max(x, y) / Math.min(x, y);
  if (ratio < OBLONG) return null;
  return (
    `The spot is oblong, ${numberWords(x)} × ${numberWords(y)} mm: lines along its longer side get up to ` +
    `${percentWords(Number((ratio - 1).toPrecision(2)))} more dose than told here and come out darker and deeper.`
  );
}
