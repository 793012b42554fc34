import { useState } from 'preact/hooks';
import { wishOf } from '../../src/report.ts';
import { Cautions } from '../bench/Bench.tsx';
import { NumberField } from '../bench/NumberField.tsx';
import { SaveJob } from '../bench/SaveJob.tsx';
import { wishNow } from '../state/dosed.ts';
import { downloadBlob, downloadText, jsonBlob } from '../state/download.ts';
import { ask, changes, loaded, scene, settled, setup, title } from '../state/store.ts';
import { refuseMaking } from '../state/trouble.ts';
import { Kept } from '../words/Kept.tsx';
import type { Scene } from '../worker/messages.ts';

/** The report, with how far the job is off what its tones were set for. */
const reportNow = ({ report }: Scene): Scene['report'] => ({
  ...report,
  wish: wishNow.peek() && wishOf(wishNow.peek()!),
});

/** Everything a forecast leaves behind, from one place: the same files as the command line writes. */
export function TakeAway() {
  const at = scene.value;
  const [busy, setBusy] = useState<string | null>(null);
  if (!at || !setup.value) return null;
  const isReady = settled.value && busy === null;
  const stem = (loaded.value?.job.name ?? 'job').replace(/\.[^.]*$/, '');
  const take = async (name: string, blobOf: () => Promise<Blob>) => {
    if (!isReady) return;
    setBusy(name);
    try {
      downloadBlob(`${stem}-${name}`, await blobOf());
    } catch (error) {
      refuseMaking(name, error);
    } finally {
      setBusy(null);
    }
  };
  const FILES = [
    [
      'burn.png',
      'the board from above as it will be burned',
      async () => (await import('./files.ts')).burnPng(at.forecast, title.peek()),
    ],
    [
      'dose.png',
      'where the energy lands, J/mm²',
      async () => (await import('./files.ts')).dosePng(at.forecast, title.peek()),
    ],
    [
      'report.html',
      'all of it as one page, to send to a friend',
      async () => (await import('./files.ts')).reportHtml(at.forecast, title.peek()),
    ],
    ['report.json', 'everything as numbers', async () => jsonBlob(reportNow(at))],
  ] as const;
  return (
    <article class="page" aria-label="To take away">
      <h1>To take away</h1>
      <p class="lead">What the forecast of {title.value} leaves behind.</p>
      <h2>The job</h2>
      {changes.value.size > 0 ? (
        <SaveJob />
      ) : (
        <p>
          Nothing is changed, so the job is as it came.{' '}
          <button
            type="button"
            class="link"
            onClick={() => downloadText(`${stem}.nc`, setup.peek()!.job.text)}
          >
            save it all the same
          </button>
        </p>
      )}
      <h2>Pictures and reports</h2>
      <ul class="files-to-take">
        {FILES.map(([name, what, blobOf]) => (
          <li key={name}>
            <button
              type="button"
              class="press"
              aria-disabled={!isReady}
              onClick={() => void take(name, blobOf)}
            >
              {name}
            </button>{' '}
            <span class="quiet">{busy === name ? 'being drawn …' : what}</span>
          </li>
        ))}
      </ul>
      <p class="quiet" role="status">
        {settled.value ? '' : 'They can be taken once the fine forecast is done.'}
      </p>
      <Expected />
      <Cautions />
    </article>
  );
}

/** The size that the burn should have: a slip of units is found by it. */
function Expected() {
  const at = setup.value!;
  const made = scene.value!.forecast;
  const expectMm = at.asked?.expectMm;
  const { minXMm, maxXMm, minYMm, maxYMm } = made.burnBounds;
  const told = made.findings.find(({ kind }) => kind === 'wrong-size');
  return (
    <section aria-labelledby="expected-heading">
      <h2 id="expected-heading">The size it should have</h2>
      {expectMm ? (
        <p>
          The burn should be{' '}
          <NumberField
            label="expected width"
            value={expectMm.widthMm}
            min={0.1}
            max={10_000}
            step={1}
            digits={5}
            onChange={(widthMm) => ask({ expectMm: { ...expectMm, widthMm } })}
          />
          {' × '}
          <NumberField
            label="expected height"
            unit="mm"
            value={expectMm.heightMm}
            min={0.1}
            max={10_000}
            step={1}
            digits={5}
            after="."
            onChange={(heightMm) => ask({ expectMm: { ...expectMm, heightMm } })}
          />{' '}
          {told ? (
            <b class="over">
              <Kept>{told.message}</Kept>
            </b>
          ) : (
            <span class="quiet">{settled.value ? 'It is.' : ''}</span>
          )}{' '}
          <button type="button" class="link" onClick={() => ask({ expectMm: null })}>
            do not check it
          </button>
        </p>
      ) : (
        <p>
          A file in other units burns at a wrong size.{' '}
          <button
            type="button"
            class="link"
            onClick={() =>
              ask({
                expectMm: { widthMm: Math.round(maxXMm - minXMm), heightMm: Math.round(maxYMm - minYMm) },
              })
            }
          >
            say how large it should be
          </button>
        </p>
      )}
    </section>
  );
}
