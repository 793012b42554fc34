import { useState } from 'preact/hooks';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import { SpeedAndPower } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import type { Mode } from './jobs.ts';
import { cornerTrial } from './trials.ts';
import { cornerWhy } from './why.ts';

export const MODES = [
  ['constant', 'constant'],
  ['proportional', 'proportional'],
] as const;

export function Corners() {
  const [acceleration, setAcceleration] = useState(300);
  const [speed, setSpeed] = useState(1800);
  const [mode, setMode] = useState<Mode>('constant');
  const settings = { speedMmPerMin: speed, accelerationMmPerS2: acceleration, mode };
  return (
    <Experiment
      id="corners"
      question="Why do corners burn dark?"
      picture="A seed label with a scored outline"
      trial={cornerTrial(settings)}
      beside={({ forecast }) => <SpeedAndPower forecast={forecast} />}
      why={({ forecast }) => cornerWhy(settings, forecast)}
    >
      A label is scored at{' '}
      <NumberField
        label="speed in the corner experiment"
        unit="mm/min"
        value={speed}
        min={300}
        max={6000}
        step={100}
        digits={5}
        onChange={setSpeed}
      />{' '}
      by a machine that gathers speed at{' '}
      <NumberField
        label="acceleration in the corner experiment"
        unit="mm/s²"
        value={acceleration}
        min={50}
        max={5000}
        step={50}
        digits={5}
        after=","
        onChange={setAcceleration}
      />{' '}
      with{' '}
      <Choice label="power mode in the corner experiment" value={mode} options={MODES} onChange={setMode} />{' '}
      power.
    </Experiment>
  );
}
