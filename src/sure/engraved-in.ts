import type { Stock } from '../board.ts';
import { type Firings, firingsAt, needTimesAt } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import type { Dose } from '../dose/dose.ts';
import { middleOfCell } from '../grid.ts';
import type { Machine } from '../machine/profile.ts';
import { startSureness } from './come-through.ts';
import type { Engraved } from './engraved.ts';

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
  const { material, machine, stock, dose, firings } = burned;
  const middle = middleOfCell(dose.grid, cell);
  const sureness = startSureness(material, machine, stock ?? { thicknessMm: null });
  const place = {
    dwellS: Math.exp(dose.doseLnDwell[cell]! / dose.grid.data[cell]!),
    headZMm: dose.height.lowestMm,
    needTimes: needTimesOf(burned)(...middle),
    firings: firingsAt(firings)(...middle),
    isFilled: false,
  };
  return (doseJPerMm2) => sureness.engraved({ doseJPerMm2, ...place });
}

const known = new WeakMap<Burned, (xMm: number, yMm: number) => number>();

/** How many times the need of one cool firing a place has; worked out once for a forecast. */
function needTimesOf(burned: Burned): (xMm: number, yMm: number) => number {
  const before = known.get(burned);
  if (before) return before;
  const timesAt = needTimesAt(burned.firings, burned.material);
  known.set(burned, timesAt);
  return timesAt;
}
