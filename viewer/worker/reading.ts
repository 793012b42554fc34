import { readOptions } from '../../src/forecast.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import type { Setup, Stage } from './messages.ts';

/** Told how far the work is: the stage, and what share of it is done. */
export type Tell = (stage: Stage, fraction: number) => void;

/** A job's text is handed to the reader in pieces of this many characters, to tell how far it is. */
const CHUNK = 1 << 18;

/** Reads a setup's job. */
export const programOf = ({ job, machine }: Setup, tell: Tell): Program =>
  readProgram(inChunks(job.text, tell), readOptions(machine));

function* inChunks(text: string, tell: Tell): Generator<string> {
  for (let at = 0; at < text.length; at += CHUNK) {
    tell('reading', at / text.length);
    yield text.slice(at, at + CHUNK);
  }
}
