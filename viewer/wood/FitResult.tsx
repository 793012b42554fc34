import { useState } from 'preact/hooks';
import { InputError } from '../../src/errors.ts';
import type { SwatchFit } from '../../src/swatch/fit/fit.ts';
import { besidesWords, closenessWords, measuredWords, STANDING } from '../../src/swatch/fit/words.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import { viewOf } from '../learn/gantry.ts';
import { Burned } from '../machine/Burned.tsx';
import { downloadBlob, downloadJson } from '../state/download.ts';
import { keepWoodOnShelf } from '../state/shelf.ts';
import { fineCellMm, scene, setup, setWood, wished } from '../state/store.ts';
import { photos } from '../state/swatch.ts';
import { refuseMaking } from '../state/trouble.ts';
import { jsonNameOf } from '../words/file-name.ts';
import { Kept } from '../words/Kept.tsx';
import { NameInput } from '../words/NameInput.tsx';
import { Said, type Saying } from '../words/Said.tsx';
import { FitChart } from './FitChart.tsx';
import { fitOf } from './fitting.ts';
import { readingsNow } from './Photos.tsx';

/** Cuts ticked, the fit, what it could not tell, and what it makes of the job on the bench. */
export function FitResult({ swatch }: { readonly swatch: Swatch }) {
  const [looked, setLooked] = useState(false);
  const [through, setThrough] = useState<ReadonlySet<number>>(new Set());
  const [name, setName] = useState('my wood');
  const [fit, setFit] = useState<SwatchFit | null>(null);
  const [said, setSaid] = useState<Saying | null>(null);
  const readings = photos.value.flatMap(({ id }) => readingsNow.value.get(id) ?? []);
  const isReady = readings.length > 0 && readings.length === photos.value.length;
  const work = async () => {
    setSaid({ words: 'Fitting …', isRefusal: false });
    try {
      const cuts = looked ? [...through].sort((a, b) => a - b) : null;
      setFit(await fitOf({ swatch, readings, cuts, name: name.trim() }));
      setSaid(null);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      setFit(null);
      setSaid({ words: error.toString(), isRefusal: true });
    }
  };
  return (
    <section aria-labelledby="fit-heading">
      <h2 id="fit-heading">Be told</h2>
      {swatch.cuts.length > 0 ? (
        <fieldset class="cut-ticks">
          <legend>Cut lines that went through all along</legend>
          {swatch.cuts.map(({ n, speed_mm_s }) => (
            <label key={n} title={`${numberWords(mmPerSToMmPerMin(speed_mm_s), 4)} mm/min`}>
              <input
                type="checkbox"
                checked={through.has(n)}
                onChange={(event) => {
                  const next = new Set(through);
                  if (event.currentTarget.checked) next.add(n);
                  else next.delete(n);
                  setThrough(next);
                  setLooked(true);
                }}
              />
              {n}
            </label>
          ))}
          <label>
            <input
              type="checkbox"
              checked={looked && through.size === 0}
              onChange={(event) => {
                setThrough(new Set());
                setLooked(event.currentTarget.checked);
              }}
            />
            none
          </label>
        </fieldset>
      ) : null}
      <NameInput
        id="wood-name"
        label="Call the wood"
        value={name}
        onInput={(event) => setName(event.currentTarget.value)}
      />
      <p class="acts">
        <button
          type="button"
          class="press"
          aria-disabled={!isReady}
          onClick={() => {
            if (isReady) void work();
          }}
        >
          Fit the wood
        </button>
        <span class="quiet">{isReady ? '' : 'once every photo above is read.'}</span>
      </p>
      {said ? <Said {...said} /> : null}
      {fit ? <Told fit={fit} swatch={swatch} /> : null}
    </section>
  );
}

/** In the page papers and cuts are shown, not given as options. */
const inThePage = (words: string): string =>
  words
    .replace(' and --white would tell it', ', shown on the photo, would tell it')
    .replace('; give their numbers with --cuts', '; tick them above');

function Told({ fit, swatch }: { readonly fit: SwatchFit; readonly swatch: Swatch }) {
  const [kept, setKept] = useState('');
  const measured = measuredWords(fit);
  const { material } = fit;
  return (
    <>
      <FitChart fit={fit} />
      <h3>Measured by it</h3>
      <ul class="told">
        {measured.length === 0 ? <li>Nothing: see below.</li> : null}
        {[...measured, ...besidesWords(fit, swatch)].map((words) => (
          <li key={words}>
            <Kept>{words}</Kept>
          </li>
        ))}
      </ul>
      <p>
        <Kept>{closenessWords(fit)[0]}</Kept>
      </p>
      {fit.untold.length > 0 ? (
        <details class="more" open>
          <summary>What it could not tell</summary>
          <ul>
            {fit.untold.map((words) => (
              <li key={words}>{inThePage(words)}</li>
            ))}
          </ul>
        </details>
      ) : null}
      <details class="more">
        <summary>Good to know of the fit</summary>
        <ul>
          {[closenessWords(fit)[1], ...fit.remarks, ...STANDING].map((words) => (
            <li key={words}>
              <Kept>{inThePage(words)}</Kept>
            </li>
          ))}
        </ul>
      </details>
      <BeforeAndAfter fit={fit} />
      <p class="acts">
        <button
          type="button"
          class="press"
          onClick={() => {
            const stays = keepWoodOnShelf(material);
            setWood(material);
            setKept(
              stays
                ? `${material.name} lies on the bench, and on the shelf of this browser.`
                : `${material.name} lies on the bench.`,
            );
          }}
        >
          Put it on the bench and on the shelf
        </button>
        <button type="button" class="press" onClick={() => downloadJson(jsonNameOf(material.name), material)}>
          Save it as a file
        </button>
        <button type="button" class="press" onClick={() => void saveFitPicture(fit, swatch)}>
          fit.png
        </button>
      </p>
      <p class="quiet" role="status">
        {kept}
      </p>
    </>
  );
}

/** The picture of the fit that `charcast fit` writes. */
async function saveFitPicture(fit: SwatchFit, swatch: Swatch): Promise<void> {
  try {
    const { fitPng } = await import('./fit-png.ts');
    const about = photos.peek().map(({ file }) => file.name);
    downloadBlob('fit.png', await fitPng(fit, swatch, about.join(', ')));
  } catch (error) {
    refuseMaking('fit.png', error);
  }
}

/** The job on the bench, in the wood as it was taken for and as it is now known. */
function BeforeAndAfter({ fit }: { readonly fit: SwatchFit }) {
  const [before] = useState(setup.value!.material);
  const wish = wished.value;
  const made = scene.value?.forecast;
  if (!wish || !made) return null;
  const { board } = made;
  const stock = {
    widthMm: board.maxXMm - board.minXMm,
    heightMm: board.maxYMm - board.minYMm,
    thicknessMm: wish.stock?.thicknessMm ?? null,
    xMm: board.minXMm,
    yMm: board.minYMm,
  };
  const trial = {
    text: wish.job.text,
    machine: wish.machine,
    stock,
    changes: wish.changes,
    cellMm: fineCellMm(wish) * 2,
    figure: viewOf(stock, 900),
  };
  return (
    <>
      <h3>{wish.job.name}, before and after</h3>
      <div class="before-after">
        <Burned
          id="wood before"
          what={`The job in ${before.name}`}
          caption={`as ${before.name}`}
          trial={{ ...trial, material: before }}
        />
        <Burned
          id="wood after"
          what={`The job in ${fit.material.name}`}
          caption={`as ${fit.material.name}`}
          trial={{ ...trial, material: fit.material }}
        />
      </div>
    </>
  );
}
