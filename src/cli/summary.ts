import type { Severity } from '../findings/finding.ts';
import { notJudged } from '../findings/not-judged.ts';
import { understoodBesides } from '../findings/other-scale.ts';
import { countWords } from '../findings/phrases.ts';
import { becomesOf, type Forecast, inBurnOrder } from '../forecast.ts';
import { isEmptyBounds } from '../grid.ts';
import { addAll } from '../lists.ts';
import { CAUTION } from '../page/caution.ts';
import { leftOver, leftOverSentence } from '../parts/left-over.ts';
import { dotsOf } from '../program/dots.ts';
import { lengthWords, numberWords, operationSentence, timeWords } from '../words.ts';

/** How many of each list the summary shows before it says how many more there are. */
const MOST = 8;
const WIDTH = 96;
const SEVERITY_WORD: Record<Severity, string> = { stop: 'Stop', warning: 'Warning', note: 'Note' };

export { CAUTION };

/** What is said of a job without operations: dots may burn where the head rests, and lines on its way. */
function nothingDrawn({ program, machine, burnBounds }: Forecast): string {
  const dots = dotsOf(program, machine.laser.fires_on_rapids).length;
  if (isEmptyBounds(burnBounds)) return 'Nothing is burned: the beam is never on during a feed move.';
  const burned =
    dots > 0
      ? `${countWords(dots, 'dot')} where the head stands with the beam on`
      : 'what the beam leaves behind while it travels';
  return `No line is burned, only ${burned}.`;
}

const noFindings = (unjudged: string | null): string =>
  unjudged ? 'Findings: none in what was judged.' : 'Findings: none.';

/**
 * The forecast as plain text that fits a screen and can be read aloud.
 * @param assumed those of its notes that say what was taken for want of an option; they come first.
 */
export function summaryOf(forecast: Forecast, name: string, assumed: readonly string[] = []): string {
  const { motion, dose, stock, machine, material, burnBounds } = forecast;
  const lines: string[] = [];
  lines.push(`${name}, forecast for ${machine.name} on ${material.name}`);
  for (const each of assumed) lines.push(...wrap(each, '  ', '    '));
  lines.push('');
  lines.push(`It takes ${timeWords(motion.durationS)}, with the beam on for ${timeWords(forecast.beamOnS)}.`);
  lines.push(
    `It burns ${lengthWords(forecast.burnMm)} of path with ${numberWords(dose.energyJ)} J; the head travels ${lengthWords(forecast.travelMm)} in all.`,
  );
  if (!isEmptyBounds(burnBounds)) {
    const { minXMm, minYMm, maxXMm, maxYMm } = burnBounds;
    const isDot = minXMm === maxXMm && minYMm === maxYMm;
    const size = `${numberWords(maxXMm - minXMm, 4)} × ${numberWords(maxYMm - minYMm, 4)} mm`;
    const from = `x ${numberWords(minXMm, 4)}, y ${numberWords(minYMm, 4)} mm`;
    const on = stock
      ? ` on a board of ${numberWords(stock.widthMm, 4)} × ${numberWords(stock.heightMm, 4)} mm`
      : '';
    lines.push(
      isDot ? `It burns one spot, at ${from}${on}.` : `The burn measures ${size} from ${from}${on}.`,
    );
  }
  const left = leftOver(forecast);
  if (left) lines.push(...wrap(leftOverSentence(left), '', ''));
  lines.push(
    '',
    forecast.operations.length === 0 ? nothingDrawn(forecast) : 'Operations, in the order burned',
  );
  section(lines, inBurnOrder(forecast), ({ operation, durationS, energyJ }) => [
    `  ${operation.n}. ${operationSentence(operation, machine)} ${timeWords(durationS)}, ${numberWords(energyJ)} J.`,
  ]);
  section(lines, becomesOf(forecast), (sentence) => wrap(sentence, '  ', '    '));
  const unjudged = notJudged(forecast);
  if (unjudged) lines.push('', ...wrap(unjudged, '', ''));
  lines.push('', forecast.findings.length === 0 ? noFindings(unjudged) : 'Findings, worst first');
  section(lines, forecast.findings, (f) => [
    ...wrap(
      `${SEVERITY_WORD[f.severity]}${f.line > 0 ? `, line ${f.line}` : ''}: ${f.message}`,
      '  ',
      '    ',
    ),
    ...wrap(f.remedy, '    ', '    '),
  ]);
  const notes = forecast.notes.filter((note) => !assumed.includes(note));
  const remarks = [
    ...notes,
    ...understoodBesides(forecast.findings, forecast.program.understood).map(
      (u) => `Line ${u.line}: ${u.text}`,
    ),
  ];
  if (remarks.length > 0) lines.push('', 'Good to know');
  section(lines, remarks, (remark) => wrap(remark, '  ', '    '));
  lines.push('', ...wrap(CAUTION, '', ''));
  return lines.join('\n');
}

function section<T>(lines: string[], items: readonly T[], show: (item: T) => string[]): void {
  for (const item of items.slice(0, MOST)) addAll(lines, show(item));
  if (items.length > MOST) lines.push(`  … and ${items.length - MOST} more in report.json`);
}

/** Texts under a heading, with a blank line above; nothing where there are none. */
export const titled = (heading: string, texts: readonly string[]): string[] =>
  texts.length === 0 ? [] : ['', heading, ...texts.flatMap((text) => wrap(text, '  ', '    '))];

/** Breaks text at blanks so that no line is longer than the screen. */
export function wrap(text: string, first: string, rest: string): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(/\s+/)) {
    if (!empty && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = rest + word;
    } else {
      line = empty ? line + word : `${line} ${word}`;
    }
    empty = false;
  }
  return [...lines, line];
}
