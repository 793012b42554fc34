import { useState } from 'preact/hooks';
import { NumberField } from '../bench/NumberField.tsx';
import { Section } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { cutTrial } from './trials.ts';
import { cutWhy } from './why.ts';

export function CutThrough() {
  const [passes, setPasses] = useState(2);
  const [thickness, setThickness] = useState(4);
  const [speed, setSpeed] = useState(360);
  const settings = { passes, thicknessMm: thickness, speedMmPerMin: speed };
  return (
    <Experiment
      id="cut-through"
      question="Why did it not cut through?"
      picture="A cut line, from above"
      trial={cutTrial(settings)}
      beside={({ forecast }) => <Section forecast={forecast} thicknessMm={thickness} />}
      why={({ forecast }) => cutWhy(settings, forecast)}
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
      with full power (5 W), into{' '}
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
