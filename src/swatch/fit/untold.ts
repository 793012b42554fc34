import { median } from 'd3-array';
import { firedNeed } from '../../burn/firing.ts';
import { greatestOf } from '../../lists.ts';
import { numberWords } from '../../words.ts';
import type { PhotoReading } from '../photo/read.ts';
import type { SwatchDoses } from '../replay.ts';
import { boundedBy } from './bounded.ts';
import { isFit, type RemovalBound, type RemovalFit } from './cuts.ts';
import type { LadderFit } from './ladder.ts';
import type { Observation } from './observe.ts';
import type { FitOptions } from './options.ts';
import type { ResponseFit } from './response.ts';

/** What the swatch could not tell, and why. */
export function untoldBy(
  { determined, sigma }: ResponseFit,
  removal: RemovalFit | RemovalBound | null,
  ladders: readonly LadderFit[],
  reading: PhotoReading,
  doses: SwatchDoses,
  { cuts, base }: FitOptions,
): string[] {
  const untold: string[] = [];
  const stays = (what: string, why: string) => untold.push(`${what} stays as it was: ${why}.`);
  const stay = (what: string, why: string) => untold.push(`${what} stay as they were: ${why}.`);
  if (!determined.first_mark)
    stays(
      'First mark',
      `the patches know it only within ${sigma.first_mark.toPrecision(2)} J/mm², or the weakest of them is already marked`,
    );
  if (!determined.full_char)
    stays(
      'Full char',
      `the patches know it only within ${sigma.full_char.toPrecision(2)} J/mm², or the strongest of them does not reach it`,
    );
  if (!determined.char_lab) stays('Char colour', 'no patch is surely beyond full char');
  if (!determined.warmth_ab)
    stays('Warm tint', `tan and brown patches know it only within ${sigma.warmth_ab.toPrecision(2)}`);
  if (!determined.lightening_l)
    stays(
      'Lightening beyond full char',
      `the patches know it only within ${sigma.lightening_l.toPrecision(2)} of L*`,
    );
  const alone = doses.patches.filter(({ patch }) => patch.alone);
  const none = 'the swatch has no patches that are burned alone';
  const within = (what: number) => `the patches know it only within ${numberWords(what, 2)}`;
  if (!determined.warmth_scale)
    stays('What warmth saves', alone.length === 0 ? none : `${within(sigma.warmth_scale)} K`);
  if (!determined.firing_cost)
    stays(
      'What each further firing costs',
      alone.some(({ patch }) => patch.passes) ? within(sigma.firing_cost) : `${none} in several passes`,
    );
  if (reading.whiteOverBare === null) {
    stays(
      'Bare colour',
      'a photo tells colours only relative to something; white paper beside the board and --white would tell it',
    );
  }
  if (doses.cuts.length === 0) stays('Removal', 'the swatch has no cut lines');
  else if (cuts === null)
    stays('Removal', 'it was not told which cuts went through; give their numbers with --cuts');
  else if (removal !== null && !isFit(removal)) {
    const { atLeastJPerMm3, atMostJPerMm3 } = removal;
    const why =
      atLeastJPerMm3 === null
        ? `every cut went through, so it is less than ${atMostJPerMm3!.toPrecision(2)} J/mm³`
        : `no cut went through, so it is more than ${atLeastJPerMm3.toPrecision(2)} J/mm³`;
    const taken = boundedBy(base.removal_j_mm3, removal);
    if (taken === null) stays('Removal', why);
    else
      untold.push(
        `Removal could only be bounded: ${why}. It is taken as ${taken.value.toPrecision(2)} ± ${taken.sigma.toPrecision(2)}, a guess; cuts that are ${atLeastJPerMm3 === null ? 'weaker' : 'stronger'} would measure it.`,
      );
  }
  stays('Wall loss', 'one thickness cannot tell it from removal');
  stays('Surface rise of full char', 'the patches differ too little in how long the beam stays');
  if (ladders.length < 2)
    untold.push('The spot width across some lines could not be told: too few of them are dark enough.');
  if (base.moisture_percent.plus_minus !== null)
    stay('Density, moisture and absorption', 'a swatch does not show them');
  return untold;
}

/** What a person should look at before trusting the fit. */
export function remarksOn(
  response: ResponseFit,
  removal: RemovalFit | RemovalBound | null,
  ladders: readonly LadderFit[],
  observations: readonly Observation[],
  reading: PhotoReading,
): string[] {
  const remarks: string[] = [];
  for (const { along, widthMm, widthSigmaMm, profileWidthMm } of ladders) {
    const off = Math.abs(widthMm - profileWidthMm);
    if (off > 3 * widthSigmaMm && off > 0.1 * profileWidthMm) {
      remarks.push(
        `Lines along ${along} say that the spot is ${widthMm.toFixed(2)} ± ${widthSigmaMm.toFixed(2)} mm wide across them; ` +
          `the machine profile says ${profileWidthMm.toFixed(2)} mm. Correct spot.width_mm, or the focus, and fit again.`,
      );
    }
  }
  remarks.push(warmWords(response, observations));
  if (response.chiSquarePerFreedom > 4) {
    remarks.push(
      `The patches scatter ${Math.sqrt(response.chiSquarePerFreedom).toFixed(1)} times as far from the curve as grain and noise explain; ` +
        'the uncertainties were widened by as much. Smoke stains, uneven veneer or a wrong machine profile are the usual causes.',
    );
  }
  if (isFit(removal) && removal.mixed) {
    remarks.push(
      'A weaker cut went through where a stronger one did not, so removal is told with more doubt. Glue and knots do that.',
    );
  }
  const clipped = observations.filter((_, k) => reading.patches[k]!.clipped > 0.1).length;
  if (clipped > 0) {
    remarks.push(
      `${clipped} ${clipped === 1 ? 'patch is' : 'patches are'} partly at the end of what the camera can tell, so the char may be darker than told.`,
    );
  }
  return remarks;
}

/** How often and how warm the patches were fired, and what that makes of their doses. */
function warmWords({ material, determined }: ResponseFit, observations: readonly Observation[]): string {
  const firings = median(observations, ({ dose }) => dose.firings)!;
  const warmestK = greatestOf(observations.map(({ dose }) => dose.warmthK));
  const times = median(observations, ({ dose }) => firedNeed(dose.firings, dose.warmthK, material))!;
  return (
    `Its rows lie so near that each place of a patch is fired ${firings.toFixed(1)} times, and they find the wood up to ` +
    `${Math.round(warmestK)} K warm: a patch takes ${times.toFixed(2)} times the dose of one cool firing. ${determined.warmth_scale ? 'How much warmth saves was measured by those burned alone.' : 'That is reckoned out, and a guess.'}`
  );
}
