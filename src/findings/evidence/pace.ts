import { needAt, needOf } from '../../burn/need.ts';
import { mmPerMinToMmPerS } from '../../units.ts';
import { numberWords } from '../../words.ts';
import { plainFeed } from '../settings-words.ts';
import { type TrueSpeed, trueSpeed } from './capped.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';
import { middleSpeed } from './middle-speed.ts';
import { dwellUnderSpotS } from './spot-widths.ts';
import { isMostlySlow } from './survey.ts';

/**
 * The speed at which constant power gives an operation the look it has, mm/s: where the head mostly stays below its feed the
 * one that half of its way is slower than, by which it is told; else full speed. The link left out: that is told by itself.
 */
export function paceMmPerS(evidence: Evidence, { operation, fullSpeedMmPerS }: OperationEvidence): number {
  const { survey, motion } = evidence.unheld ?? evidence;
  const full = Math.min(fullSpeedMmPerS, operation.feedMmPerS);
  if (!isMostlySlow(survey, operation.n)) return full;
  const { mmPerS } = middleSpeed({ motion, energies: evidence.energies }, operation);
  return Math.min(full, mmPerMinToMmPerS(plainFeed(mmPerS)));
}

/**
 * The speed to be said beside proportional power, which gives at any speed what S gives at the feed: of an operation whose
 * head does not run as told it would make a paler one, or none at all.
 */
export function paceBeside(evidence: Evidence, each: OperationEvidence): TrueSpeed {
  const { survey } = evidence.unheld ?? evidence;
  if (!isMostlySlow(survey, each.operation.n)) return trueSpeed(evidence, each);
  const feed = plainFeed(paceMmPerS(evidence, each));
  return { setting: `speed ${feed}, `, words: ` at ${numberWords(feed, 4)} mm/min` };
}

/** How many times the dose a tone takes at one speed it takes at another: the slower the beam, the more heat is carried off. */
export function needBeside({ material, machine }: Evidence, atMmPerS: number, mmPerS: number): number {
  const need = needOf(material, machine.laser.wavelength_nm);
  const [there, here] = [mmPerS, atMmPerS].map((speed) => needAt(need, dwellUnderSpotS(machine.spot, speed)));
  return there! / here!;
}
