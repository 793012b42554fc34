import { useMemo } from 'preact/hooks';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import type { Forecast } from '../../src/forecast.ts';
import { numberWords } from '../../src/words.ts';
import { Kept } from '../words/Kept.tsx';

/** More cuts than these are not listed one by one. */
const MOST_LISTED = 4;

/** Whether it cuts through: of every operation that is meant to, or of the deepest place where none is. */
export function Cuts({ of, waiting }: { readonly of: Forecast; readonly waiting: boolean }) {
  const lines = useMemo(() => cutWords(of), [of]);
  if (lines.length === 0) return null;
  return (
    <p class={waiting ? 'cuts waiting' : 'cuts'}>
      {lines.map((line) => (
        <span key={line} class="line">
          <Kept>{line}</Kept>
        </span>
      ))}
    </p>
  );
}

/** One sentence for each cut, of many only for those that fail; nothing where the thickness is not known. */
export function cutWords({
  cuts,
  burn,
  stock,
}: Pick<Forecast, 'cuts' | 'stock'> & {
  readonly burn: Pick<Forecast['burn'], 'depthMm' | 'through'>;
}): string[] {
  const thicknessMm = stock?.thicknessMm ?? null;
  if (thicknessMm === null) return [];
  if (cuts.length > 0) {
    const failing = cuts.filter(({ through }) => !through);
    if (cuts.length <= MOST_LISTED) return cuts.map(cutSentence);
    if (failing.length === 0) return [`All ${cuts.length} cuts come through everywhere.`];
    const well = cuts.length - failing.length;
    return [
      ...failing.slice(0, MOST_LISTED).map(cutSentence),
      `${well === 0 ? 'None' : well} of the ${cuts.length} cuts ${well === 1 ? 'comes' : 'come'} through everywhere.`,
    ];
  }
  const board = `${numberWords(thicknessMm, 3)} mm`;
  if (burn.through?.includes(1))
    return [`Some places come through the ${board}, though nothing looks like a cut.`];
  const deepest = burn.depthMm.reduce((most, depth) => Math.max(most, depth), 0);
  if (deepest < 0.005) return [];
  return [
    `Nothing comes through the ${board}: it is ${numberWords(deepest, 2)} mm deep where it is deepest.`,
  ];
}
