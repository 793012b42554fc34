import type { BurnEntry } from '../burn/learned.ts';
import { type Material, readMaterial } from '../burn/material.ts';
import { heldBelowChar, statedRelative } from '../burn/uncertainty.ts';
import { InputError } from '../errors.ts';
import { meantCutsOf } from '../findings/evidence/cuts.ts';
import type { Evidence } from '../findings/evidence/evidence.ts';
import { listWords } from '../findings/phrases.ts';
import type { Answered, Forecast } from '../forecast.ts';
import { type Machine, readMachine } from '../machine/profile.ts';
import { refuseUnknownOptions } from '../options.ts';
import { EYE_DOUBTS, PHOTO_DOUBTS } from '../piece/light-of-doses.ts';
import type { ToneSeen } from '../piece/tones.ts';
import { turningAxes } from '../program/elsewhere.ts';
import { likeliestCut } from '../program/operations.ts';
import { logSigma } from '../sure/draws.ts';
import {
  correlationOf,
  digits,
  followMachine,
  type Joint,
  numbersOf,
  quantityOf,
  relativeOf,
} from '../sure/together.ts';
import { evidenceWithCuts } from './meant-cuts.ts';
import { isAgainstPhoto, type Observation, observe, observePhoto } from './observe.ts';
import { BOARD_NAME, priorOf } from './prior.ts';
import { isOfCut, isOfTone, refuseTwoAnswers, type Said, type Told } from './say.ts';
import { seenSentence, sharesOf, toneSentence } from './seen.ts';
import { update } from './update.ts';
import { agreementSentences, KEPT_ALONE, learnedSentence, type Moved } from './words.ts';

/** What a burn that was told of teaches about wood and machine. */
export interface Lesson {
  readonly material: Material;
  /** The machine with what was learned of its power and spot, for who wants to keep that too. */
  readonly machine: Machine;
  /** What was learned, with before and after. */
  readonly sentence: string;
  /** What does not go together, and what else is to be said; plain sentences. */
  readonly remarks: readonly string[];
  /** How each operation on the photo came out against its forecast, and what explains that. */
  readonly seen: readonly string[];
  /** What was told, each with the number of its operation. */
  readonly told: readonly Told[];
  /** Whether what was told goes with what was known, and with itself, less often than three times in a thousand. */
  readonly isContradictory: boolean;
  /** Whether that leaves wood and machine with the numbers they had: there is nothing from before to go back to. */
  readonly isUnchanged: boolean;
  /** Operations of which something was told that lies farther off than {@link ODD}. */
  readonly odd: readonly number[];
  /** Operations of which words were told that do not go together with the photo, and were not taken. */
  readonly overruled: readonly number[];
}

/**
 * What is told lies so many standard deviations off what profiles and all else that was told make of it once in sixty
 * times: worth a second look, and no reason to doubt the rest. In simulated workshops one burn in a hundred that was told
 * truly lies so far off in something.
 */
const ODD = 2.4;

/** Which burn it was, for the profile's history. */
export interface Burn {
  readonly date: string;
  readonly job: string;
  readonly jobHash: string;
}

export interface LearnOptions {
  /**
   * Whether the machine's profile is kept as learned too. Then the wood is told for that machine; else for the machine as
   * its profile stands, so that the two go together either way.
   */
  readonly keepsMachine?: boolean;
  /**
   * How dark operations came out on a photo of the piece. What was said of one in words counts instead where the two go
   * together; where they do not, the photo counts.
   */
  readonly photo?: readonly ToneSeen[];
}

/** What is read of a forecast to learn from it. */
export interface ForecastLearnt extends Answered, Pick<Forecast, 'findings'> {
  /** The operations that are meant to cut. */
  readonly cuts: readonly Pick<Forecast['cuts'][number], 'operation'>[];
}

/**
 * Learns from a burn.
 * @param forecast of the job as it was burned, by the profiles as they stand.
 * @param told what became of its operations.
 * @throws {InputError} where an operation cannot have turned out so.
 */
export function learn(
  forecast: ForecastLearnt,
  told: readonly Told[],
  burn: Burn,
  options: LearnOptions = {},
): Lesson {
  refuseUnknownOptions(options, { keepsMachine: true, photo: true }, 'learn');
  if (forecast.program.finishesCut)
    throw new InputError(
      'found a job that finishes a cut, whose wood was no longer whole; expected the job that was burned first, and how far that came',
    );
  if (turningAxes(forecast.program).length > 0)
    throw new InputError(
      'found a job that turns or moves the piece by a further axis, of which no tone and no depth can be forecast; expected one that burns a board lying still',
    );
  const { machine, material, stock } = forecast;
  const { photo: onPhotos = [], keepsMachine = false } = options;
  const numbers = withOperations(forecast, told);
  if (told.length === 0 && onPhotos.length === 0)
    throw new InputError('found nothing told of the burn; expected how an operation turned out');
  const ofAll = evidenceOf(forecast, numbers);
  // What cannot be is refused also where it is not taken.
  observations(ofAll, numbers);
  const cuts = meantCutsOf(ofAll).map(({ each }) => each.operation.n);
  const answers = told.map((each, k): Answer => {
    const [n, said] = numbers[k]!;
    // Of a cut words tell its depth, which no photo shows.
    const seen = cuts.includes(n) ? undefined : onPhotos.find(({ operation }) => operation === n);
    const against = seen && isAgainstPhoto(said, seen, material) ? seen : null;
    return { told: each, said: [n, said], against };
  });
  const taken = answers.filter(({ against }) => against === null);
  const named = taken.map(({ said }) => said);
  // Of dark corners nothing is learned, so they say nothing instead of a tone.
  const photo = onPhotos.filter(
    ({ operation }) => !named.some(([n, { kind }]) => n === operation && kind !== 'corners dark'),
  );
  const evidence = taken.length === answers.length ? ofAll : evidenceOf(forecast, named);
  const isToneSaid = named.some(([, said]) => isOfTone(said));
  const doubts = [...(photo.length > 0 ? PHOTO_DOUBTS : []), ...(isToneSaid ? EYE_DOUBTS : [])];
  const prior = priorOf(material, machine, stock, [...new Set(doubts)]);
  const doubt = material.learned?.doubt ?? 1;
  const onPhoto = photo.map((each) => observePhoto(evidence, evidence.operations[each.operation - 1]!, each));
  const seen = [...observations(evidence, named), ...onPhoto].map((each) => ({
    ...each,
    plusMinus: each.plusMinus * Math.sqrt(doubt),
  }));
  const { joint, isContradictory, off } = update(prior, material, seen);
  const odd = seen.filter((_, k) => Math.abs(off[k]!) >= ODD).map(({ operation }) => operation);
  const goesBack = isContradictory && material.history.length > 0;
  const base = goesBack ? asBefore(material) : material;
  // Nothing of what contradicts is kept, of the first burn that is told of no more than of any other.
  const now = isContradictory ? priorOf(base, machine, stock) : joint;
  const learned = profilesFrom(now, base, machine, {
    keepsMachine,
    before: material.learned?.before ?? numbersOf(material, prior.names),
    doubt: isContradictory ? Math.min(MOST_DOUBT, doubt * MORE_DOUBT) : doubt,
  });
  const sentence = goesBack
    ? 'Gone back to what was known before any burn was told of: what was told does not go together.'
    : isContradictory
      ? TOO_FAR_OFF
      : (learnedSentence(prior, joint, material, learned.material) ?? NOTHING_NEW);
  const byPhoto = photo.map(toldByPhoto);
  const all = [...taken.map((each) => ({ ...each.told, operation: each.said[0] })), ...byPhoto];
  const entry: BurnEntry = {
    date: burn.date,
    job: burn.job,
    job_hash: burn.jobHash,
    machine: machine.name,
    said: [...taken.map((each) => each.told), ...byPhoto]
      .map(({ operation, words }) => (operation === null ? words : `${operation}: ${words}`))
      .join('; '),
    learned: sentence,
    ...(isContradictory || keepsMachine ? {} : { moved: movedBy(prior, joint) }),
  };
  // What was taken back, or is in the machine's own numbers now, no longer says anything of them.
  const before =
    goesBack || keepsMachine
      ? material.history.map(({ moved, ...each }): BurnEntry => each)
      : material.history;
  const history = [...before, entry];
  const moves = history.flatMap((each) => (each.moved && each.machine === machine.name ? [each.moved] : []));
  const isKnown = material.history.some(
    ({ date, job_hash, said }) => date === entry.date && job_hash === entry.job_hash && said === entry.said,
  );
  return {
    material: readMaterial({ ...learned.material, history }, 'the learned profile'),
    machine: learned.machine,
    sentence,
    remarks: [
      ...(isContradictory ? [KEPT_ALONE] : []),
      ...(isKnown ? [TOLD_BEFORE] : []),
      ...answers.flatMap(againstSentences),
      ...(isContradictory ? [] : oddSentences(odd, all)),
      ...agreementSentences(now, isContradictory, moves),
      ...named.flatMap(([n, said]) => (said.kind === 'corners dark' ? [cornersSentence(forecast, n)] : [])),
    ],
    seen: onPhotos.map((each) => {
      const k = photo.indexOf(each);
      return k < 0 ? toneSentence(each) : seenSentence(each, sharesOf(onPhoto[k]!, prior, joint, material));
    }),
    told: all,
    isContradictory,
    isUnchanged: isContradictory && !goesBack,
    odd,
    overruled: answers.flatMap(({ said: [n], against }) => (against ? [n] : [])),
  };
}

/** By how much of what its profile says a burn moved what is known of the machine. */
function movedBy({ mean: before }: Joint, { mean: now }: Joint): Moved {
  const percent = (k: number) => digits(100 * (Math.exp(now[k]!) - Math.exp(before[k]!)));
  return { optical_power_percent: percent(0), spot_width_percent: percent(1) };
}

/** What was told of an operation, and what a photo shows of it that does not go together with that. */
interface Answer {
  readonly told: Told;
  readonly said: readonly [operation: number, said: Said];
  readonly against: ToneSeen | null;
}

function againstSentences({ told: { words }, against }: Answer): string[] {
  if (!against) return [];
  const { operation, seenTone, forecastTone, isAtLeast } = against;
  const [seen, forecast] = [seenTone, forecastTone].map((tone) => `${Math.round(100 * tone)} %`);
  return [
    `Photo and words do not go together about operation ${operation}: the photo shows tone ${isAtLeast ? 'at least ' : ''}${seen}, forecast ${forecast}, and “${words}” was said; the photo was taken, the words were not.`,
  ];
}

const oddSentences = (odd: readonly number[], told: readonly Told[]): string[] =>
  [...new Set(odd)].map((n) => {
    const words = told.filter(({ operation }) => operation === n).map((each) => `“${each.words}”`);
    return `What was told of operation ${n} (${listWords(words)}) is to be expected less than once in sixty times: look whether it is not another operation’s, or the other way round.`;
  });

const NOTHING_NEW = 'Nothing that was not known before: what was told goes with the profiles as they stand.';
const TOO_FAR_OFF =
  'Nothing was learned: what was told is too far from what the profiles say to be believed.';
const TOLD_BEFORE =
  'The same was told of this job today already: if it was one burn, it counts twice now, so go back to the wood as it was before.';

const toldByPhoto = ({ operation, seenTone }: ToneSeen): Told => ({
  operation,
  said: { kind: 'tone', tone: seenTone },
  words: `tone ${Math.round(100 * seenTone)} % on the photo`,
});

/**
 * Burns that contradict each other are not told apart: whether the first were mistaken or the last, nobody knows. So the wood
 * goes back to what it was, and what is told later is half as sure.
 */
const MORE_DOUBT = 4;
const MOST_DOUBT = 1e6;

type Before = NonNullable<Material['learned']>['before'];

/** The wood as it was before any burn was told of. */
function asBefore(material: Material): Material {
  const wood = structuredClone({ ...material, learned: null });
  for (const [name, quantity] of Object.entries(material.learned?.before ?? {}))
    Object.assign(quantityOf(wood, name) ?? {}, quantity);
  return wood;
}

/** Each thing told, with the operation it is about. */
function withOperations({ program, cuts }: ForecastLearnt, told: readonly Told[]): [number, Said][] {
  const { operations } = program;
  if (operations.length === 0)
    throw new InputError('found a job that burns nothing; expected one that was burned');
  const named = told.map(({ operation, said, words }): [number, Said] => {
    const only = operations.length === 1 ? 1 : isOfCut(said) && cuts.length === 1 ? cuts[0]!.operation : null;
    const n = operation ?? only;
    if (n === null) {
      throw new InputError(
        `found “${words}” told of no operation; expected its number before a colon, as in ${isOfCut(said) ? likeliestCut(operations) : 1}: ${words}`,
      );
    }
    if (n > operations.length)
      throw new InputError(`found operation ${n}; expected one of the job's, from 1 to ${operations.length}`);
    if (isOfCut(said) && operations[n - 1]!.kind === 'rows')
      throw new InputError(`found “${words}” told of operation ${n}, which is rows; expected an outline`);
    return [n, said];
  });
  refuseTwoAnswers(
    told,
    named.map(([n]) => n),
  );
  return named;
}

/** The evidence with everything counted as a cut of which a depth was told. */
function evidenceOf(forecast: Answered, named: readonly (readonly [number, Said])[]): Evidence {
  const depths = named.filter(([, said]) => isOfCut(said));
  if (depths.length > 0 && (forecast.stock?.thicknessMm ?? null) === null)
    throw new InputError('found no thickness of the board; expected --stock with it, as in 120x80x4@0,0');
  return evidenceWithCuts(
    forecast,
    depths.map(([operation]) => operation),
  );
}

function observations(evidence: Evidence, named: readonly (readonly [number, Said])[]): Observation[] {
  const cuts = meantCutsOf(evidence);
  return named.flatMap(([n, said]) => {
    const cut = cuts.find(({ each }) => each.operation.n === n) ?? null;
    const seen = observe(evidence, evidence.operations[n - 1]!, cut, said);
    return seen ? [seen] : [];
  });
}

/** The profiles that say what is known now. */
function profilesFrom(
  joint: Joint,
  material: Material,
  machine: Machine,
  { keepsMachine, before, doubt }: { keepsMachine: boolean; before: Before; doubt: number },
): { material: Material; machine: Machine } {
  const names = joint.names.slice(0, joint.names.indexOf(BOARD_NAME));
  const count = names.length;
  const covariance = joint.covariance.slice(0, count).map((row) => row.slice(0, count));
  const [power, width] = [joint.mean[0]!, joint.mean[1]!];
  const following = keepsMachine ? null : followMachine(covariance, [power, width]);
  const told = joint.mean.map((mean, k) => mean - (following?.[k] ?? 0));
  const wood = structuredClone(material);
  const basis = 'measured by burns that were told of';
  for (const [k, name] of names.entries()) {
    const quantity = quantityOf(wood, name);
    if (!quantity || !(covariance[k]![k]! > 0)) continue;
    const most = name.startsWith('absorptance') ? 1 : Infinity;
    const value = Math.min(most, quantity.value * Math.exp(told[k]!));
    quantity.value = digits(value);
    quantity.plus_minus = digits(value * relativeOf(Math.sqrt(covariance[k]![k]!)));
    if (isMuchBetter(material, name, covariance[k]![k]!)) quantity.basis = basis;
  }
  const { first_mark_j_mm2: mark, full_char_j_mm2: char } = wood;
  mark.value = heldBelowChar(mark.value, char.value);
  const percent = (k: number, mean: number) => ({
    value: digits(100 * Math.expm1(keepsMachine ? 0 : mean)),
    plus_minus: digits(100 * Math.exp(keepsMachine ? 0 : mean) * relativeOf(Math.sqrt(covariance[k]![k]!))),
  });
  const learned = machineFrom(machine, power, width, covariance);
  const kept = keepsMachine ? learned : machine;
  wood.learned = {
    machine: {
      name: kept.name,
      laser_power_w: kept.laser.optical_power_w,
      spot_width_mm: [...kept.spot.width_mm],
      optical_power_percent: percent(0, power),
      spot_width_percent: percent(1, width),
    },
    names,
    before,
    doubt,
    correlation: correlationOf(covariance),
  };
  return { material: wood, machine: learned };
}

function machineFrom(
  machine: Machine,
  power: number,
  width: number,
  covariance: readonly (readonly number[])[],
): Machine {
  const [x, y] = machine.spot.width_mm;
  const percent = (k: number) => digits(100 * relativeOf(Math.sqrt(covariance[k]![k]!)));
  return readMachine({
    ...machine,
    laser: { ...machine.laser, optical_power_w: digits(machine.laser.optical_power_w * Math.exp(power)) },
    spot: { ...machine.spot, width_mm: [digits(x * Math.exp(width)), digits(y * Math.exp(width))] },
    plus_minus: { optical_power_percent: percent(0), spot_width_percent: percent(1) },
  });
}

/** Whether burns have taught at least a fifth of what was open. */
function isMuchBetter(material: Material, name: string, variance: number): boolean {
  return Math.sqrt(variance) < 0.8 * logSigma(statedRelative(quantityOf(material, name)!));
}

/** Dark corners come of a head that slows down: they say something of the machine's acceleration, which is not learned. */
function cornersSentence({ findings }: Pick<Forecast, 'findings'>, n: number): string {
  const isForecast = findings.some(
    ({ kind, operation }) => operation === n && (kind === 'dark-corner' || kind === 'dark-row-end'),
  );
  return isForecast
    ? `Dark corners of operation ${n} were forecast; its finding says what to change.`
    : `Dark corners of operation ${n} were not forecast: the head may accelerate more slowly than its profile says, or power does not follow its speed. Nothing is learned from them; read the controller’s settings again (charcast machine --from).`;
}
