import { Forecaster, type Listener, unseen } from '../worker/client.ts';
import type { Foretold } from '../worker/messages.ts';
import { type Trial, WOOD } from './gantry.ts';

interface Asked {
  readonly trial: Trial;
  readonly told: Pick<Listener<Foretold>, 'done' | 'refused'>;
}

/** What has been superseded is burned to its end only if that takes no longer than this, or than another one took, ms. */
const PATIENCE_MS = 400;

/** One worker for all experiments: each experiment's newest wish waits its turn, older ones of it are dropped. */
let forecaster: Forecaster | null = null;
const waiting = new Map<string, Asked>();
/** The experiment whose turn it is, and its newest wish. */
let turn: { readonly name: string; readonly asked: Asked } | null = null;

export function tryOut(name: string, trial: Trial, told: Asked['told']): void {
  const asked = { trial, told };
  if (turn?.name === name) {
    burn(name, asked);
    return;
  }
  waiting.set(name, asked);
  next();
}

/** Nobody looks at the experiment any more: what it still waits for is not burned. */
export function giveUp(name: string): void {
  waiting.delete(name);
  if (turn?.name !== name) return;
  forecaster?.end();
  forecaster = null;
  turn = null;
  // Others that were looked at together with it are given up together with it.
  queueMicrotask(next);
}

function next(): void {
  const [first] = waiting;
  if (turn || !first) return;
  waiting.delete(first[0]);
  burn(...first);
}

function burn(name: string, asked: Asked): void {
  turn = { name, asked };
  forecaster ??= new Forecaster(PATIENCE_MS);
  const { text, machine, material = WOOD, stock, changes = [], cellMm, figure } = asked.trial;
  const after = () => {
    // Of an experiment that has asked again meanwhile the turn goes on.
    if (turn?.asked !== asked) return;
    turn = null;
    next();
  };
  forecaster.ask(unseen({ job: { name, text }, machine, material, stock, changes, cellMm }, figure), {
    done: (made) => {
      asked.told.done(made);
      after();
    },
    refused: (refusal) => {
      asked.told.refused(refusal);
      after();
    },
  });
}
