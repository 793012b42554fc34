import { useState } from 'preact/hooks';
import type { Material } from '../../src/burn/material.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { Choice } from '../bench/Choice.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import type { Mode } from '../learn/jobs.ts';
import { cornerTrial, rowEndTrial } from '../learn/trials.ts';
import { Burned } from './Burned.tsx';

interface LiveBurnProps {
  readonly machine: Machine;
  readonly material: Material;
}

/** A corner and the ends of rows as this machine burns them: the two places where its numbers show most. */
export function LiveBurn({ machine, material }: LiveBurnProps) {
  const [outline, setOutline] = useState(1200);
  const [rows, setRows] = useState(3000);
  const [mode, setMode] = useState<Mode>('constant');
  // The little jobs are written for S up to 1000, and lie in focus.
  const own = {
    ...machine,
    laser: { ...machine.laser, s_max: 1000 },
    spot: { ...machine.spot, focus_z_mm: 0 },
  };
  const corner = cornerTrial({ speedMmPerMin: outline, accelerationMmPerS2: 1, mode });
  const ends = rowEndTrial({ speedMmPerMin: rows, overscanMm: 0, mode });
  return (
    <>
      <p>
        A label scored at{' '}
        <NumberField
          label="speed of the label"
          unit="mm/min"
          value={outline}
          min={100}
          max={12_000}
          step={100}
          digits={5}
          onChange={setOutline}
        />{' '}
        and a leaf in rows at{' '}
        <NumberField
          label="speed of the leaf"
          unit="mm/min"
          value={rows}
          min={100}
          max={24_000}
          step={100}
          digits={5}
          after=","
          onChange={setRows}
        />{' '}
        with{' '}
        <Choice
          label="power mode of both"
          value={mode}
          options={[
            ['constant', 'constant'],
            ['proportional', 'proportional'],
          ]}
          onChange={setMode}
        />{' '}
        power:
      </p>
      <div class="live-burn">
        <Burned
          id="machine corner"
          what="The corners of a scored label"
          trial={{ ...corner, machine: own, material }}
        />
        <Burned
          id="machine rows"
          what="The row ends of an engraved leaf"
          trial={{ ...ends, machine: own, material }}
        />
      </div>
    </>
  );
}
