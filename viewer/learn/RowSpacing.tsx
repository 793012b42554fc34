import { useState } from 'preact/hooks';
import { rowRipple } from '../../src/chart/rows.ts';
import { percentWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { boardOf, GANTRY, viewOf, WOOD } from './bench.ts';
import { Profile } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { patch } from './jobs.ts';

const BOARD = boardOf(10, 6);
const FIGURE = { ...viewOf(boardOf(5, 3.4), 760), leftMm: 2.6, bottomMm: 1.3 };

export function RowSpacing() {
  const [spacing, setSpacing] = useState(0.3);
  const [width, setWidth] = useState(0.18);
  const machine = { ...GANTRY, spot: { ...GANTRY.spot, width_mm: [0.12, width] as [number, number] } };
  const ripple = rowRipple(machine.spot, spacing).peakToValley;
  return (
    <Experiment
      id="row-spacing"
      question="Lines, or a plane?"
      picture="Rows of a filled patch, close up"
      trial={{ text: patch(8, 2.4, 800, 2000, spacing), machine, stock: BOARD, cellMm: 0.02, figure: FIGURE }}
      beside={(scene) => <Profile scene={scene} needed={WOOD.first_mark_j_mm2.value} />}
      why={() =>
        ripple > 0.15 ? (
          <>
            From a row to the gap beside it the dose falls by{' '}
            <b>{percentWords(Math.min(1, Math.round(ripple * 100) / 100))}</b> of its mean: the spot is too
            narrow to reach over, and wood stands between the lines.
          </>
        ) : (
          <>
            At about half the spot’s width the rows run together; the dose swings by only{' '}
            <b>{percentWords(Math.round(ripple * 1000) / 1000)}</b> of its mean. Closer still costs time and
            darkens all of it.
          </>
        )
      }
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
