import { useState } from 'preact/hooks';
import type { CutForecast } from '../../src/findings/evidence/cut-forecast.ts';
import { numberWords } from '../../src/words.ts';
import { downloadText } from '../state/download.ts';
import { settled, wished } from '../state/store.ts';
import { refuseSettings, trouble } from '../state/trouble.ts';
import { nameWith } from '../words/file-name.ts';
import { Kept } from '../words/Kept.tsx';
import { type ErrandResults, runErrand } from '../worker/errand.ts';
import type { Setup } from '../worker/messages.ts';
import { NumberField } from './NumberField.tsx';

interface FinishCutProps {
  readonly cuts: readonly CutForecast[];
  readonly thicknessMm: number;
  /** What was said of one of them already. */
  readonly told?: { readonly operation: number; readonly depthMm: number };
}

/** A finishing job, and the bench that it was written for. */
interface Made {
  readonly of: Setup;
  readonly finish: ErrandResults['finish'];
}

/** A cut that was burned and did not come through: how far it came, and the job that finishes it on the same board. */
export function FinishCut({ cuts, thicknessMm, told }: FinishCutProps) {
  const [operation, setOperation] = useState(told?.operation ?? cuts.at(-1)!.operation);
  const [reachedMm, setReached] = useState(told?.depthMm ?? thicknessMm / 2);
  const [made, setMade] = useState<Made | null>(null);
  const [working, setWorking] = useState(false);
  const isReady = settled.value && !working;
  const write = async (): Promise<void> => {
    const of = wished.peek();
    if (!of) return;
    setWorking(true);
    trouble.value = null;
    try {
      const said = `${operation}: ${numberWords(reachedMm, 3)} mm`;
      setMade({ of, finish: await runErrand({ errand: 'finish', setup: of, told: said }) });
    } catch (error) {
      refuseSettings('Not written', error);
    } finally {
      setWorking(false);
    }
  };
  const shown = made !== null && made.of === wished.value ? made : null;
  return (
    <details class="finish">
      <summary>It was burned and did not come through</summary>
      <p>
        {cuts.length > 1 ? (
          <label>
            The cut of operation{' '}
            <select
              value={operation}
              onChange={({ currentTarget }) => setOperation(Number(currentTarget.value))}
            >
              {cuts.map(({ operation: n }) => (
                <option key={n} value={n}>
                  {n}
                </option>
              ))}
            </select>
          </label>
        ) : (
          `The cut of operation ${operation}`
        )}{' '}
        came{' '}
        <NumberField
          label="depth that the cut reached, mm"
          value={reachedMm}
          unit="mm"
          min={0.1}
          max={thicknessMm * 0.99}
          step={0.1}
          digits={2}
          onChange={setReached}
        />{' '}
        deep where it is shallowest, measured with a thin stick. Leave the board clamped.
      </p>
      <p class="acts">
        <button type="button" class="press" aria-disabled={!isReady} onClick={() => isReady && void write()}>
          Write the job that finishes it
        </button>
      </p>
      <div role="status">
        {working ? <p class="quiet">Working it out …</p> : null}
        {shown ? <Written made={shown} /> : null}
      </div>
    </details>
  );
}

function Written({ made: { of, finish } }: { readonly made: Made }) {
  const name = nameWith(of.job.name, '-finish');
  return (
    <>
      <p>
        <Kept>{finish.sentences.join(' ')}</Kept>
      </p>
      <ul>
        {finish.before.map((each) => (
          <li key={each}>
            <Kept>{each}</Kept>
          </li>
        ))}
      </ul>
      <p class="acts">
        <button type="button" class="press" onClick={() => downloadText(name, finish.text)}>
          Save the finishing job
        </button>
      </p>
    </>
  );
}
