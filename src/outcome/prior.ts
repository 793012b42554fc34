import type { Stock } from '../board.ts';
import type { Material } from '../burn/material.ts';
import { heldBelowChar, statedRelative } from '../burn/uncertainty.ts';
import type { Machine } from '../machine/profile.ts';
import { rowsThatBear, THICKNESS_PART, thicknessPart, WOOD } from '../sure/boards.ts';
import { logSigma } from '../sure/draws.ts';
import {
  type Joint,
  jointOf,
  MACHINE_NAMES,
  quantityOf,
  rowNames,
  withOwnNumbers,
} from '../sure/together.ts';

/** The board of one burn: its thickness is its own, and nothing is learned of it for the next. */
export const BOARD_NAME = 'thickness';

/**
 * What is known before a burn is told of: machine, wood and this board's thickness together, as logarithms of multiples of
 * what profiles and person say.
 * @param doubts what else this burn's observations share, in standard deviations; of these too nothing is learned for the next.
 */
export function priorOf(
  material: Material,
  machine: Machine,
  stock: Stock | null,
  doubts: readonly string[] = [],
): Joint {
  const known = jointOf(material, machine);
  const names = [
    ...MACHINE_NAMES,
    ...WOOD,
    ...rowsThatBear(material, machine.laser.wavelength_nm).flatMap((row) =>
      rowNames(material.absorption[row]!.wavelength_nm),
    ),
    BOARD_NAME,
    ...doubts,
  ];
  const at = names.map((name) => known?.names.indexOf(name) ?? -1);
  const relative = (name: string): number => {
    if (name === 'optical_power') return machine.plus_minus.optical_power_percent / 100;
    if (name === 'spot_width') return machine.plus_minus.spot_width_percent / 100;
    if (name === BOARD_NAME) return stock ? thicknessPart(stock) : THICKNESS_PART;
    return statedRelative(quantityOf(material, name)!);
  };
  return {
    names,
    mean: at.map((k) => (k < 0 ? 0 : known!.mean[k]!)),
    covariance: names.map((name, i) =>
      names.map((_, j) => {
        if (at[i]! >= 0 && at[j]! >= 0) return known!.covariance[at[i]!]![at[j]!]!;
        if (i !== j) return 0;
        return doubts.includes(name) ? 1 : logSigma(relative(name)) ** 2;
      }),
    ),
  };
}

/** Wood, machine and board as they are for some multiples. */
export interface Supposed {
  readonly material: Material;
  /** Multiples of what is said. */
  readonly power: number;
  readonly width: number;
  readonly thickness: number;
  /** The logarithm of the multiple of that name, 0 where there is none; of a doubt its standard deviations. */
  log(name: string): number;
}

/** @param logs of the multiples, one for each of the names. */
export function suppose(material: Material, names: readonly string[], logs: readonly number[]): Supposed {
  const wood = withOwnNumbers(material);
  const times = new Map(names.map((name, k) => [name, Math.exp(logs[k]!)]));
  for (const name of names) {
    const quantity = quantityOf(wood, name);
    if (!quantity) continue;
    const value = quantity.value * times.get(name)!;
    quantity.value = name.startsWith('absorptance') ? Math.min(1, value) : value;
  }
  const { first_mark_j_mm2: mark, full_char_j_mm2: char } = wood;
  mark.value = heldBelowChar(mark.value, char.value);
  return {
    material: wood,
    power: times.get('optical_power') ?? 1,
    width: times.get('spot_width') ?? 1,
    thickness: times.get(BOARD_NAME) ?? 1,
    log: (name) => Math.log(times.get(name) ?? 1),
  };
}
