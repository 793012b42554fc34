import type { Material } from '../burn/material.ts';
import type { Changed } from '../change/changed.ts';
import type { ToneWish } from '../compare/tone-wish.ts';
import { InputError } from '../errors.ts';
import type { ForecastSetup } from '../forecast.ts';
import { planMotion } from '../motion/plan.ts';
import type { Program } from '../program/program.ts';
import { lightnessTable, stripLightness } from './footprints.ts';
import { stripsBounds } from './laid-picture.ts';
import { pictureRows, type Strips, type Wish } from './picture-rows.ts';
import { startPowers } from './strip-power.ts';
import { errorsOf } from './tone-errors.ts';
import { type Tones, tonesWithin } from './tones-within.ts';
import { checkEnds } from './wish.ts';
import { withPower } from './with-power.ts';

/** A program whose rows come out as they were meant. */
export interface TrueTones extends ToneWish {
  readonly changed: Changed;
  /** By the moves of `changed`, what each was meant to become. */
  readonly strips: Strips;
  /** The part of the rows' length that the laser can only come near to, from above its power and from below it. */
  readonly tooDarkShare: number;
  readonly tooLightShare: number;
  readonly addedMoves: number;
}

/** Corrections after the first guess, at most … */
const ROUNDS = 4;
/** … and none where the mean error is this small, far less than one sees side by side, … */
const NEAR_ENOUGH_L = 0.3;
/** … or falls by less than this part of itself: what is left the laser cannot do. */
const LEAST_GAIN = 0.1;

/** Where the mean error is no more than so many times that, the next forecast is likely to be the last. */
const LIKELY_LAST = 3;

/** Forecasts of whole jobs, with the same setup, by whoever needs them for more than the tones of the rows. */
export interface WholeForecasts {
  /** The tones of the program as it is, where they are at hand. */
  readonly asItIs?: Tones | null;
  /** The tones of a program that is likely the last; left out: only the picture's part of the board is forecast. */
  readonly foretell?: ((program: Program) => Tones) | null;
}

/**
 * Finds the S of each piece of the rows so that the forecast lightness is proportional to what their S meant as darkness,
 * by the wood's own curve, the laser's threshold and steps, the overlap of rows, the speed of the head and what else the
 * forecast knows. First a guess from the wood's curve and from what the rows look like as they are, then a few forecasts,
 * each of which says by how much the dose of a strip is off.
 *
 * @throws {InputError} where no rows are a picture, or S follows the speed of the head already.
 */
export function trueTones(
  changed: Changed,
  setup: ForecastSetup,
  wish: Wish,
  { asItIs = null, foretell = null }: WholeForecasts = {},
): TrueTones {
  const { machine, material } = setup;
  checkEnds(wish.ends);
  const { program } = changed;
  if (program.followsSpeed)
    throw new InputError(
      'found a job whose S follows the speed of the head already; expected it as its program wrote it, where S says how dark it is meant',
    );
  const { split, strips, operations } = pictureRows(changed, machine, material, wish);
  const look = looker(split, strips, material);
  const motion = planMotion(split.program, machine);
  const numbers = operations.map(({ n }) => n);
  const tonesOf = tonesWithin(stripsBounds(split.program, numbers, strips.widthMm), motion, setup);
  const seenOf = (s: Float64Array) => look(tonesOf(s));
  const programOf = (s: Float64Array): Program => ({
    ...withPower(split.program, s),
    followsSpeed: true,
    followsTones: true,
  });

  const seenBefore = asItIs ? look(asItIs) : seenOf(split.program.moves.s);
  const before = errorsOf(seenBefore, strips);
  const powers = startPowers(motion, strips, machine, material, seenBefore);
  let written = programOf(powers.s());
  let seen = seenOf(written.moves.s);
  let after = errorsOf(seen, strips);
  let gain = 1;
  for (let round = 0; round < ROUNDS && after.meanDeltaL > NEAR_ENOUGH_L && gain > LEAST_GAIN; round++) {
    const last = after;
    const isLast = last.meanDeltaL <= LIKELY_LAST * NEAR_ENOUGH_L || round === ROUNDS - 1;
    powers.correct(seen);
    written = programOf(powers.s());
    seen = isLast && foretell ? look(foretell(written)) : seenOf(written.moves.s);
    after = errorsOf(seen, strips);
    gain = 1 - after.meanDeltaL / last.meanDeltaL;
  }
  return {
    changed: { ...split, program: written },
    strips,
    operations: numbers,
    before,
    after,
    ...powers.limits(),
    addedMoves: split.program.moves.count - program.moves.count,
  };
}

/** What each strip looks like in a burn: its mean L*. */
function looker(
  { program }: Changed,
  { wishedL, widthMm }: Strips,
  material: Material,
): (tones: Tones) => Float64Array {
  const lightness = lightnessTable(material);
  return (tones) =>
    wishedL.map((wish, k) =>
      Number.isNaN(wish) ? wish : stripLightness(program.moves, k, widthMm[k]!, tones, lightness),
    );
}
