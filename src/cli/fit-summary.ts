import { addAll } from '../lists.ts';
import type { SwatchFit } from '../swatch/fit/fit.ts';
import {
  besidesWords,
  closenessWords,
  codeWords,
  measuredWords,
  photoWords,
  STANDING,
} from '../swatch/fit/words.ts';
import type { PhotoReading } from '../swatch/photo/read.ts';
import type { Swatch } from '../swatch/swatch.ts';
import { titled, wrap } from './summary.ts';

/** The fit as plain text that fits a screen and can be read aloud. */
export function fitSummary(
  fit: SwatchFit,
  swatch: Swatch,
  reading: PhotoReading,
  notes: readonly string[],
): string {
  const { material, untold, remarks } = fit;
  const lines = [`${material.name}, fitted to a swatch burned on ${swatch.machine.name}`, ''];
  lines.push(...wrap(photoWords(reading), '', '  '));
  if (reading.code) lines.push(...wrap(codeWords(reading.code), '', '  '));
  lines.push('', 'Measured by it');
  const told = measuredWords(fit);
  for (const words of told) lines.push(`  ${words}`);
  if (told.length === 0) lines.push('  Nothing: see below.');
  for (const words of besidesWords(fit, swatch)) lines.push(...wrap(words, '  ', '    '));
  addAll(lines, [
    '',
    'How well it fits',
    ...closenessWords(fit).flatMap((words) => wrap(words, '  ', '    ')),
    ...titled('What it could not tell', untold),
    ...titled('Good to know', [...strangerNotes(reading), ...notes, ...remarks, ...STANDING]),
  ]);
  return lines.join('\n');
}

const strangerNotes = ({ doubts }: PhotoReading): string[] =>
  doubts.length === 0 ? [] : [`Photo and key do not seem to belong together: ${doubts.join('; ')}.`];
