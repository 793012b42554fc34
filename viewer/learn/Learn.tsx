import { Cautions } from '../bench/Bench.tsx';
import { Kept } from '../words/Kept.tsx';
import { Corners } from './Corners.tsx';
import { CutThrough } from './CutThrough.tsx';
import { Focus } from './Focus.tsx';
import { RowEnds } from './RowEnds.tsx';
import { RowSpacing } from './RowSpacing.tsx';
import { SmallFill } from './SmallFill.tsx';
import { TradeOff } from './TradeOff.tsx';

/** Seven short experiments, each on a live forecast: a question, a figure, a sentence. */
export function Learn() {
  return (
    <main class="learn">
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
