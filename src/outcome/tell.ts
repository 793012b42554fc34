import { cutSentence } from '../findings/evidence/cut-forecast.ts';
import { cutsOfProgram, type Forecast } from '../forecast.ts';
import type { ToneSeen } from '../piece/tones.ts';
import { type Burn, type Lesson, learn } from './learn.ts';
import { type Entry, entryOf } from './notebook.ts';
import type { Told } from './say.ts';

/** A burn that was told of: what it teaches, and its entry in the notebook. */
export interface ToldBurn extends Lesson {
  /** A sentence for each cut of the job, forecast with what was learned; none where nothing was. */
  readonly cuts: readonly string[];
  readonly entry: Entry;
}

export interface TellOptions {
  /** What the learned wood is called. */
  readonly name: string;
  /** What the learned machine is called, where it is kept too; null: it is not, and the wood is told for the old one. */
  readonly machineName: string | null;
  /** A picture of the piece, to be named in the notebook. */
  readonly picture: string | null;
  /** Side of the grid's cells, mm; null: as the forecast chooses it. */
  readonly cellMm: number | null;
  /** How dark operations came out on a photo of the piece; left out: there is none. */
  readonly photo?: readonly ToneSeen[];
}

/**
 * Learns from a burn that was told of, and notes it.
 * @param made the forecast of the job as it was burned, by the profiles as they stand.
 * @throws {InputError} where an operation cannot have turned out so.
 */
export function tellBurn(made: Forecast, told: readonly Told[], burn: Burn, options: TellOptions): ToldBurn {
  const { name, machineName, picture, cellMm, photo = [] } = options;
  const keepsMachine = machineName !== null;
  const lesson = learn(made, told, burn, { keepsMachine, photo });
  const machine = keepsMachine ? { ...lesson.machine, name: machineName } : lesson.machine;
  const material = { ...renamed(lesson.material, keepsMachine ? machineName : made.machine.name), name };
  const { stock, program } = made;
  const setupNow = {
    machine: keepsMachine ? machine : made.machine,
    material,
    options: { stock, cellMm },
  };
  const entry = entryOf(made, lesson.told, {
    date: burn.date,
    job: burn.job,
    job_hash: burn.jobHash,
    learned_as: name,
    picture,
  });
  return {
    ...lesson,
    machine,
    material,
    entry,
    cuts: lesson.isContradictory ? [] : cutsOfProgram(program, setupNow).map(cutSentence),
  };
}

/** The wood, learned with a machine of this name. */
const renamed = (material: Lesson['material'], machine: string): Lesson['material'] => ({
  ...material,
  learned: material.learned && {
    ...material.learned,
    machine: { ...material.learned.machine, name: machine },
  },
});
