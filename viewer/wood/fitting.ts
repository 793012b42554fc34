import type { Material } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { InputError } from '../../src/errors.ts';
import { fitSwatch, type SwatchFit } from '../../src/swatch/fit/fit.ts';
import { joinReadings } from '../../src/swatch/photo/join.ts';
import type { PhotoReading } from '../../src/swatch/photo/read.ts';
import type { SwatchDoses } from '../../src/swatch/replay.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { runErrand } from '../worker/errand.ts';

/** The doses of the swatch last asked for: they take seconds, and stay the same. */
let known: { readonly of: Swatch; readonly wood: Material; readonly doses: Promise<SwatchDoses> } | null =
  null;

export function dosesOf(swatch: Swatch, wood: Material): Promise<SwatchDoses> {
  if (known?.of !== swatch || known.wood !== wood) {
    const doses = runErrand({ errand: 'doses', swatch, wood });
    known = { of: swatch, wood, doses };
    // A refusal is told where it is asked for; the next who asks tries again.
    doses.catch(() => {
      known = null;
    });
  }
  return known.doses;
}

interface FitWish {
  readonly swatch: Swatch;
  readonly readings: readonly PhotoReading[];
  readonly cuts: readonly number[] | null;
  readonly name: string;
}

/**
 * The fit that `charcast fit` makes of the same photos: what the swatch cannot tell stays as the wood that it was
 * made for has it.
 * @throws {InputError} where the photos tell nothing, or a name is missing.
 */
export async function fitOf({ swatch, readings, cuts, name }: FitWish): Promise<SwatchFit> {
  if (name === '') throw new InputError('found no name; expected what the wood shall be called');
  const base: Material = shippedMaterials[swatch.chosen_for] ?? shippedMaterials['poplar plywood']!;
  const date = new Date().toISOString().slice(0, 10);
  return fitSwatch(swatch, await dosesOf(swatch, base), joinReadings(readings), { base, cuts, date, name });
}
