import { useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { type Fitted, fitStopwatch, type StopwatchFit, type Timings } from '../../src/stopwatch/fit.ts';
import { type RunName, stopwatchRuns } from '../../src/stopwatch/runs.ts';
import { numberWords } from '../../src/words.ts';
import { readings } from '../bench/typed-number.ts';
import { downloadText } from '../state/download.ts';
import { setMachine } from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';

/** No listing at hand: three runs in the dark are timed by hand, and what they tell is fitted. */
export function Stopwatch({ machine }: { readonly machine: Machine }) {
  const [typed, setTyped] = useState<Partial<Record<RunName, string>>>({});
  const [fit, setFit] = useState<StopwatchFit | null>(null);
  const [refusal, setRefusal] = useState<string | null>(null);
  const work = () => {
    try {
      setFit(fitStopwatch(machine, timingsOf(typed)));
      setRefusal(null);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      setFit(null);
      setRefusal(error.toString());
    }
  };
  return (
    <details class="stopwatch">
      <summary>
        <h2>No listing? A stopwatch will do</h2>
      </summary>
      <p>
        Save a run, send it to the machine with the head in the middle of the bed, and time it from its first
        move to its last. The beam stays off, and each run needs a few millimetres of room. Timed more than
        once, write the times one after another: 27.4 27.6.
      </p>
      <ol class="runs">
        {stopwatchRuns(machine).map(({ name, about, text }) => (
          <li key={name}>
            <span>
              <b>{name === 'corners' ? 'In corners' : `A${name.slice(1)}`}</b>: <Kept>{about}</Kept>.
            </span>{' '}
            <button
              type="button"
              class="link"
              aria-label={`save the run ${name}`}
              onClick={() => downloadText(`stopwatch-${name.replace(' ', '-')}.nc`, text)}
            >
              save
            </button>{' '}
            <label>
              took{' '}
              <input
                type="text"
                inputMode="decimal"
                size={9}
                autoComplete="off"
                aria-label={`seconds of the run ${name}`}
                value={typed[name] ?? ''}
                onInput={(event) => setTyped({ ...typed, [name]: event.currentTarget.value })}
              />{' '}
              s
            </label>
          </li>
        ))}
      </ol>
      <p class="acts">
        <button type="button" class="press" onClick={work}>
          Work it out
        </button>
      </p>
      {refusal ? (
        <p class="over" role="alert">
          <Kept>{refusal}</Kept>
        </p>
      ) : null}
      {fit ? (
        <div role="status">
          {fit.fitted.map((each) => (
            <p key={each.field}>
              <Kept>{fittedWords(each)}</Kept>
            </p>
          ))}
          {fit.fitted.some(({ isTold }) => isTold) ? (
            <p>
              <button
                type="button"
                class="press"
                onClick={() => {
                  setMachine(fit.machine);
                  setFit(null);
                }}
              >
                Take these numbers
              </button>
            </p>
          ) : null}
        </div>
      ) : null}
    </details>
  );
}

function timingsOf(typed: Partial<Record<RunName, string>>): Timings {
  const timings: Partial<Record<RunName, readonly number[]>> = {};
  for (const [name, text] of Object.entries(typed) as [RunName, string][]) {
    const words = text
      .trim()
      .split(/[\s;]+/)
      .filter((word) => word !== '' && word !== 's');
    const seconds = words.map((word) => {
      const [value] = readings(word.replace(/s$/, ''));
      if (value === undefined)
        throw new InputError(`found “${word}” for the run ${name}; expected its seconds, as in 27.4`);
      return value;
    });
    if (seconds.length > 0) timings[name] = seconds;
  }
  return timings;
}

const NAMES = {
  'acceleration along x': 'It gathers speed along x at',
  'acceleration along y': 'It gathers speed along y at',
} as const;

function fittedWords({ field, value, unit, plusMinusPart, isTold }: Fitted): string {
  const name =
    field === 'corner'
      ? unit === 'mm'
        ? 'At corners it keeps within'
        : 'At corners it changes speed at once by'
      : NAMES[field];
  const percent = numberWords(plusMinusPart * 100, 2);
  return isTold
    ? `${name} ${numberWords(value, 2)} ${unit}, give or take ${percent} %.`
    : `The time hardly depends on the ${field}, so a hand on a stopwatch cannot tell it.`;
}
