import { GUESS } from '../../burn/basis.ts';
import { type Material, readMaterial } from '../../burn/material.ts';
import { greatestOf } from '../../lists.ts';
import type { Machine } from '../../machine/profile.ts';
import type { PhotoReading } from '../photo/read.ts';
import { boundedBy } from './bounded.ts';
import { isFit, type RemovalBound, type RemovalFit } from './cuts.ts';
import type { FitOptions } from './options.ts';
import type { ResponseFit } from './response.ts';
import { toldTogether } from './together.ts';

type Quantity = { value: unknown; plus_minus: number | null; basis: string };

/** The whole profile with the fitted numbers in it, and their names as in the file. */
export function profileFrom(
  base: Material,
  response: ResponseFit,
  removal: RemovalFit | RemovalBound | null,
  reading: PhotoReading,
  { date, name }: FitOptions,
  machine: Machine,
): { material: Material; fitted: string[] } {
  const basis = `measured by a burned swatch, ${date}`;
  const fitted: string[] = [];
  const measured = <Q extends Quantity>(
    field: string,
    told: boolean,
    was: Q,
    value: Q['value'],
    sigma: number,
  ): Q => {
    if (!told) return was;
    fitted.push(field);
    return { ...was, value: rounded(value, sigma), plus_minus: twoDigits(sigma), basis };
  };
  const { determined, sigma, material: wood } = response;
  /** What warmth saves was measured with so much heat kept: how sure that is lies in the scale alone, not in both. */
  const asTaken = <Q extends Quantity>(was: Q): Q =>
    determined.warmth_scale
      ? { ...was, plus_minus: null, basis: `${GUESS}: as it was taken when warmth_scale_k was ${basis}` }
      : was;
  const bounded = boundedBy(base.removal_j_mm3, removal);
  const material = {
    ...base,
    // Numbers that were measured anew do not hang together as burns before had it; see below how they do.
    learned: null,
    name,
    first_mark_j_mm2: measured(
      'first_mark_j_mm2',
      determined.first_mark,
      base.first_mark_j_mm2,
      wood.first_mark_j_mm2.value,
      sigma.first_mark,
    ),
    full_char_j_mm2: measured(
      'full_char_j_mm2',
      determined.full_char,
      base.full_char_j_mm2,
      wood.full_char_j_mm2.value,
      sigma.full_char,
    ),
    heat_kept: asTaken(base.heat_kept),
    heat_kept_most_j_mm2: asTaken(base.heat_kept_most_j_mm2),
    warmth_scale_k: measured(
      'warmth_scale_k',
      determined.warmth_scale,
      base.warmth_scale_k,
      wood.warmth_scale_k.value,
      sigma.warmth_scale,
    ),
    firing_cost: measured(
      'firing_cost',
      determined.firing_cost,
      base.firing_cost,
      wood.firing_cost.value,
      sigma.firing_cost,
    ),
    removal_j_mm3: bounded
      ? {
          value: rounded(bounded.value, bounded.sigma),
          plus_minus: twoDigits(bounded.sigma),
          basis: `${GUESS}: on that side of its bound where a burned swatch has it, ${date}`,
        }
      : measured(
          'removal_j_mm3',
          isFit(removal),
          base.removal_j_mm3,
          isFit(removal) ? removal.removalJPerMm3 : 0,
          isFit(removal) ? removal.sigmaJPerMm3 : 1,
        ),
    colour: {
      bare_lab: measured(
        'colour.bare_lab',
        reading.whiteOverBare !== null,
        base.colour.bare_lab,
        [...response.bare.lab] as [number, number, number],
        greatestOf(response.bare.sigma),
      ),
      char_lab: measured(
        'colour.char_lab',
        determined.char_lab,
        base.colour.char_lab,
        wood.colour.char_lab.value,
        sigma.char_lab,
      ),
      warmth_ab: measured(
        'colour.warmth_ab',
        determined.warmth_ab,
        base.colour.warmth_ab,
        wood.colour.warmth_ab.value,
        sigma.warmth_ab,
      ),
      lightening_l: measured(
        'colour.lightening_l',
        determined.lightening_l,
        base.colour.lightening_l,
        Math.max(0, wood.colour.lightening_l.value),
        sigma.lightening_l,
      ),
    },
  };
  // The schema's own checks: a fitted profile must be one that can be read again.
  const whole = readMaterial(material, 'the fitted profile');
  const learned = toldTogether(whole, fitted, removal, machine);
  return { material: readMaterial({ ...whole, learned }, 'the fitted profile'), fitted };
}

const twoDigits = (value: number): number => Number(value.toPrecision(2));

/** Rounded to a tenth of its uncertainty: digits beyond that are not true. */
function rounded<T>(value: T, sigma: number): T {
  const decimals = Math.min(12, Math.max(0, 1 - Math.floor(Math.log10(Math.max(sigma, 1e-9)))));
  const round = (each: number) => Number(each.toFixed(decimals));
  return (Array.isArray(value) ? value.map(round) : round(value as number)) as T;
}
