import { Forecaster } from '../worker/client.ts';
import type { Scene } from '../worker/messages.ts';
import { type Trial, WOOD } from './gantry.ts';

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
