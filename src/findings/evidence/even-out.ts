import { numberWords } from '../../words.ts';
import { mmWords } from '../phrases.ts';
import { steadyFeed } from '../settings-words.ts';
import { NO_SPEED } from './capped.ts';
import { promptSpeed } from './dark-places.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';
import { type Gaps, gaplessSettings, gapsUnderProportional } from './gaps.ts';
import { needBeside, paceBeside, paceMmPerS } from './pace.ts';

/** How to keep dose even where the head slows, in words and as a change. */
interface EvenOut {
  readonly remedy: string;
  readonly change: string;
}

/** Slower by this much less than the excess, what is left of it drowns in the wood's own scatter. */
const WITHIN = 1.3;

/**
 * What evens out an operation that burns dark where its head slows: proportional power; S within the scale, where
 * proportional power stays full because S is beyond it; else a speed so low that the head hardly slows, its power
 * with it. The tone stays as it is: what never comes up to its feed is told at the speed it has.
 *
 * @param follows what proportional power does about it, as the end of a sentence.
 * @param times what the worst place gets, as a multiple of the straight line's, from the motion.
 */
export function evenOut(
  evidence: Evidence,
  each: OperationEvidence,
  follows: string,
  times: number,
): EvenOut {
  const { machine } = evidence;
  const { operation, fullSpeedMmPerS } = each;
  const { n, powerMode, sMax } = operation;
  const { m4_power, s_max } = machine.laser;
  if (powerMode === 'constant' && m4_power === 'proportional') {
    const at = paceBeside(evidence, each);
    const scale = at === NO_SPEED ? 1 : operation.feedMmPerS / paceMmPerS(evidence, each);
    const gaps = gapsUnderProportional(evidence, each, scale);
    return gaps
      ? proportionalWithoutGaps(evidence, each, gaps, follows)
      : {
          remedy: `Burn it with proportional power (M4)${at.words}, ${follows}.`,
          change: `${n}: ${at.setting}proportional`,
        };
  }
  if (powerMode === 'proportional' && sMax > s_max) {
    return {
      remedy: `Keep S within ${s_max}: above it proportional power stays full until the head is slow.`,
      change: `${n}: power 100%`,
    };
  }
  // The head passes the place as it does now, so a feed of `WITHIN` its speed there is `WITHIN` times the dose.
  const passesAt = (fullSpeedMmPerS * WITHIN) / times;
  const [speed, meant] =
    powerMode === 'constant'
      ? [passesAt, paceMmPerS(evidence, each)]
      : [promptSpeed(machine), operation.feedMmPerS];
  const slow = steadyFeed(operation, machine, speed, meant / needBeside(evidence, meant, speed));
  const why =
    powerMode === 'constant'
      ? "This machine's beam does not follow the speed of the head, so burn it slower"
      : 'The beam follows the head late, so burn it slower';
  return {
    remedy:
      `${why}: at ${numberWords(slow.feedMmPerMin, 4)} mm/min with ${numberWords(slow.powerPercent)} % power the ` +
      'head hardly slows there.',
    change: slow.change,
  };
}

/** Proportional power as slow as it must be for this diode not to go dark where the head slows. */
function proportionalWithoutGaps(
  evidence: Evidence,
  each: OperationEvidence,
  gaps: Gaps,
  follows: string,
): EvenOut {
  const { n } = each.operation;
  const { feedMmPerMin, powerPercent } = gaplessSettings(evidence, each, gaps);
  return {
    remedy:
      `Burn it with proportional power (M4), ${follows}, at ${numberWords(feedMmPerMin, 4)} mm/min with ` +
      `${numberWords(powerPercent)} % power: at the present speed this diode would go dark there and leave gaps of ` +
      `${mmWords(gaps.longestMm)}.`,
    change: `${n}: proportional, speed ${feedMmPerMin}, power ${powerPercent}%`,
  };
}
