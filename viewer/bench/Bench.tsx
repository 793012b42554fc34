import { Fragment } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { notJudged } from '../../src/findings/not-judged.ts';
import { understoodBesides } from '../../src/findings/other-scale.ts';
import { leftOverSentence } from '../../src/parts/left-over.ts';
import { lengthWords, numberWords, timeWords } from '../../src/words.ts';
import { notKept } from '../state/left.ts';
import { openDemo } from '../state/open.ts';
import { overTheEdge } from '../state/placing.ts';
import { DEMO_TITLES } from '../state/shelf.ts';
import {
  about,
  assumed,
  changes,
  loaded,
  operations,
  place,
  scene,
  settled,
  setup,
  title,
} from '../state/store.ts';
import { Kept } from '../words/Kept.tsx';
import { Listed } from '../words/Listed.tsx';
import { AlongTheWay } from './AlongTheWay.tsx';
import { Cuts } from './Cuts.tsx';
import { countWords } from './count-words.ts';
import { Findings } from './Findings.tsx';
import { FinishCut } from './FinishCut.tsx';
import { LeaveOut } from './LeaveOut.tsx';
import { OperationSentence } from './OperationSentence.tsx';
import { SaveJob } from './SaveJob.tsx';
import { MachineSentence, WoodSentence } from './Setting.tsx';
import { Steps } from './Steps.tsx';
import { WhatCounts } from './WhatCounts.tsx';

/** What is measured on the wood, for who meets the words here. */
const MEASURES = [
  'Dose, in J/mm², is the heat that each square millimetre of wood gets; line energy, in J/mm, what each millimetre of the way gets.',
  'Tone is how dark that leaves the wood: 0 is bare, 1 is char.',
] as const;

/** What lies on the bench, as a page to read and to change. */
export function Bench() {
  const at = scene.value;
  const made = at?.forecast;
  const unjudged = made ? notJudged(made) : null;
  const page = useRef<HTMLElement>(null);
  const heading = useRef<HTMLHeadingElement>(null);
  const shown = useRef(loaded.value);
  useEffect(() => {
    if (shown.current && shown.current !== loaded.value) beginAgain(page.current!, heading.current!);
    shown.current = loaded.value;
  }, [loaded.value]);
  return (
    <article class="page" aria-label="Bench" ref={page}>
      <h1 tabIndex={-1} ref={heading}>
        {title.value || 'Charcast'}
      </h1>
      <p class="under-title">
        {made ? (
          <button type="button" class={settled.value ? 'link' : 'link waiting'} onClick={showFindings}>
            {countWords(made.findings, unjudged)}
          </button>
        ) : null}
        <Steps />
      </p>
      {unjudged ? <p class={settled.value ? 'lead' : 'lead waiting'}>{unjudged}</p> : null}
      {about.value ? <p class="lead">{about.value}</p> : null}
      <Fragment key={loaded.value?.job}>
        <MachineSentence />
        <WoodSentence />
        {overTheEdge.value ? (
          <p class="over" role="alert">
            <Kept>{overTheEdge.value}</Kept>
          </p>
        ) : null}

        <ol class="operations" aria-label="Operations, in the order burned">
          {operations.value.map((operation) => (
            <OperationSentence key={operation.n} operation={operation} />
          ))}
        </ol>
        <LeaveOut />
      </Fragment>

      {made ? (
        <p class={settled.value ? 'totals' : 'totals waiting'}>
          It takes{' '}
          <b>
            <Kept>{timeWords(made.motion.durationS)}</Kept>
          </b>
          <Kept>
            {`, with the beam on for ${timeWords(made.beamOnS)}, and burns ${lengthWords(made.burnMm)} of path with ${numberWords(made.dose.energyJ)} J.`}
          </Kept>
        </p>
      ) : null}
      {made ? <Cuts of={made} waiting={!settled.value} /> : null}
      {at?.leftOver ? (
        <p class={settled.value ? 'aside' : 'aside waiting'}>
          <Kept>{leftOverSentence(at.leftOver)}</Kept>
        </p>
      ) : null}
      {made?.stock?.thicknessMm && made.cuts.length > 0 ? (
        <FinishCut key={loaded.value?.job.name} cuts={made.cuts} thicknessMm={made.stock.thicknessMm} />
      ) : null}
      {made ? (
        <p class="files">
          After the burn,{' '}
          <span class="listed">
            <button
              type="button"
              class="link"
              onClick={() => {
                place.value = 'burned';
              }}
            >
              say how it turned out
            </button>
            .
          </span>
        </p>
      ) : null}
      {changes.value.size > 0 ? <SaveJob /> : null}
      {notKept.value ? (
        <p class="aside" role="status">
          {notKept.value}
        </p>
      ) : null}

      <Findings />
      <AlongTheWay />

      {made ? (
        <details class="more">
          <summary>Good to know</summary>
          <ul>
            {[
              ...MEASURES,
              ...assumed.value.filter(({ holds }) => !holds || holds(setup.value!)).map(({ words }) => words),
              ...(made.material.caution ? [made.material.caution] : []),
              ...made.notes,
            ].map((note) => (
              <li key={note}>
                <Kept>{note}</Kept>
              </li>
            ))}
            {understoodBesides(made.findings, made.program.understood)
              .slice(0, 20)
              .map((each) => (
                <li key={`${each.line} ${each.text}`}>
                  Line {each.line}: {each.text}
                </li>
              ))}
          </ul>
        </details>
      ) : null}
      {made ? <WhatCounts /> : null}
      <OtherPieces />
      <Cautions />
    </article>
  );
}

/** Another job is read from its beginning; who was on the page by keys goes on from there. */
function beginAgain(page: HTMLElement, heading: HTMLElement): void {
  if (page.contains(document.activeElement) || document.activeElement === document.body)
    heading.focus({ preventScroll: true });
  page.scrollTop = 0;
  // On a phone the whole page scrolls.
  window.scrollTo(0, 0);
}

function showFindings(): void {
  const heading = document.getElementById('findings');
  heading?.scrollIntoView({ block: 'start' });
  heading?.focus({ preventScroll: true });
}

/** Pieces that come with Charcast. */
function OtherPieces() {
  const others = DEMO_TITLES.filter(([, words]) => words !== title.value);
  if (others.length === 0) return null;
  return (
    <p class="files">
      Other pieces to look at:
      <Listed choices={others.map(([name, words]) => ({ words, press: () => openDemo(name) }))} />
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
