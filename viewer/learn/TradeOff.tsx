import { useState } from 'preact/hooks';
import { speedPower } from '../../src/burn/speed-power.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { boardOf, GANTRY, viewOf, WOOD } from './bench.ts';
import { Experiment } from './Experiment.tsx';
import { patch } from './jobs.ts';
import { SpeedPower } from './SpeedPower.tsx';

const BOARD = boardOf(14, 10);
const FIGURE = viewOf(BOARD, 700);
const ROWS_MM = 0.1;

export function TradeOff() {
  const [speed, setSpeed] = useState(3000);
  const [percent, setPercent] = useState(60);
  const watts = (percent / 100) * GANTRY.laser.optical_power_w;
  const { doseJPerMm2, region } = speedPower({
    machine: GANTRY,
    material: WOOD,
    thicknessMm: 4,
    use: { kind: 'rows', rowSpacingMm: ROWS_MM },
    passes: 1,
  }).outcome(mmPerMinToMmPerS(speed), watts);
  return (
    <Experiment
      id="speed-power"
      question="Slower, or stronger?"
      picture="A patch burned with these settings"
      trial={{
        text: patch(10, 6, percent * 10, speed, ROWS_MM),
        machine: GANTRY,
        stock: BOARD,
        cellMm: 0.06,
        figure: FIGURE,
      }}
      beside={() => (
        <SpeedPower
          speedMmPerMin={speed}
          percent={percent}
          rowSpacingMm={ROWS_MM}
          onChange={(nextSpeed, nextPercent) => {
            setSpeed(nextSpeed);
            setPercent(nextPercent);
          }}
        />
      )}
      why={() => (
        <>
          What counts is power over speed and row spacing: <b>{numberWords(doseJPerMm2, 2)} J/mm²</b>,{' '}
          {region === 'no mark' ? 'too little for a mark' : region}. Follow the dashed line: half the power at
          half the speed burns nearly alike, only later.
        </>
      )}
    >
      A patch is filled with rows 0.1 mm apart at{' '}
      <NumberField
        label="speed in the trade-off experiment"
        unit="mm/min"
        value={speed}
        min={300}
        max={6000}
        step={50}
        digits={5}
        onChange={setSpeed}
      />{' '}
      with{' '}
      <NumberField
        label="power in the trade-off experiment"
        unit="%"
        value={percent}
        min={4}
        max={100}
        step={1}
        onChange={setPercent}
      />{' '}
      power. Drag the point.
    </Experiment>
  );
}
