import { useState } from 'preact/hooks';
import { numberWords } from '../../src/words.ts';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import type { Scene } from '../worker/messages.ts';
import { boardOf, GANTRY, viewOf } from './bench.ts';
import { SpeedAndPower } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { label, type Mode } from './jobs.ts';

const BOARD = boardOf(38, 18);
const FIGURE = viewOf(BOARD, 1140);
export const MODES = [
  ['constant', 'constant'],
  ['proportional', 'proportional'],
] as const;

/** Greatest dose on the path over the middle one: how much darker the darkest place is. */
function unevenness({ forecast }: Scene): number {
  const { data } = forecast.dose.grid;
  const marked = data.filter((dose) => dose > 0.3).sort();
  return marked.length === 0 ? 1 : marked[marked.length - 1]! / marked[Math.floor(marked.length * 0.7)]!;
}

export function Corners() {
  const [acceleration, setAcceleration] = useState(300);
  const [speed, setSpeed] = useState(1800);
  const [mode, setMode] = useState<Mode>('constant');
  const machine = {
    ...GANTRY,
    acceleration_mm_s2: [acceleration, acceleration, 50] as [number, number, number],
  };
  return (
    <Experiment
      id="corners"
      question="Why do corners burn dark?"
      picture="A seed label with a scored outline"
      trial={{ text: label(400, speed, mode), machine, stock: BOARD, cellMm: 0.05, figure: FIGURE }}
      beside={(scene) => <SpeedAndPower scene={scene} />}
      why={(scene) => {
        const times = unevenness(scene);
        return mode === 'constant' ? (
          <>
            The head must slow down to turn, and constant power keeps pouring: the corners get up to{' '}
            <b>{numberWords(times, 2)} times</b> the dose of the long sides. A stiffer machine slows down for
            a shorter stretch.
          </>
        ) : (
          <>
            Proportional power falls with the speed, so every millimetre gets the same energy, in a corner as
            on a side.
          </>
        );
      }}
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
