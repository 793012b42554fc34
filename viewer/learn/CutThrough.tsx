import { useState } from 'preact/hooks';
import { passesToCut } from '../../src/burn/respond.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { boardOf, GANTRY, viewOf, WOOD } from './bench.ts';
import { Section } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { lines } from './jobs.ts';

const FIGURE = { ...viewOf(boardOf(10, 6.8), 760), leftMm: 6, bottomMm: -0.4 };

export function CutThrough() {
  const [passes, setPasses] = useState(2);
  const [thickness, setThickness] = useState(4);
  const [speed, setSpeed] = useState(300);
  const stock = boardOf(16, 6, thickness);
  return (
    <Experiment
      id="cut-through"
      question="Why did it not cut through?"
      picture="A cut line, from above"
      trial={{
        text: lines(1000, mmPerMinToMmPerS(speed), passes, [3]),
        machine: GANTRY,
        stock,
        cellMm: 0.03,
        figure: FIGURE,
      }}
      beside={(scene) => <Section scene={scene} thicknessMm={thickness} />}
      why={(scene) => {
        const deepest = scene.forecast.burn.depthMm.reduce((most, depth) => Math.max(most, depth), 0);
        const peak = scene.forecast.dose.grid.data.reduce((most, dose) => Math.max(most, dose), 0);
        const dwellS = Math.min(...GANTRY.spot.width_mm) / mmPerMinToMmPerS(speed);
        const enough = Math.max(
          passes + 1,
          passesToCut(peak / passes, dwellS, thickness, WOOD, beamOf(GANTRY)),
        );
        return deepest >= thickness - 1e-3 ? (
          <>
            Through. Passes add up, but each one deeper down has less to give: walls, smoke and a widening
            beam take their share.
          </>
        ) : (
          <>
            It ends <b>{numberWords(thickness - deepest, 2)} mm</b> above the back.{' '}
            {Number.isFinite(enough)
              ? `At this speed it takes ${enough} passes; slower counts as much as more often.`
              : 'At this speed no number of passes would do.'}
          </>
        );
      }}
    >
      A line is cut{' '}
      <NumberField label="passes" value={passes} min={1} max={30} step={1} whole onChange={setPasses} />{' '}
      {passes === 1 ? 'time' : 'times'} at{' '}
      <NumberField
        label="speed in the cutting experiment"
        unit="mm/min"
        value={speed}
        min={60}
        max={1500}
        step={20}
        onChange={setSpeed}
      />{' '}
      with full power, into{' '}
      <NumberField
        label="thickness"
        unit="mm"
        value={thickness}
        min={1}
        max={8}
        step={0.1}
        onChange={setThickness}
      />{' '}
      of poplar.
    </Experiment>
  );
}
