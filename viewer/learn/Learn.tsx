import { useEffect, useRef } from 'preact/hooks';
import { Cautions } from '../bench/Bench.tsx';
import { Kept } from '../words/Kept.tsx';
import { Corners } from './Corners.tsx';
import { CutThrough } from './CutThrough.tsx';
import { Focus } from './Focus.tsx';
import { RowEnds } from './RowEnds.tsx';
import { RowSpacing } from './RowSpacing.tsx';
import { SmallFill } from './SmallFill.tsx';
import { TradeOff } from './TradeOff.tsx';

const topOf = (part: Element): number => part.getBoundingClientRect().top;

/**
 * Where a phone begins the whole page scrolls instead of the article, and each begins at its top: what was being read is
 * brought back to where it was.
 */
function keepReading(article: HTMLElement): () => void {
  let reading: { readonly part: Element; readonly topPx: number } | null = null;
  let isAsked = false;
  const look = () => {
    isAsked = false;
    // What is being read is the first part that reaches below the upper edge.
    const part = [...article.children].find((each) => each.getBoundingClientRect().bottom > 0);
    reading = part ? { part, topPx: topOf(part) } : null;
  };
  const scrolled = () => {
    if (isAsked) return;
    isAsked = true;
    requestAnimationFrame(look);
  };
  const column = matchMedia(IN_ONE_COLUMN);
  const bringBack = () => {
    const was = reading;
    if (!was) return;
    const by = topOf(was.part) - was.topPx;
    if (column.matches) scrollBy(0, by);
    else article.scrollBy(0, by);
  };
  document.addEventListener('scroll', scrolled, { capture: true, passive: true });
  column.addEventListener('change', bringBack);
  return () => {
    document.removeEventListener('scroll', scrolled, { capture: true });
    column.removeEventListener('change', bringBack);
  };
}

/** As the style sheet has it. */
const IN_ONE_COLUMN = '(max-width: 47.5em) and (min-height: 28.01em), (max-width: 35em)';

/** Seven short experiments, each on a live forecast: a question, a figure, a sentence. */
export function Learn() {
  const article = useRef<HTMLElement>(null);
  useEffect(() => keepReading(article.current!), []);
  return (
    <main class="learn" ref={article}>
      <h1>Why wood burns the way it does</h1>
      <p class="lead">
        Seven questions. In each, drag a number in the sentence and watch the wood: nothing here can catch
        fire. Whatever lies on the bench, all of this is burned by a small gantry with a laser of{' '}
        <Kept>5 W</Kept>, into <Kept>4 mm</Kept> poplar plywood, by the same forecast as there. Dose, in
        J/mm², is the heat that each square millimetre of wood gets, in joules.
      </p>
      <Corners />
      <RowEnds />
      <TradeOff />
      <RowSpacing />
      <SmallFill />
      <Focus />
      <CutThrough />
      <Cautions />
    </main>
  );
}
