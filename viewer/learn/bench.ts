import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import type { View } from '../../src/picture/view.ts';
import { Forecaster } from '../worker/client.ts';
import type { Scene, Setup } from '../worker/messages.ts';

/** What all experiments are burned with: the demo's small gantry, in its poplar. */
export const WOOD = shippedMaterials['poplar plywood']!;
export const GANTRY: Machine = readMachine(demoMachines['bench-gantry'], 'bench-gantry');

export interface Trial {
  readonly text: string;
  readonly machine: Machine;
  readonly stock: NonNullable<Setup['stock']>;
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

/**
 * One worker for all experiments: each experiment's newest wish waits its turn, older ones of the same
 * experiment are dropped.
 */
let forecaster: Forecaster | null = null;
const waiting = new Map<string, { trial: Trial; done: (scene: Scene) => void }>();
let busy = false;

export function tryOut(name: string, trial: Trial, done: (scene: Scene) => void): void {
  waiting.set(name, { trial, done });
  next();
}

function next(): void {
  const [first] = waiting;
  if (busy || !first) return;
  const [name, { trial, done }] = first;
  waiting.delete(name);
  busy = true;
  forecaster ??= new Forecaster();
  const { text, machine, stock, cellMm, figure } = trial;
  const after = () => {
    busy = false;
    next();
  };
  forecaster.ask(
    {
      setup: { job: { name, text }, machine, material: WOOD, stock, changes: [], cellMm },
      texels: 20_000,
      live: false,
      closeUps: false,
      figure,
    },
    {
      done: (scene) => {
        done(scene);
        after();
      },
      refused: after,
    },
  );
}
