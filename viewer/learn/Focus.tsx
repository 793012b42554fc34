import { useState } from 'preact/hooks';
import { rayleighMm, surfaceWidthMm } from '../../src/burn/respond.ts';
import { numberWords } from '../../src/words.ts';
import { NumberField } from '../bench/NumberField.tsx';
import { boardOf, GANTRY, viewOf } from './bench.ts';
import { Waist } from './curves.tsx';
import { Experiment } from './Experiment.tsx';
import { lines } from './jobs.ts';

const BOARD = boardOf(16, 10);
const FIGURE = { ...viewOf(boardOf(10, 6.8), 760), leftMm: 6, bottomMm: 1.6 };

export function Focus() {
  const [off, setOff] = useState(3);
  const [percent, setPercent] = useState(60);
  const machine = { ...GANTRY, spot: { ...GANTRY.spot, focus_z_mm: off } };
  const beam = { spot: machine.spot, wavelengthNm: 450 };
  const width = surfaceWidthMm(beam);
  const best = surfaceWidthMm({ ...beam, spot: GANTRY.spot });
  return (
    <Experiment
      id="focus"
      question="What does out of focus look like?"
      picture="Three lines, close up"
      trial={{
        text: lines(percent * 10, 25, 1, [3, 5, 7]),
        machine,
        stock: BOARD,
        cellMm: 0.03,
        figure: FIGURE,
      }}
      beside={() => <Waist widthMm={best} rayleighMm={rayleighMm(beam)} offMm={off} />}
      why={() => (
        <>
          On the wood the spot is <b>{numberWords(width, 2)} mm</b> wide
          {width > best * 1.02 ? `, not ${numberWords(best, 2)} mm` : ''}. The same energy spread{' '}
          {width > best * 1.02 ? `over ${numberWords(width / best, 2)} times the width` : 'nowhere further'}{' '}
          gives{' '}
          {width > best * 1.02
            ? 'a wider, paler, shallower line'
            : 'the thinnest, darkest line this beam can draw'}
          .
        </>
      )}
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
      below the focus, and lines are drawn at 1500 mm/min with{' '}
      <NumberField
        label="power in the focus experiment"
        unit="%"
        value={percent}
        min={10}
        max={100}
        step={1}
        onChange={setPercent}
      />{' '}
      power.
    </Experiment>
  );
}
