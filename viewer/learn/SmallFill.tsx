import { useState } from 'preact/hooks';
import { NumberField } from '../bench/NumberField.tsx';
import { Experiment } from './Experiment.tsx';
import { smallFillTrial } from './trials.ts';
import { smallFillWhy } from './why.ts';

export function SmallFill() {
  const [size, setSize] = useState(5);
  const [percent, setPercent] = useState(100);
  const settings = { sizeMm: size, percent };
  return (
    <Experiment
      id="small-fill"
      question="Why do small letters burn darker?"
      picture="A small square in rows, and a long strip of the same height"
      trial={smallFillTrial(settings)}
      why={({ forecast }) => smallFillWhy(settings, forecast)}
    >
      A square as small as a letter,{' '}
      <NumberField
        label="side of the square"
        unit="mm"
        value={size}
        min={1.5}
        max={9}
        step={0.5}
        onChange={setSize}
      />{' '}
      high, and long rows beside it at the same speed, the square with{' '}
      <NumberField
        label="power on the square"
        unit="%"
        value={percent}
        min={60}
        max={110}
        step={1}
        onChange={setPercent}
      />{' '}
      of their power.
    </Experiment>
  );
}
