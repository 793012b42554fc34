import { numbersOf } from '../../burn/guesses.ts';
import { mmPerSToMmPerMin } from '../../units.ts';
import { numberWords } from '../../words.ts';
import type { PhotoReading } from '../photo/read.ts';
import type { CodeReading } from '../photo/read-code.ts';
import type { Swatch } from '../swatch.ts';
import { isFit } from './cuts.ts';
import type { SwatchFit } from './fit.ts';

/** What a fit says, in plain sentences: the same for the terminal and for the page. */

/** How many of the farthest patches are named. */
const MOST_RESIDUALS = 3;

/** How well the photo shows the swatch. */
export const photoWords = ({ pxPerMm, edgeMm, lens }: PhotoReading): string =>
  `The photo shows the swatch at ${numberWords(pxPerMm)} pixels per mm` +
  (edgeMm === null ? '.' : `, edges blurred over ${numberWords(edgeMm, 2)} mm.`) +
  LENS_WORDS[lens];

const LENS_WORDS: Readonly<Record<PhotoReading['lens'], string>> = {
  bent: ' Its lens bends straight lines; that was taken out.',
  straight: '',
  untold:
    ' Whether its lens bends straight lines is not told, as too few patches stand out from the wood; it was taken to bend none.',
};

/** Whether photo and key belong together, by the engraved code. */
export function codeWords({ expected, seen, verdict }: CodeReading): string {
  if (verdict === 'same') return `It shows the code ${expected}, as the key does.`;
  return verdict === 'other'
    ? `It shows the code ${seen}; the key has ${expected}.`
    : `Its code could not be read: look whether ${expected} is engraved beside the patches, at the upper right.`;
}

/** The numbers it measured, each with its uncertainty: `First mark: 0.31 ± 0.02 J/mm²`. */
export const measuredWords = ({ material }: SwatchFit): string[] =>
  numbersOf(material)
    .filter(({ basis }) => basis.startsWith('measured by a burned swatch'))
    .map(({ words, value, plusMinus, unit }) =>
      `${capital(words)}: ${[value].flat().join(', ')} ± ${plusMinus} ${unit}`.trimEnd(),
    );

/** What the cuts and the lines told besides. */
export function besidesWords({ removal, ladders }: SwatchFit, { stock }: Swatch): string[] {
  const sentences: string[] = [];
  if (isFit(removal)) {
    const [low, high] = removal.betweenJPerMm2.map((dose) => numberWords(dose));
    sentences.push(
      `Cutting ${numberWords(stock.thickness_mm!)} mm takes between ${low} and ${high} J/mm² on the line’s centre.`,
    );
  }
  for (const ladder of ladders) {
    const across = ladder.along === 'x' ? 'y' : 'x';
    sentences.push(
      `Lines along ${ladder.along}: the spot is ${ladder.widthMm.toFixed(3)} ± ${ladder.widthSigmaMm.toFixed(3)} mm wide across ${across} (profile: ${ladder.profileWidthMm.toFixed(3)}), ` +
        `and lines need ${ladder.doseFactor.toFixed(2)} ± ${ladder.doseFactorSigma.toFixed(2)} times the dose that patches need.`,
    );
  }
  return sentences;
}

/** How far the patches lie from the curve, and the farthest of them. */
export function closenessWords({ observations, response }: SwatchFit): [string, string] {
  const off = observations.map(({ dose, lab }, k) => ({ dose, off: lab[0] - response.forecast[k]![0] }));
  const rms = Math.sqrt(off.reduce((sum, each) => sum + each.off ** 2, 0) / off.length);
  const farthest = off.toSorted((a, b) => Math.abs(b.off) - Math.abs(a.off)).slice(0, MOST_RESIDUALS);
  const named = farthest.map(({ dose: { patch, meanJPerMm2 }, off: by }) => {
    const feed = numberWords(mmPerSToMmPerMin(patch.speed_mm_s), 4);
    return `patch ${patch.n} (${feed} mm/min, S${patch.s}, ${numberWords(meanJPerMm2)} J/mm²) ${Math.abs(by).toFixed(1)} ${by > 0 ? 'lighter' : 'darker'}`;
  });
  return [
    `${observations.length} patches lie ${rms.toFixed(1)} from the curve in L*, root mean square; grain and noise explain ${response.chiSquarePerFreedom <= 1.5 ? 'it' : 'only a part of it'}.`,
    `Farthest: ${named.join('; ')}.`,
  ];
}

/** True of every fit, and easily forgotten. */
export const STANDING = [
  'Doses rest on the optical power in the machine profile: if that is a tenth too high, so are they.',
  'The fit holds for this sheet, this focus and this air; burn another swatch when one of them changes.',
] as const;

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);
