import { lengthWords, numberWords, timeWords } from '../../src/words.ts';
import { openDemo } from '../state/open.ts';
import { DEMO_TITLES } from '../state/shelf.ts';
import { about, assumed, changes, operations, scene, settled, title } from '../state/store.ts';
import { Findings } from './Findings.tsx';
import { OperationSentence } from './OperationSentence.tsx';
import { overTheEdge } from './placing.ts';
import { SaveJob } from './SaveJob.tsx';
import { MachineSentence, WoodSentence } from './Setting.tsx';

/** What lies on the bench, as a page to read and to change. */
export function Bench() {
  const at = scene.value;
  const made = at?.forecast;
  return (
    <article class="page" aria-label="Bench">
      <h1>{title.value || 'Charcast'}</h1>
      {about.value ? <p class="lead">{about.value}</p> : null}
      <MachineSentence />
      <WoodSentence />
      {overTheEdge.value ? (
        <p class="over" role="alert">
          {overTheEdge.value}
        </p>
      ) : null}

      <ol class="operations" aria-label="Operations, in the order burned">
        {operations.value.map((operation) => (
          <OperationSentence key={operation.n} operation={operation} />
        ))}
      </ol>

      {made ? (
        <p class={settled.value ? 'totals' : 'totals waiting'}>
          It takes <b>{timeWords(made.motion.durationS)}</b>, with the beam on for {timeWords(made.beamOnS)},
          and burns {lengthWords(made.burnMm)} of path with {numberWords(made.dose.energyJ)} J.
        </p>
      ) : null}
      {changes.value.size > 0 ? <SaveJob /> : null}

      <Findings />

      {made ? (
        <details class="more">
          <summary>Good to know</summary>
          <ul>
            {[...assumed.value, ...(made.material.caution ? [made.material.caution] : []), ...made.notes].map(
              (note) => (
                <li key={note}>{note}</li>
              ),
            )}
            {made.program.understood.slice(0, 20).map((each) => (
              <li key={`${each.line} ${each.text}`}>
                Line {each.line}: {each.text}
              </li>
            ))}
          </ul>
        </details>
      ) : null}
      <OtherPieces />
      <Cautions />
    </article>
  );
}

/** Pieces that come with Charcast. */
function OtherPieces() {
  const others = DEMO_TITLES.filter(([, words]) => words !== title.value);
  if (others.length === 0) return null;
  return (
    <p class="files">
      Other pieces to look at:{' '}
      {others.map(([name, words], k) => (
        <span key={name}>
          {k === 0 ? '' : k === others.length - 1 ? ' or ' : ', '}
          <button type="button" class="link" onClick={() => openDemo(name)}>
            {words}
          </button>
        </span>
      ))}
      .
    </p>
  );
}

/** Said on every page, quietly. */
export function Cautions() {
  return (
    <p class="cautions">
      A forecast is not a safety clearance. Wear eyewear rated for the wavelength, keep watch with an
      extinguisher at hand, ventilate, never burn PVC, vinyl or unknown plastics, and follow the machine’s
      manual and local rules.
    </p>
  );
}
