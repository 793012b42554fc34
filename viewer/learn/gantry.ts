import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { powerLaw } from '../../src/laser/power.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import type { View } from '../../src/picture/view.ts';
import type { Setup } from '../worker/messages.ts';

/** What all experiments are burned with: the demo's small gantry, in its poplar. */
export const WOOD = shippedMaterials['poplar plywood']!;
export const GANTRY: Machine = readMachine(demoMachines['bench-gantry'], 'bench-gantry');

const law = powerLaw(GANTRY.laser);
/** What the gantry's laser emits at a power setting, W. */
export const wattsAt = (percent: number): number => law.watts((percent / 100) * GANTRY.laser.s_max, 1);

export interface Trial {
  readonly text: string;
  readonly machine: Machine;
  /** Another wood than the experiments'. */
  readonly material?: Setup['material'];
  readonly stock: NonNullable<Setup['stock']>;
  readonly changes?: Setup['changes'];
  readonly cellMm: number;
  readonly figure: View;
}

/** The view of a whole board, `widthPx` wide. */
export const viewOf = (stock: Trial['stock'], widthPx: number): View => {
  const pxPerMm = widthPx / stock.widthMm;
  return {
    leftMm: stock.xMm,
    bottomMm: stock.yMm,
    pxPerMm,
    widthPx,
    heightPx: Math.round(stock.heightMm * pxPerMm),
  };
};

export const boardOf = (widthMm: number, heightMm: number, thicknessMm = 4): Trial['stock'] => ({
  widthMm,
  heightMm,
  thicknessMm,
  xMm: 0,
  yMm: 0,
});
