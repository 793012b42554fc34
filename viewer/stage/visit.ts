import type { Finding } from '../../src/findings/finding.ts';
import { pause, play, seek } from '../state/clock.ts';
import { lookAt, scene } from '../state/store.ts';
import { lastArrivalS, momentOf } from './when.ts';

/** So much of the wood is shown around a finding, mm. */
const ACROSS_MM = 16;
/** What is seen then reaches so far from it, mm. */
const IN_VIEW_MM = 12;
/** So much of the job before and after a finding's moment is played, s. */
const AROUND_S = 1;
/** A place is looked at so long after the last beam has left its surroundings, s: the head is still close by. */
const AFTER_S = 0.3;
/** Flies to a finding's place as it is once it has been burned. */
export function flyTo(finding: Finding): void {
  const at = scene.peek();
  if (!at || !finding.atMm) return;
  pause();
  lookAt.value = { atMm: finding.atMm, acrossMm: ACROSS_MM };
  const last = lastArrivalS(at, finding.atMm, IN_VIEW_MM, finding.operation);
  if (last !== null) seek(last + AFTER_S);
}

/** Flies to a finding's place and plays the two seconds around its moment. */
export function showItHappen(finding: Finding): void {
  const at = scene.peek();
  if (!at || !finding.atMm) return;
  lookAt.value = { atMm: finding.atMm, acrossMm: ACROSS_MM };
  const when = momentOf(at, finding.atMm, finding.line) ?? lastArrivalS(at, finding.atMm, 1, null) ?? 0;
  seek(Math.max(0, when - AROUND_S));
  play(when + AROUND_S, 1);
}
