import { INPUT_WORDS, type Shares } from '../../sure/contributions.ts';
import { boardsWords } from '../../sure/words.ts';
import { percentWords } from '../../words.ts';
import type { CutForecast } from './cut-forecast.ts';
import type { EngravingForecast } from './engravings.ts';

/** Chances nearer to none or all than this are as good as settled. */
const SETTLED = 0.015;
/** A tone that may be this much more or less is worth a word. */
const WIDE = 0.15;

/**
 * What would help most to know better: of the cut that is least sure, else of the tone with the widest range. One sentence;
 * null where all is known well enough.
 * @param isGuess whether the wood's numbers are partly guesses, so that a swatch would help.
 */
export function whatHelps(
  cuts: readonly CutForecast[],
  engravings: readonly EngravingForecast[],
  isGuess: boolean,
): string | null {
  const [cut] = cuts
    .filter(
      ({ chanceThrough, sure, because }) =>
        chanceThrough > SETTLED && chanceThrough < sure && because.length > 0,
    )
    .sort((a, b) => Math.abs(a.chanceThrough - 0.5) - Math.abs(b.chanceThrough - 0.5));
  if (cut) return cutHelp(cut, isGuess);
  const [engraving] = engravings
    .filter(({ toneLow, toneHigh, because }) => toneHigh - toneLow >= WIDE && because.length > 0)
    .sort((a, b) => b.toneHigh - b.toneLow - (a.toneHigh - a.toneLow));
  return engraving ? toneHelp(engraving, isGuess) : null;
}

function cutHelp(
  { operation, because, chanceThrough, withSwatch: [better, worse] }: CutForecast,
  isGuess: boolean,
) {
  const made = `Whether operation ${operation} comes through: ${mostWords(because)}`;
  if (because[0]![0] === 'thickness') return `${made}; measure it.`;
  const [now, up, down] = [chanceThrough, better, worse].map((chance) => boardsWords(chance));
  // What may come out as it is told already is no news.
  if (!isGuess || up === now || down === now) return `${made}.`;
  return `${made}; a burned swatch would bring ${now} to ${up} or to ${down}.`;
}

function toneHelp({ operation, because, leftBySwatch: left }: EngravingForecast, isGuess: boolean): string {
  const made = `How dark operation ${operation} comes out: ${mostWords(because)}`;
  if (!isGuess || left > 0.7) return `${made}.`;
  return `${made}; a burned swatch would leave about ${percentWords(Math.round(left * 20) / 20)} of the range.`;
}

/** *the wood’s removal energy makes up 70 % of what is not known* */
function mostWords([most]: Shares): string {
  const [input, share] = most!;
  return `${INPUT_WORDS[input]} makes up ${percentWords(Math.round(share * 20) / 20)} of what is not known`;
}
