import { numbersOf } from '../burn/material.ts';
import { addAll } from '../lists.ts';
import { isFit } from '../swatch/fit/cuts.ts';
import type { SwatchFit } from '../swatch/fit/fit.ts';
import type { PhotoReading } from '../swatch/photo/read.ts';
import type { CodeReading } from '../swatch/photo/read-code.ts';
import type { Swatch } from '../swatch/swatch.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { numberWords } from '../words.ts';
import { titled, wrap } from './summary.ts';

/** How many of the farthest patches are named. */
const MOST_RESIDUALS = 3;

/** The fit as plain text that fits a screen and can be read aloud. */
export function fitSummary(
  fit: SwatchFit,
  swatch: Swatch,
  reading: PhotoReading,
  notes: readonly string[],
): string {
  const { material, removal, ladders, untold, remarks } = fit;
  const lines = [`${material.name}, fitted to a swatch burned on ${swatch.machine.name}`, ''];
  lines.push(
    ...wrap(
      `The photo shows the swatch at ${numberWords(reading.pxPerMm)} pixels per mm` +
        (reading.edgeMm === null ? '.' : `, edges blurred over ${numberWords(reading.edgeMm, 2)} mm.`),
      '',
      '  ',
    ),
  );
  if (reading.code) lines.push(...wrap(codeWords(reading.code), '', '  '));
  lines.push('', 'Measured by it');
  const told = numbersOf(material).filter(({ basis }) => basis.startsWith('measured by a burned swatch'));
  for (const { words, value, plusMinus, unit } of told) {
    const shown = [value].flat().join(', ');
    lines.push(`  ${capital(words)}: ${shown} ± ${plusMinus} ${unit}`.trimEnd());
  }
  if (told.length === 0) lines.push('  Nothing: see below.');
  if (isFit(removal)) {
    const [low, high] = removal.betweenJPerMm2.map((dose) => numberWords(dose));
    lines.push(
      ...wrap(
        `Cutting ${numberWords(swatch.stock.thickness_mm!)} mm takes between ${low} and ${high} J/mm² on the line’s centre.`,
        '  ',
        '    ',
      ),
    );
  }
  for (const ladder of ladders) {
    const across = ladder.along === 'x' ? 'y' : 'x';
    lines.push(
      ...wrap(
        `Lines along ${ladder.along}: the spot is ${ladder.widthMm.toFixed(3)} ± ${ladder.widthSigmaMm.toFixed(3)} mm wide across ${across} (profile: ${ladder.profileWidthMm.toFixed(3)}), ` +
          `and lines need ${ladder.doseFactor.toFixed(2)} ± ${ladder.doseFactorSigma.toFixed(2)} times the dose that patches need.`,
        '  ',
        '    ',
      ),
    );
  }
  addAll(lines, [
    '',
    'How well it fits',
    ...residualLines(fit),
    ...titled('What it could not tell', untold),
    ...titled('Good to know', [...strangerNotes(reading), ...notes, ...remarks, ...STANDING]),
  ]);
  return lines.join('\n');
}

function codeWords({ expected, seen, verdict }: CodeReading): string {
  if (verdict === 'same') return `It shows the code ${expected}, as the key does.`;
  return verdict === 'other'
    ? `It shows the code ${seen}; the key has ${expected}.`
    : `Its code could not be read: look whether ${expected} is engraved beside the patches, at the upper right.`;
}

const strangerNotes = ({ doubts }: PhotoReading): string[] =>
  doubts.length === 0 ? [] : [`Photo and key do not seem to belong together: ${doubts.join('; ')}.`];

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** True of every fit, and easily forgotten. */
const STANDING = [
  'Doses rest on the optical power in the machine profile: if that is a tenth too high, so are they.',
  'The fit holds for this sheet, this focus and this air; burn another swatch when one of them changes.',
];

function residualLines({ observations, response }: SwatchFit): string[] {
  const off = observations.map(({ dose, lab }, k) => ({ dose, off: lab[0] - response.forecast[k]![0] }));
  const rms = Math.sqrt(off.reduce((sum, each) => sum + each.off ** 2, 0) / off.length);
  const farthest = off.toSorted((a, b) => Math.abs(b.off) - Math.abs(a.off)).slice(0, MOST_RESIDUALS);
  const named = farthest.map(({ dose: { patch, meanJPerMm2 }, off: by }) => {
    const feed = numberWords(mmPerSToMmPerMin(patch.speed_mm_s), 4);
    return `patch ${patch.n} (${feed} mm/min, S${patch.s}, ${numberWords(meanJPerMm2)} J/mm²) ${Math.abs(by).toFixed(1)} ${by > 0 ? 'lighter' : 'darker'}`;
  });
  return [
    ...wrap(
      `${observations.length} patches lie ${rms.toFixed(1)} from the curve in L*, root mean square; grain and noise explain ${response.chiSquarePerFreedom <= 1.5 ? 'it' : 'only a part of it'}.`,
      '  ',
      '    ',
    ),
    ...wrap(`Farthest: ${named.join('; ')}.`, '  ', '    '),
  ];
}
