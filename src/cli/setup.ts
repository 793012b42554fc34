import { existsSync } from 'node:fs';
import { type Command, Option } from 'commander';
import type { Stock } from '../board.ts';
import { dangerOf } from '../burn/dangers.ts';
import { type Material, readMaterial } from '../burn/material.ts';
import { shippedMaterials } from '../burn/shipped.ts';
import { InputError } from '../errors.ts';
import { doubtSentence } from '../explain/doubts.ts';
import { ASSUMED_MACHINE, ASSUMED_WOOD } from '../machine/assumed.ts';
import { type Machine, readMachine } from '../machine/profile.ts';
import { isGiven } from '../machine/told.ts';
import { LEAST_FEED_MM_PER_MIN } from '../program/interpret.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { numberWords } from '../words.ts';
import { readJson } from './files.ts';
import { readStock } from './stock.ts';

/** The options that most commands share: what machine, what wood, what board, how fine. */
export interface SetupWords {
  readonly machine?: string;
  readonly material?: string;
  readonly stock?: string;
  readonly cell?: string;
  readonly feed?: string;
}

export interface Setup {
  readonly machine: Machine;
  /** Its profile as it stands in its file; left out: none was given. */
  readonly machineFile?: unknown;
  /** Whether that tells no size of the bed; left out: it does. */
  readonly bedIsAssumed?: boolean;
  readonly material: Material;
  readonly stock: Stock | null;
  readonly cellMm: number | null;
  /** The feed of moves that have none. */
  readonly feedMmPerS: number | null;
  /** Files that were read, which must not be overwritten. */
  readonly inputs: readonly string[];
  /** What was taken for want of an option, in plain sentences. */
  readonly notes: readonly string[];
}

/** What a forecast needs: the bench, and how fine the grid is. */
export const addSetupOptions = (command: Command): Command =>
  addFeedOption(addBenchOptions(command)).addOption(
    new Option('--cell <mm>', 'side of a grid cell (default: a third of the smaller spot width)'),
  );

/** For commands that read a job. */
export const addFeedOption = (command: Command): Command =>
  command.addOption(
    new Option('--feed <mm/min>', 'the feed of moves that have none (without it such a job is refused)'),
  );

/** The machine, the wood and the board. */
export function addBenchOptions(command: Command): Command {
  return command
    .addOption(new Option('--machine <file>', 'machine profile (JSON)'))
    .addOption(
      new Option(
        '--material <name|file>',
        `wood: ${Object.keys(shippedMaterials).join(', ')}; or a profile of your own (JSON)`,
      ),
    )
    .addOption(
      new Option(
        '--stock <WxHxT@X,Y>',
        'the board in mm and where its lower left corner lies, as in 120x80x4@0,0; 120x80x4~0.1@0,0 if 4 mm is known to 0.1',
      ),
    );
}

/** A number within bounds. @throws {InputError} that names the option, what was found and what was expected. */
export function readNumber(option: string, text: string, least: number, most: number, what: string): number {
  const value = Number(text);
  if (text.trim() === '' || !(value >= least && value <= most))
    throw new InputError(`found ${option} ${text}; expected ${what} from ${least} to ${most}`);
  return value;
}

const readFeed = (text: string): number =>
  mmPerMinToMmPerS(readNumber('--feed', text, LEAST_FEED_MM_PER_MIN, 1e6, 'a feed in mm/min'));

/** A wood's name however it is typed: `Birch-plywood`, `birch_plywood`. */
const plainName = (name: string): string =>
  name
    .trim()
    .toLowerCase()
    .replace(/[-_\s]+/g, ' ');

/** Fewer letters are a slip, not a part of a name. */
const FEWEST_LETTERS = 3;

/**
 * The shipped wood of this name, or the only one whose name holds it as a word or the beginning of one: `poplar`.
 * A file of that name goes before a part of a name.
 * @returns undefined where the words are no wood's name.
 * @throws {InputError} that names the woods it could be, where there are several.
 */
function shippedWood(wanted: string): Material | undefined {
  const words = plainName(wanted);
  const woods = Object.values(shippedMaterials);
  const named = woods.find(({ name }) => plainName(name) === words);
  if (named || words.length < FEWEST_LETTERS || existsSync(wanted)) return named;
  const meant = woods.filter(({ name }) => ` ${plainName(name)}`.includes(` ${words}`));
  if (meant.length < 2) return meant[0];
  throw new InputError(
    `found --material ${wanted}, which could be ${meant.map(({ name }) => name).join(' or ')}; expected one of them`,
  );
}

const assumedNote = ({ laser, spot }: Machine): string =>
  `No machine was given: a gantry of ${numberWords(laser.optical_power_w)} W with a spot of ` +
  `${numberWords(spot.width_mm[0])} mm and everyday limits was assumed. Give yours with --machine.`;

export function readSetup(words: SetupWords): Setup {
  const inputs: string[] = [];
  const notes: string[] = [];
  const machineFile = words.machine === undefined ? undefined : readJson(words.machine, 'machine');
  const machine =
    words.machine === undefined ? readMachine(ASSUMED_MACHINE) : readMachine(machineFile, words.machine);
  if (words.machine !== undefined) inputs.push(words.machine);
  else notes.push(assumedNote(machine));
  const doubt = doubtSentence(machine);
  if (doubt !== null) notes.push(doubt);

  const wanted = words.material ?? ASSUMED_WOOD;
  const shipped = shippedWood(wanted);
  if (words.material === undefined) notes.push(`No material was given: ${ASSUMED_WOOD} was assumed.`);
  let material = shipped;
  if (!material) {
    if (!existsSync(wanted)) {
      throw new InputError(
        `found --material ${wanted}, ${dangerOf(wanted) ?? 'which is neither a file nor a known wood'}; expected a file or one of ${Object.keys(shippedMaterials).join(', ')}`,
      );
    }
    inputs.push(wanted);
    material = readMaterial(readJson(wanted, 'wood'), wanted);
  }
  return {
    machine,
    machineFile,
    bedIsAssumed: !isGiven(machineFile, 'work_area_mm'),
    material,
    stock: words.stock === undefined ? null : readStock(words.stock),
    cellMm: words.cell === undefined ? null : readNumber('--cell', words.cell, 0.001, 10, 'a size in mm'),
    feedMmPerS: words.feed === undefined ? null : readFeed(words.feed),
    inputs,
    notes,
  };
}
