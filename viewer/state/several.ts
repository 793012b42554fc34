import { signal } from '@preact/signals';
import { type JobRow, jobRow } from '../../src/compare/job-row.ts';
import { Forecaster, refusalWords, unseen } from '../worker/client.ts';
import type { Setup } from '../worker/messages.ts';

/** Several jobs that were dropped at once: each is forecast on what lies on the bench, and one of them opened. */
export interface OneOfSeveral {
  readonly setup: Setup;
  /** null: not forecast yet; a sentence: why it cannot be. */
  readonly row: JobRow | string | null;
}
export const several = signal<readonly OneOfSeveral[]>([]);
let forecaster: Forecaster | null = null;

/** Lays out the table, and fills it one job after another. */
export function layOut(jobs: readonly Setup[]): void {
  forecaster?.end();
  forecaster = new Forecaster();
  several.value = jobs.map((setup) => ({ setup, row: null }));
  next(0);
}

export function putAway(): void {
  forecaster?.end();
  forecaster = null;
  several.value = [];
}

function next(k: number): void {
  const job = several.peek()[k];
  const by = forecaster;
  if (!job || !by) return;
  const told = (row: JobRow | string) => {
    if (by !== forecaster) return;
    several.value = several.peek().map((each, at) => (at === k ? { ...each, row } : each));
    next(k + 1);
  };
  by.ask(unseen(job.setup), {
    done: ({ forecast }) => told(jobRow(forecast)),
    refused: (refusal) => told(refusalWords(refusal)),
  });
}
