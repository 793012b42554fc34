import { costOfDepth, costOfWood, excessToDepth } from '../burn/depth.ts';
import type { Material, Quantity } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { beamOf } from '../burn/speed-power.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOfPlainDose } from '../burn/tone.ts';
import { heldBelowChar, LEAST_DOSE_PART, statedRelative } from '../burn/uncertainty.ts';
import { normalQuantile, phi } from '../dose/normal.ts';
import type { Machine } from '../machine/profile.ts';
import { HEAT, rowsThatBear, thicknessPart, WOOD } from './boards.ts';
import { logSigma } from './draws.ts';
import type { EngravedPlace } from './engraved.ts';
import type { LeastPlace, Thickness } from './place.ts';
import { type Joint, jointOf, rowNames } from './together.ts';
import { type FiredPlace, startSaved, timesWith, woodHeat } from './warmed.ts';

/** What may be other than it is said to be, as the person knows it. */
export const INPUT_WORDS = {
  optical_power: 'the machine’s optical power',
  spot_width: 'the spot’s width',
  thickness: 'the board’s thickness',
  removal_j_mm3: 'the wood’s removal energy',
  full_char_j_mm2: 'the dose that chars the wood',
  first_mark_j_mm2: 'the dose that first marks the wood',
  wall_loss: 'what deep kerfs lose',
  moisture_percent: 'the wood’s moisture',
  density_kg_m3: 'the wood’s density',
  char_rise_k: 'how hot the wood must be to char',
  firing_cost: 'what every further firing costs',
  heat_kept: 'how much heat stays in the wood',
  heat_kept_most_j_mm2: 'how much heat stays in the wood at most',
  warmth_scale_k: 'what warm wood saves',
  absorptance: 'how much light the wood takes in',
  depth_mm: 'how deep light goes into the wood',
} as const;
export type Input = keyof typeof INPUT_WORDS;

/**
 * How much each input does to a result: a standard uncertainty of it moves the result by so much. Where burns have taught how
 * inputs hang together, each has its part of what they do as one, so that the squares of all still add up to the variance.
 */
export interface Unsure {
  readonly effects: ReadonlyMap<Input, number>;
  /** How much a dose does that is {@link LEAST_DOSE_PART} more or less. */
  readonly ofSwatch: number;
}

/** One case: wood and multiples of what the profile and the person say. */
export interface Case {
  readonly material: Material;
  readonly power: number;
  readonly width: number;
  readonly thickness: number;
}

/** A number that varies, by its relative standard uncertainty, and the case in which it is a multiple of itself. */
interface Varied {
  /** Its name among numbers that hang together (`together.ts`), and what a person calls it. */
  readonly name: string;
  readonly input: Input;
  readonly relative: number;
  readonly at: (multiple: number) => Case;
}

/** What a standard uncertainty of one number does to a result. */
interface Move {
  readonly input: Input;
  /** Where it stands among the numbers that hang together; -1: it stands for itself. */
  readonly at: number;
  readonly change: number;
}

/**
 * Moves every input by one standard uncertainty either way, by ratio, and takes half of what that does to the result; what
 * they do together follows by how they hang together (JCGM 100:2008, Guide to the Expression of Uncertainty in Measurement,
 * eq. 10 and 16). Several numbers of one name are added in squares.
 */
function startEffects({ material, machine, thickness }: Bench): (result: (of: Case) => number) => Effects {
  const joint = jointOf(material, machine);
  const pairs = variedOf(baseOf(material), machine, thickness).flatMap(({ name, input, relative, at }) => {
    const known = joint?.names.indexOf(name) ?? -1;
    const sigma = known < 0 ? logSigma(relative) : Math.sqrt(joint!.covariance[known]![known]!);
    const multiple = Math.exp(sigma);
    return sigma > 0 ? [{ input, at: known, more: at(multiple), less: at(1 / multiple) }] : [];
  });
  return (result) => {
    const moves = pairs
      .map(({ input, at, more, less }): Move => ({ input, at, change: (result(more) - result(less)) / 2 }))
      .filter(({ change }) => Number.isFinite(change));
    return effectsOf(moves, joint);
  };
}

type Effects = Unsure['effects'];

const baseOf = (material: Material): Case => ({ material, power: 1, width: 1, thickness: 1 });

function effectsOf(moves: readonly Move[], joint: Joint | null): Effects {
  const effects = new Map<Input, number>();
  const add = (input: Input, variance: number) =>
    effects.set(input, Math.sqrt((effects.get(input) ?? 0) ** 2 + variance));
  for (const { input, at, change } of moves) if (at < 0) add(input, change * change);
  if (joint)
    for (const [input, variance] of partsTogether(
      moves.filter(({ at }) => at >= 0),
      joint,
    ))
      add(input, variance);
  return effects;
}

function unsureOf(bench: Bench, result: (of: Case) => number): Unsure {
  const base = baseOf(bench.material);
  const [more, less] = [1 + LEAST_DOSE_PART, 1 / (1 + LEAST_DOSE_PART)];
  return {
    effects: startEffects(bench)(result),
    ofSwatch: Math.abs(result({ ...base, power: more }) - result({ ...base, power: less })) / 2,
  };
}

/**
 * The parts of the variance of numbers that hang together, ΣΣ cᵢ·rᵢⱼ·cⱼ: each has its own row of that sum. What makes up for
 * others, and so would have less than nothing, has none, and the others share the sum.
 */
function partsTogether(moves: readonly Move[], { covariance }: Joint): [input: Input, variance: number][] {
  const correlation = (i: number, j: number) =>
    covariance[i]![j]! / Math.sqrt(covariance[i]![i]! * covariance[j]![j]!);
  const rows = moves.map(({ input, at, change }) => {
    const row = moves.reduce((sum, other) => sum + correlation(at, other.at) * other.change, 0);
    return [input, change * row] as [Input, number];
  });
  const all = Math.max(
    0,
    rows.reduce((sum, [, part]) => sum + part, 0),
  );
  const positive = rows.filter(([, part]) => part > 0);
  const shared = positive.reduce((sum, [, part]) => sum + part, 0);
  return positive.map(([input, part]) => [input, (part * all) / shared]);
}

/**
 * The relative standard uncertainty of anything worked out from wood, machine and board (a speed, a dose), burns that were
 * told of among what is known.
 * @param quantity positive and finite for the bench itself.
 * @returns null where nothing is uncertain that bears on it.
 */
export const relativeUncertainty = (bench: Bench, quantity: (of: Case) => number): number | null =>
  startRelativeUncertainty(bench)(quantity);

/** The same of one quantity after another: the cases stay the same ones, so that what each comes to may be remembered. */
export function startRelativeUncertainty(bench: Bench): (quantity: (of: Case) => number) => number | null {
  const effectsOn = startEffects(bench);
  return (quantity) => {
    const effects = effectsOn((of) => Math.log(quantity(of)));
    return effects.size === 0 ? null : togetherOf(effects) || null;
  };
}

/** Effects of causes that know nothing of each other, taken together. */
const togetherOf = (effects: ReadonlyMap<unknown, number>): number =>
  Array.from(effects.values()).reduce((sum, each) => Math.hypot(sum, each), 0);

/** What a forecast is made for. */
export interface Bench {
  readonly material: Material;
  readonly machine: Machine;
  readonly thickness: Thickness;
}

/** However one number is moved, a wood's first mark stays below its full char. */
const held = (material: Material): Material => {
  const { first_mark_j_mm2: mark, full_char_j_mm2: char } = material;
  const value = heldBelowChar(mark.value, char.value);
  return value === mark.value ? material : { ...material, first_mark_j_mm2: { ...mark, value } };
};

/** On either side of what is between lie so many standard uncertainties: nine such boards of ten. */
const NINE_OF_TEN = 1.645;

/** What a quantity lies between on nine such boards of ten. */
export function spanOf(bench: Bench, quantity: (of: Case) => number): readonly [low: number, high: number] {
  const here = quantity(baseOf(bench.material));
  const times = Math.exp(NINE_OF_TEN * (relativeUncertainty(bench, quantity) ?? 0));
  return [here / times, here * times];
}

function variedOf(base: Case, machine: Machine, board: Thickness): Varied[] {
  const { optical_power_percent, spot_width_percent } = machine.plus_minus;
  const { material } = base;
  const times = (quantity: Quantity, multiple: number) => ({ ...quantity, value: quantity.value * multiple });
  const row = (k: number, name: 'absorptance' | 'depth_mm'): Varied => {
    const was = material.absorption[k]!;
    const [absorptance, depth] = rowNames(was.wavelength_nm);
    return {
      name: name === 'absorptance' ? absorptance : depth,
      input: name,
      relative: statedRelative(was[name]),
      at: (multiple) => {
        const { value, ...rest } = times(was[name], multiple);
        const moved = {
          ...was,
          [name]: { ...rest, value: name === 'absorptance' ? Math.min(1, value) : value },
        };
        return { ...base, material: { ...material, absorption: material.absorption.with(k, moved) } };
      },
    };
  };
  return [
    {
      name: 'optical_power',
      input: 'optical_power',
      relative: optical_power_percent / 100,
      at: (multiple) => ({ ...base, power: multiple }),
    },
    {
      name: 'spot_width',
      input: 'spot_width',
      relative: spot_width_percent / 100,
      at: (multiple) => ({ ...base, width: multiple }),
    },
    {
      name: 'thickness',
      input: 'thickness',
      relative: thicknessPart(board),
      at: (multiple) => ({ ...base, thickness: multiple }),
    },
    ...[...WOOD, ...HEAT].map(
      (name): Varied => ({
        name,
        input: name,
        relative: statedRelative(material[name]),
        at: (multiple) => ({
          ...base,
          material: held({ ...material, [name]: times(material[name], multiple) }),
        }),
      }),
    ),
    ...rowsThatBear(material, machine.laser.wavelength_nm).flatMap((k) => [
      row(k, 'absorptance'),
      row(k, 'depth_mm'),
    ]),
  ];
}

/** What moves the logarithm of how many times a cut gets what it needs. */
export function cutUnsure(place: LeastPlace, bench: Bench): Unsure {
  const timesOn = startTimes(place, bench);
  return unsureOf(bench, ({ material, power, width, thickness }) => {
    const { machine } = bench;
    const beam = beamOf(machine, place.headZMm);
    const [x, y] = machine.spot.width_mm;
    const spot = { ...beam.spot, width_mm: [x * width, y * width] as const };
    const need =
      needAt(needOf(material, beam.wavelengthNm), place.dwellS * width) * timesOn(material, power, width);
    const needed =
      plainDoseForTone(CHAR_BEGINS_TONE, material) * need +
      excessToDepth(
        costOfDepth(costOfWood(material), { ...beam, spot }),
        bench.thickness.thicknessMm! * thickness,
      );
    return Math.log((place.doseJPerMm2 * power) / (place.isFilled ? 1 : width) / needed);
  });
}

/** What moves the tone of an engraving. */
export function toneUnsure(place: EngravedPlace, bench: Bench): Unsure {
  const timesOn = startTimes(place, bench);
  return unsureOf(bench, ({ material, power, width }) => {
    const need = needAt(needOf(material, bench.machine.laser.wavelength_nm), place.dwellS * width);
    const dose = (place.doseJPerMm2 * power) / (place.isFilled ? 1 : width);
    return toneOfPlainDose(dose / (need * timesOn(material, power, width)), material);
  });
}

/** How many times the need of one cool firing a place has in a case: what its firings cost there, and its warmth saves. */
function startTimes(place: FiredPlace, bench: Bench) {
  const savedOn = startSaved(place, bench.material);
  return (material: Material, power: number, width: number): number =>
    timesWith(place, savedOn(woodHeat(material), { power, width }), material.firing_cost.value);
}

/** A share of the variance of a result. */
export type Shares = readonly (readonly [input: Input, share: number])[];

/** The greatest first; empty where nothing moves the result. */
export function sharesOf({ effects }: Unsure): Shares {
  const squares = [...effects].map(([input, effect]) => [input, effect * effect] as const);
  const sum = squares.reduce((total, [, square]) => total + square, 0);
  return squares
    .filter(([, square]) => square > 0)
    .map(([input, square]) => [input, square / sum] as const)
    .sort(([, a], [, b]) => b - a);
}

/**
 * What stays open once a swatch is burned. It is burned with the machine itself, so it settles what wood and machine are
 * together: what stays is the board's thickness and {@link LEAST_DOSE_PART}.
 */
function afterSwatch({ effects, ofSwatch }: Unsure): { readonly all: number; readonly left: number } {
  const all = togetherOf(effects);
  return { all, left: Math.min(all, Math.hypot(effects.get('thickness') ?? 0, ofSwatch)) };
}

/** The part of a range that a burned swatch would leave, 0 … 1. */
export function leftBySwatch(unsure: Unsure): number {
  const { all, left } = afterSwatch(unsure);
  return all > 0 ? left / all : 1;
}

/**
 * What a burned swatch would make of a chance: the cut then lies a standard uncertainty of what was settled better, or as
 * much worse, and so comes through on these parts of such boards.
 */
export function chancesAfterSwatch(chance: number, unsure: Unsure): readonly [better: number, worse: number] {
  const { all, left } = afterSwatch(unsure);
  const settled = Math.sqrt(all * all - left * left);
  const middle = all * normalQuantile(Math.min(0.999, Math.max(0.001, chance)));
  return [phi((middle + settled) / left), phi((middle - settled) / left)];
}
