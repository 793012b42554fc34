import type { BurnEntry } from '../burn/learned.ts';
import type { Material } from '../burn/material.ts';
import { listWords } from '../findings/phrases.ts';
import { type Joint, quantityOf, relativeOf } from '../sure/together.ts';
import { numberWords } from '../words.ts';

/** What was learned, in sentences. */

const WORDS: Readonly<Record<string, readonly [words: string, unit: string]>> = {
  removal_j_mm3: ['removal', 'J/mm³'],
  full_char_j_mm2: ['full char', 'J/mm²'],
  first_mark_j_mm2: ['first mark', 'J/mm²'],
  wall_loss: ['wall loss', ''],
  moisture_percent: ['moisture', '%'],
  density_kg_m3: ['density', 'kg/m³'],
  char_rise_k: ['surface rise of full char', 'K'],
  firing_cost: ['share of the need that each further firing adds', ''],
};

/** A number that has moved by so much of its doubt, or whose doubt has shrunk by so much, is worth telling. */
const MOVED = 0.25;
const SHRUNK = 0.1;
const MOST_TOLD = 3;

/** Null: nothing worth telling. *Learned: removal, before 2.3 ± 0.3, now 2.6 ± 0.2 J/mm³; and that the laser gives 6 % less light than its profile says.* */
export function learnedSentence(prior: Joint, now: Joint, before: Material, after: Material): string | null {
  const sigma = ({ covariance }: Joint, k: number) => Math.sqrt(covariance[k]![k]!);
  const told = prior.names
    .map((name, k) => ({
      name,
      moved: sigma(prior, k) > 0 ? Math.abs(now.mean[k]! - prior.mean[k]!) / sigma(prior, k) : 0,
      shrunk: sigma(prior, k) > 0 ? 1 - sigma(now, k) / sigma(prior, k) : 0,
    }))
    .filter(({ name, moved, shrunk }) => WORDS[name] && (moved >= MOVED || shrunk >= SHRUNK))
    .sort((a, b) => b.moved + b.shrunk - a.moved - a.shrunk)
    .slice(0, MOST_TOLD)
    .map(({ name }) => numberSentence(name, before, after, sigma(prior, prior.names.indexOf(name))));
  const light = lightWords(prior, now);
  if (told.length === 0 && !light) return null;
  return `Learned: ${listWords([...told, ...(light ? [light] : [])])}.`;
}

/** @param sigma of its logarithm before, with what the machine may be off by: a swatch's profile tells less. */
function numberSentence(name: string, before: Material, after: Material, sigma: number): string {
  const [words, unit] = WORDS[name]!;
  const was = quantityOf(before, name)!.value;
  const now = quantityOf(after, name)!;
  const told = (value: number, plusMinus: number) =>
    `${numberWords(value, 3)} ± ${numberWords(plusMinus, 2)}`;
  return `${words}, before ${told(was, was * relativeOf(sigma))}, now ${told(now.value, now.plus_minus ?? 0)}${unit && ` ${unit}`}`;
}

function lightWords(prior: Joint, now: Joint): string | null {
  const shift = 100 * Math.expm1(now.mean[0]!);
  if (Math.abs(now.mean[0]! - prior.mean[0]!) < 0.02) return null;
  const doubt = 100 * Math.sqrt(now.covariance[0]![0]!);
  const [before, after] = [100 * Math.exp(prior.mean[0]!), 100 + shift];
  return `light of the laser, before ${numberWords(before, 3)}, now ${numberWords(after, 3)} ± ${numberWords(doubt, 2)} % of what its profile says`;
}

/** From here on the light differs by more than anybody would leave alone. */
const OTHER_LIGHT = 0.1;
const OTHER_SPOT = 0.12;

/** The machine is suspected where it is so many standard deviations off, and by so many burns; one may be its board's doing. */
const SURE = 2;
const FEWEST_BURNS = 2;
/** A burn that moved a number of the machine by less, %, points no way. */
const POINTS_PERCENT = 0.05;

/** By how much a burn moved what is known of the machine. */
export type Moved = NonNullable<BurnEntry['moved']>;

/** What does not go together. @param burns by how much each that was told of moved what is known of this machine. */
export function agreementSentences(
  { mean, covariance }: Joint,
  isContradictory: boolean,
  burns: readonly Moved[],
): string[] {
  const sentences: string[] = [];
  if (isContradictory) {
    sentences.push(
      'What was told does not go together, or not with what the profiles say: look whether the operations are not mixed up, and whether machine, wood and board are those that were burned.',
    );
  }
  const [light, spot] = [mean[0]!, mean[1]!];
  const isSure = (k: number) => Math.abs(mean[k]!) >= SURE * Math.sqrt(covariance[k]![k]!);
  /** How many burns point the way a number went; null: it is not burn after burn. */
  const sayers = (name: keyof Moved, off: number): string | null => {
    const count = burns.filter((moved) => moved[name] * Math.sign(off) >= POINTS_PERCENT).length;
    if (count < FEWEST_BURNS) return null;
    return count === burns.length
      ? `${numberOf(count)} burns say`
      : `${numberOf(count)} of ${numberOf(burns.length).toLowerCase()} burns say`;
  };
  const ofLight = sayers('optical_power_percent', light);
  if (Math.abs(light) >= OTHER_LIGHT && isSure(0) && ofLight) {
    const percent = Math.round(Math.abs(100 * Math.expm1(light)));
    sentences.push(
      light < 0
        ? `${ofLight} that the laser gives ${percent} % less light than its profile says: a dirty lens, or an old diode?`
        : `${ofLight} that the laser gives ${percent} % more light than its profile says: measure its optical power if you can.`,
    );
  }
  const ofSpot = sayers('spot_width_percent', spot);
  if (Math.abs(spot) >= OTHER_SPOT && isSure(1) && ofSpot) {
    const percent = Math.round(Math.abs(100 * Math.expm1(spot)));
    sentences.push(
      spot > 0
        ? `${ofSpot} that the spot is ${percent} % wider than the profile says: out of focus?`
        : `${ofSpot} that the spot is ${percent} % narrower than the profile says: measure it if you can.`,
    );
  }
  return sentences;
}

const NUMBERS = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine', 'Ten'];
const numberOf = (count: number): string => NUMBERS[count] ?? String(count);

/** Said of what is not believed, where the profile is kept. */
export const KEPT_ALONE =
  'No number is learned from it: the wood’s profile only notes what was told, and what is told later is taken as half as sure.';
