import { mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { comparing, difference, pair } from '../state/beside.ts';
import { onStage, type View, view } from '../state/store.ts';
import { clockWords } from '../words/clock-words.ts';
import { DifferenceScale } from '../words/DifferenceScale.tsx';
import { rangeOf, valueOnScale } from './board.ts';
import { warmestOf } from './cell-maps.ts';
import { MAPS } from './maps.ts';

const CAPTIONS: Record<Exclude<View, 'burn'>, string> = {
  dose: 'dose, J/mm², by ratio',
  speed: 'speed of the last pass, mm/min',
  power: 'emitted power of the last pass, W',
  depth: 'depth, mm, finest where shallow',
  arrival: 'when it was last burned, min:s',
  warmth: 'how much warmer than the room the wood was when the beam came, K',
  sure: 'range of the tone on nine such boards of ten (bare 0, char 1)',
};

/** The scale of the colours in view; nothing where the wood looks like wood. */
export function Legend() {
  const at = onStage.value;
  if (pair.value && comparing.value === 'difference') return <DifferenceLegend />;
  if (view.value === 'burn' || !at) return null;
  const key = view.value;
  const shown = pair.value ?? [at];
  if (key === 'warmth' && shown.every(({ forecast }) => warmestOf(forecast.firings) === 0))
    return <NoWarmth isLeftOut={shown.every(({ setup }) => setup.asked?.cool)} />;
  const range = rangeOf(key, shown);
  const stops = Array.from({ length: 13 }, (_, k) => MAPS[key](k / 12));
  const words = (value: number) =>
    key === 'arrival'
      ? clockWords(value, 0)
      : key === 'speed'
        ? numberWords(mmPerSToMmPerMin(value), 2)
        : numberWords(value, 2);
  return (
    <figure class="legend">
      <div class="ramp" style={{ background: `linear-gradient(to right, ${stops.join(', ')})` }} />
      <div class="marks">
        {[0, 1 / 3, 2 / 3, 1].map((part) => (
          <span key={part}>{words(valueOnScale(key, range, part))}</span>
        ))}
      </div>
      <figcaption>{CAPTIONS[key]}</figcaption>
    </figure>
  );
}

/** A scale would say that there is something to be read by it. */
const NoWarmth = ({ isLeftOut }: { readonly isLeftOut: boolean }) => (
  <figure class="legend">
    <figcaption>
      {isLeftOut
        ? 'warmth is left out of this forecast'
        : 'no wood was warmer than the room when the beam came'}
    </figcaption>
  </figure>
);

function DifferenceLegend() {
  return (
    <figure class="legend">
      <DifferenceScale end={difference.value!.end} where=" in B" />
      <figcaption>difference in tone when all is burned, B − A (bare 0, char 1)</figcaption>
    </figure>
  );
}
