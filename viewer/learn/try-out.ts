import { Forecaster, type Listener } from '../worker/client.ts';
import { type Trial, WOOD } from './gantry.ts';

/**
 * One worker for all experiments: each experiment's newest wish waits its turn, older ones of the same
 * experiment are dropped.
 */
let forecaster: Forecaster | null = null;
const waiting = new Map<string, { trial: Trial; told: Pick<Listener, 'done' | 'refused'> }>();
let busy = false;

export function tryOut(name: string, trial: Trial, told: Pick<Listener, 'done' | 'refused'>): void {
  waiting.set(name, { trial, told });
  next();
}

function next(): void {
  const [first] = waiting;
  if (busy || !first) return;
  const [name, { trial, told }] = first;
  waiting.delete(name);
  busy = true;
  forecaster ??= new Forecaster();
  const { text, machine, material = WOOD, stock, changes = [], cellMm, figure } = trial;
  const after = () => {
    busy = false;
    next();
  };
  forecaster.ask(
    {
      setup: { job: { name, text }, machine, material, stock, changes, cellMm },
      texels: 20_000,
      live: false,
      closeUps: false,
      figure,
    },
    {
      done: (scene) => {
        told.done(scene);
        after();
      },
      refused: (refusal) => {
        told.refused(refusal);
        after();
      },
    },
  );
}
