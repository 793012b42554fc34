import { useState } from 'preact/hooks';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import { boardOf, GANTRY, viewOf } from './bench.ts';
import { MODES } from './Corners.tsx';
import { SpeedAndPower } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { type Mode, sprig } from './jobs.ts';

const BOARD = boardOf(20, 13.4);
const FIGURE = viewOf(BOARD, 1000);

export function RowEnds() {
  const [overscan, setOverscan] = useState(0);
  const [speed, setSpeed] = useState(3000);
  const [mode, setMode] = useState<Mode>('constant');
  const neededMm = mmPerMinToMmPerS(speed) ** 2 / (2 * GANTRY.acceleration_mm_s2[0]);
  return (
    <Experiment
      id="row-ends"
      question="Why do rows burn dark at their ends?"
      picture="A basil sprig, engraved in rows"
      trial={{
        text: sprig(600, speed, mode, overscan),
        machine: GANTRY,
        stock: BOARD,
        cellMm: 0.06,
        figure: FIGURE,
      }}
      beside={(scene) => <SpeedAndPower scene={scene} seconds={2.4} />}
      why={() =>
        overscan >= neededMm ? (
          <>
            To turn from this speed the head needs v² ÷ 2a = <b>{numberWords(neededMm, 2)} mm</b>; now it
            turns beyond the leaf with the beam off, and the leaf is even.
          </>
        ) : mode === 'proportional' ? (
          <>
            With proportional power the ends stay even, though the head turns on the leaf;{' '}
            <b>{numberWords(neededMm, 2)} mm</b> of overscan would keep it at full speed there, and in time
            with the beam.
          </>
        ) : (
          <>
            To turn from this speed the head needs v² ÷ 2a = <b>{numberWords(neededMm, 2)} mm</b>. What
            overscan does not give, it takes from the leaf: it brakes with the beam on, and the ends char.
          </>
        )
      }
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
