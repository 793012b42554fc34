import { useMemo } from 'preact/hooks';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { engravingSentence } from '../../src/findings/evidence/engravings.ts';
import type { Forecast } from '../../src/forecast.ts';
import { partWords } from '../../src/sure/words.ts';
import { numberWords } from '../../src/words.ts';
import { Kept } from '../words/Kept.tsx';

/** More cuts than these are not listed one by one. */
const MOST_LISTED = 4;

/** What becomes of what is engraved, and whether it cuts through, with how sure that is. */
export function Cuts({ of, waiting }: { readonly of: Forecast; readonly waiting: boolean }) {
  const lines = useMemo(() => [...engravedWords(of), ...cutWords(of)], [of]);
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

/** One sentence for each engraving, of many none: they are listed in the report. */
export const engravedWords = ({ engravings }: Pick<Forecast, 'engravings'>): string[] =>
  engravings.length > MOST_LISTED ? [] : engravings.map(engravingSentence);

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
    const failing = cuts.filter(({ chanceThrough, sure }) => chanceThrough < sure);
    const onBoards = `through on ${partWords(cuts[0]!.sure)} such boards`;
    if (cuts.length <= MOST_LISTED) return cuts.map(cutSentence);
    if (failing.length === 0) return [`All ${cuts.length} cuts come ${onBoards}.`];
    const well = cuts.length - failing.length;
    return [
      ...failing.slice(0, MOST_LISTED).map(cutSentence),
      `${well === 0 ? 'None' : well} of the ${cuts.length} cuts ${well === 1 ? 'comes' : 'come'} ${onBoards}.`,
    ];
  }
  const board = `${numberWords(thicknessMm, 3)} mm`;
  if (burn.through?.includes(1))
    return [`Some places come through the ${board}, though nothing looks like a cut.`];
  let deepest = 0;
  for (let k = 0; k < burn.depthMm.length; k++) deepest = Math.max(deepest, burn.depthMm[k]!);
  if (deepest < 0.005) return [];
  return [
    `Nothing comes through the ${board}: it is about ${numberWords(deepest, 2)} mm deep where it is deepest.`,
  ];
}
