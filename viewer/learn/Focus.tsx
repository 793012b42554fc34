import { useState } from 'preact/hooks';
import { rayleighMm, surfaceWidthMm } from '../../src/burn/beam-on-wood.ts';
import { numberWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { Kept } from '../words/Kept.tsx';
import { Waist } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { GANTRY, wattsAt } from './gantry.ts';
import { focusTrial } from './trials.ts';
import { focusWhy } from './why.ts';

export function Focus() {
  const [off, setOff] = useState(3);
  const [percent, setPercent] = useState(60);
  const settings = { offMm: off, percent };
  const beam = { spot: GANTRY.spot, wavelengthNm: GANTRY.laser.wavelength_nm };
  return (
    <Experiment
      id="focus"
      question="What does out of focus look like?"
      picture="Three lines, close up"
      trial={focusTrial(settings)}
      beside={() => <Waist widthMm={surfaceWidthMm(beam)} rayleighMm={rayleighMm(beam)} offMm={off} />}
      why={({ forecast }) => focusWhy(settings, forecast)}
    >
      The board lies{' '}
      <NumberField
        label="distance out of focus"
        unit="mm"
        value={off}
        min={0}
        max={6}
        step={0.1}
        onChange={setOff}
      />{' '}
      below the focus, and lines are drawn at <Kept>1500 mm/min</Kept> with{' '}
      <NumberField
        label="power in the focus experiment"
        unit="%"
        value={percent}
        min={10}
        max={100}
        step={1}
        onChange={setPercent}
      />{' '}
      power (<Kept>{`${numberWords(wattsAt(percent), 2)} W`}</Kept>).
    </Experiment>
  );
}
