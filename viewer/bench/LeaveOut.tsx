import { useState } from 'preact/hooks';
import { downloadText } from '../state/download.ts';
import { isLeavingOut, leaveOut, leftOutNotKept, putBackLeftOut, shortened } from '../state/leave-out.ts';
import { changes, operations } from '../state/store.ts';
import { Said } from '../words/Said.tsx';
import { Choice } from './Choice.tsx';

const WAYS = [
  ['out', 'leave out'],
  ['only', 'burn nothing but'],
] as const;

/** A job without some of its operations, and the way back. */
export function LeaveOut() {
  const [way, setWay] = useState<(typeof WAYS)[number][0]>('out');
  const [chosen, setChosen] = useState(1);
  const all = operations.value.map(({ n }) => n);
  const n = all.includes(chosen) ? chosen : 1;
  const at = shortened.value;
  const out = new Set(all.filter((each) => (each === n) === (way === 'out')));
  return (
    <>
      {at ? (
        <p>
          Left out: {at.words} of the job before; what stays is numbered anew.{' '}
          <button type="button" class="link" onClick={() => void putBackLeftOut()}>
            put back what was left out
          </button>
          {changes.value.size === 0 ? (
            <>
              {' '}
              <button type="button" class="link" onClick={() => downloadText(at.job.name, at.job.text)}>
                save this job
              </button>
            </>
          ) : null}
        </p>
      ) : null}
      {at && leftOutNotKept.value ? <Said words={leftOutNotKept.value} isRefusal={false} /> : null}
      {all.length > 1 ? (
        <p>
          Not all of it: <Choice label="what not to burn" value={way} options={WAYS} onChange={setWay} />{' '}
          operation{' '}
          <Choice
            label="which operation"
            value={String(n)}
            options={all.map((each) => [String(each), String(each)] as const)}
            after="."
            onChange={(to) => setChosen(Number(to))}
          />{' '}
          <button
            type="button"
            class="link"
            aria-disabled={isLeavingOut.value}
            onClick={() => void leaveOut(out)}
          >
            do so
          </button>
        </p>
      ) : null}
    </>
  );
}
