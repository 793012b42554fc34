import { type Command, Option } from 'commander';
import { InputError } from '../errors.ts';
import type { Size } from '../findings/evidence/told.ts';
import { DEEPEST_ENGRAVING } from '../findings/too-deep.ts';
import type { Checks } from '../forecast.ts';
import { isSure, SURE, SURE_EXPECTED } from '../sure/come-through.ts';
import { readQuantity } from './quantity.ts';

/** The options that say what the piece should be, for findings to check. */
export interface CheckWords {
  readonly expect?: string;
  readonly deepest?: string;
  readonly sure?: string;
}

export const addCheckOptions = (command: Command): Command =>
  addSureOption(command)
    .addOption(new Option('--expect <WxH>', 'the size the burn should have, in mm, as in 120x70'))
    .addOption(
      new Option(
        '--deepest <percent>',
        `how much of the board's thickness engraving may take (default: ${DEEPEST_ENGRAVING * 100})`,
      ),
    );

export const addSureOption = (command: Command): Command =>
  command.addOption(
    new Option(
      '--sure <part>',
      `the part of such boards that must come through for a cut to count as sure (default: ${SURE})`,
    ),
  );

export const readChecks = ({ expect, deepest, sure }: CheckWords): Checks => ({
  expectMm: expect === undefined ? null : readSize(expect),
  deepestEngraving: deepest === undefined ? null : readShare(deepest),
  sure: readSure(sure),
});

const NUMBER = String.raw`(\d+(?:\.\d+)?|\.\d+)`;
const SIZE = new RegExp(`^${NUMBER}(?:mm)?x${NUMBER}(?:mm)?$`, 'i');
const LARGEST_MM = 1e5;

/** Reads `WxH` in mm: the width and height of the burn. */
export function readSize(text: string): Size {
  const [, width, height] = (SIZE.exec(text.replace(/\s+/g, '')) ?? []).map(Number);
  if (!width || !height || width > LARGEST_MM || height > LARGEST_MM) {
    throw new InputError(
      `found --expect ${text.slice(0, 60)}; expected the burn's width x height in mm, as in 120x70`,
    );
  }
  return { widthMm: width, heightMm: height };
}

function readShare(text: string): number {
  const expected = "a part of the board's thickness in per cent, as in 25";
  const percent = readQuantity('--deepest', text, '%|per ?cent', expected);
  if (percent > 100) throw new InputError(`found --deepest ${text}; expected ${expected}`);
  return percent / 100;
}

/** The part of boards from `--sure`; null: not given. */
export function readSure(text: string | undefined): number | null {
  if (text === undefined) return null;
  const part = readQuantity('--sure', text, '', SURE_EXPECTED);
  if (!isSure(part)) throw new InputError(`found --sure ${text}; expected ${SURE_EXPECTED}`);
  return part;
}
