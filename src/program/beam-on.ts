import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL } from './program.ts';

/**
 * The one rule of whether the beam is on, and with how much of its S. Everything that asks takes it from here: what an
 * operation is, where energy lands, what is drawn and what a change must keep.
 */

/** What moves, stops and rests all hold of the beam: index k of every array is the same one. */
export interface BeamWords {
  readonly s: ArrayLike<number>;
  /** POWER_OFF, POWER_CONSTANT or POWER_PROPORTIONAL. */
  readonly powerMode: ArrayLike<number>;
  /** The modal motion: 1 a rapid, 0 a feed move. */
  readonly rapid: ArrayLike<number>;
}

/** Whether the program asks for light: a power mode, and S above 0. */
export const asksForLight = ({ powerMode, s }: Pick<BeamWords, 'powerMode' | 's'>, k: number): boolean =>
  powerMode[k] !== POWER_OFF && s[k]! > 0;

/** Whether the beam is let through in a modal motion: rapids are dark unless the machine fires on them. */
export const letsThrough = (rapid: number, firesOnRapids: boolean): boolean => rapid === 0 || firesOnRapids;

/** Whether the beam is on: asked for and let through. */
export const isLit = (beam: BeamWords, k: number, firesOnRapids: boolean): boolean =>
  asksForLight(beam, k) && letsThrough(beam.rapid[k]!, firesOnRapids);

/** Whether it is on while the head rests: constant power keeps burning, proportional power is zero at rest. */
export const isLitAtRest = (beam: BeamWords, k: number, firesOnRapids: boolean): boolean =>
  beam.powerMode[k] === POWER_CONSTANT && isLit(beam, k, firesOnRapids);

/** Whether a move draws: the beam is on at feed, on any machine. Only these make up operations. */
export const burnsAtFeed = (moves: BeamWords, k: number): boolean => isLit(moves, k, false);

/**
 * What S is multiplied by at a speed, mm/s: 1 under constant power, actual speed over programmed feed under proportional
 * power (a rapid before the first feed has none, and burns in full).
 */
export function speedRatio(
  { powerMode, feedMmPerS }: Pick<BeamWords, 'powerMode'> & { readonly feedMmPerS: ArrayLike<number> },
  k: number,
  speedMmPerS: number,
): number {
  const feed = feedMmPerS[k]!;
  return powerMode[k] === POWER_PROPORTIONAL && feed > 0 ? speedMmPerS / feed : 1;
}
