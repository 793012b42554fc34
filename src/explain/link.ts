import type { Machine } from '../machine/profile.ts';
import { lineTimeS } from '../motion/link.ts';
import { feedWords, numberWords } from '../words.ts';
import { type Say, type Sentence, SHORT_LINE_BYTES, SHORT_MOVE_MM } from './sentence.ts';

/** How fast moves reach the controller. */
export function linkSentences({ link }: Machine, say: Say): Sentence[] {
  if (link === null) return [say('Moves are taken to reach the controller in time.', 'link')];
  const lineS = lineTimeS(SHORT_LINE_BYTES, link);
  const parsing =
    link.lines_per_second === null
      ? ''
      : ` The controller reads no more than ${numberWords(link.lines_per_second)} lines a second.`;
  return [
    say(
      `Moves come over a serial line of ${link.baud} baud, each answered with ${link.ack_bytes} bytes.${parsing}`,
      'link.baud',
      'link.ack_bytes',
      'link.lines_per_second',
    ),
    say(
      `A line of ${SHORT_LINE_BYTES} bytes takes ${numberWords(lineS * 1000)} ms, ${numberWords(1 / lineS)} lines a second: steps of ${SHORT_MOVE_MM} mm go no faster than ${feedWords(SHORT_MOVE_MM / lineS)}.`,
      'link.baud',
      'link.ack_bytes',
    ),
  ];
}
