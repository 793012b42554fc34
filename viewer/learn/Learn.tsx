import { Cautions } from '../bench/Bench.tsx';
import { Corners } from './Corners.tsx';
import { CutThrough } from './CutThrough.tsx';
import { Focus } from './Focus.tsx';
import { RowEnds } from './RowEnds.tsx';
import { RowSpacing } from './RowSpacing.tsx';
import { TradeOff } from './TradeOff.tsx';

/** Six short experiments, each on a live forecast: a question, a figure, a sentence. */
export function Learn() {
  return (
    <main class="learn">
      <h1>Why wood burns the way it does</h1>
      <p class="lead">
        Six questions. In each, drag a number in the sentence and watch the wood: nothing here can catch fire.
        All of it is burned on a small gantry of 5 W, in 4 mm poplar plywood, by the same forecast as on the
        bench.
      </p>
      <Corners />
      <RowEnds />
      <TradeOff />
      <RowSpacing />
      <Focus />
      <CutThrough />
      <Cautions />
    </main>
  );
}
