import type { NotSimulated, Program } from '../program/program.ts';
import type { Finding } from './finding.ts';
import { capital } from './phrases.ts';

/** `not-simulated`: a word the forecast does not model, once per word, with its lines. */
export function findNotSimulated(program: Program): Finding[] {
  return program.notSimulated.map((item) => {
    const times = item.count === 1 ? 'once' : `${item.count} times`;
    const more = item.count > item.lines.length ? ' and further on' : '';
    const where = `${item.lines.length === 1 && !more ? 'line' : 'lines'} ${item.lines.join(', ')}${more}`;
    // What follows the end of the program is told as the word `after M2`.
    const subject = item.word.startsWith('after ') ? `What stands ${item.word}` : item.word;
    return {
      kind: 'not-simulated',
      severity: item.severity,
      line: item.lines[0] ?? 0,
      atMm: null,
      operation: null,
      message: `${subject} is not simulated (${times}, ${where}): ${item.effect}.`,
      remedy:
        item.severity === 'note'
          ? 'Nothing to change; it is named so that nothing is left out in silence.'
          : `${remedyOf(item)}, or judge ${item.count === 1 ? 'that place' : `those ${item.count} places`} by hand.`,
      measure: { word: item.word, count: item.count, lines: item.lines },
    };
  });
}

/** What draws the job cannot be left out of it. */
const remedyOf = ({ word, instead }: NotSimulated): string =>
  instead ? capital(instead) : `Leave ${word.startsWith('after ') ? 'it' : word} out of the job`;
