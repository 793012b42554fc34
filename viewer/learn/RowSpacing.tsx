import { useState } from 'preact/hooks';
import { NumberField } from '../bench/NumberField.tsx';
import { Profile } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { WOOD } from './gantry.ts';
import { rowSpacingTrial } from './trials.ts';
import { rowSpacingWhy } from './why.ts';

export function RowSpacing() {
  const [spacing, setSpacing] = useState(0.3);
  const [width, setWidth] = useState(0.18);
  const settings = { spacingMm: spacing, spotMm: width };
  const trial = rowSpacingTrial(settings);
  return (
    <Experiment
      id="row-spacing"
      question="Lines, or a plane?"
      picture="Rows of a filled patch, close up"
      trial={trial}
      beside={({ forecast }) => (
        <Profile forecast={forecast} figure={trial.figure} needed={WOOD.first_mark_j_mm2.value} />
      )}
      why={({ forecast }) => rowSpacingWhy(settings, forecast)}
    >
      Rows lie{' '}
      <NumberField
        label="row spacing"
        unit="mm"
        value={spacing}
        min={0.04}
        max={0.6}
        step={0.01}
        onChange={setSpacing}
      />{' '}
      apart under a spot{' '}
      <NumberField
        label="spot width across the rows"
        unit="mm"
        value={width}
        min={0.05}
        max={0.5}
        step={0.01}
        onChange={setWidth}
      />{' '}
      wide.
    </Experiment>
  );
}
