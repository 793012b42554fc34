import { useState } from 'preact/hooks';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import { MODES } from './Corners.tsx';
import { SpeedAndPower } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import type { Mode } from './jobs.ts';
import { rowEndTrial } from './trials.ts';
import { rowEndWhy } from './why.ts';

export function RowEnds() {
  const [overscan, setOverscan] = useState(0);
  const [speed, setSpeed] = useState(3000);
  const [mode, setMode] = useState<Mode>('constant');
  const settings = { speedMmPerMin: speed, overscanMm: overscan, mode };
  return (
    <Experiment
      id="row-ends"
      question="Why do rows burn dark at their ends?"
      picture="A basil sprig, engraved in rows"
      trial={rowEndTrial(settings)}
      beside={({ forecast }) => <SpeedAndPower forecast={forecast} seconds={2.4} />}
      why={({ forecast }) => rowEndWhy(settings, forecast)}
    >
      Rows run at{' '}
      <NumberField
        label="speed in the row end experiment"
        unit="mm/min"
        value={speed}
        min={600}
        max={6000}
        step={100}
        digits={5}
        onChange={setSpeed}
      />{' '}
      and turn{' '}
      <NumberField
        label="overscan in the row end experiment"
        unit="mm"
        value={overscan}
        min={0}
        max={8}
        step={0.1}
        onChange={setOverscan}
      />{' '}
      beyond the leaf, with{' '}
      <Choice label="power mode in the row end experiment" value={mode} options={MODES} onChange={setMode} />{' '}
      power.
    </Experiment>
  );
}
