import type { Stock } from '../board.ts';
import { type FiredAt, type Firings, firedAt } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import type { Dose } from '../dose/dose.ts';
import { middleOfCell } from '../grid.ts';
import type { Machine } from '../machine/profile.ts';
import { startSureness } from './come-through.ts';
import type { Engraved, EngravedPlace } from './engraved.ts';

/** What of a forecast says how its cells were burned. */
interface Burned {
  readonly material: Material;
  readonly machine: Machine;
  readonly stock: Stock | null;
  readonly dose: Dose;
  readonly firings: Firings | null;
}

/** What such boards make of doses, burned as what landed in a cell was; the cell got something. */
export function startEngravedIn(burned: Burned, cell: number): (doseJPerMm2: number) => Engraved {
  const { material, machine, stock, dose } = burned;
  const middle = middleOfCell(dose.grid, cell);
  const sureness = startSureness(material, machine, stock ?? { thicknessMm: null });
  const place = {
    dwellS: Math.exp(dose.doseLnDwell[cell]! / dose.grid.data[cell]!),
    headZMm: dose.height.lowestMm,
    ...firedOf(burned)(...middle),
    isFilled: false,
  };
  return (doseJPerMm2) => sureness.engraved({ doseJPerMm2, ...place });
}

/** What such boards make of what a place on a line gets, on its path itself. */
export const engravedOnLine = ({ material, machine, stock }: Burned, came: Omit<EngravedPlace, 'isFilled'>) =>
  startSureness(material, machine, stock ?? { thicknessMm: null }).engraved({ ...came, isFilled: false });

const known = new WeakMap<Burned, FiredAt>();

/** How a forecast's places were fired; worked out once for a forecast. */
function firedOf(burned: Burned): FiredAt {
  const before = known.get(burned);
  if (before) return before;
  const at = firedAt(burned.firings, burned.material);
  known.set(burned, at);
  return at;
}
