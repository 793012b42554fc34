import { useState } from 'preact/hooks';
import { numberWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { Kept } from '../words/Kept.tsx';
import { Experiment } from './Experiment.tsx';
import { wattsAt } from './gantry.ts';
import { SpeedPower } from './SpeedPower.tsx';
import { TRADE_OFF_ROWS_MM, tradeOffTrial } from './trials.ts';
import { tradeOffWhy } from './why.ts';

export function TradeOff() {
  const [speed, setSpeed] = useState(3000);
  const [percent, setPercent] = useState(60);
  const settings = { speedMmPerMin: speed, percent };
  return (
    <Experiment
      id="speed-power"
      question="Slower, or stronger?"
      picture="A patch burned with these settings"
      trial={tradeOffTrial(settings)}
      beside={() => (
        <SpeedPower
          speedMmPerMin={speed}
          percent={percent}
          rowSpacingMm={TRADE_OFF_ROWS_MM}
          onChange={(nextSpeed, nextPercent) => {
            setSpeed(nextSpeed);
            setPercent(nextPercent);
          }}
        />
      )}
      why={({ forecast }) => tradeOffWhy(forecast)}
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
      power (<Kept>{`${numberWords(wattsAt(percent), 2)} W`}</Kept>). Drag the point.
    </Experiment>
  );
}
