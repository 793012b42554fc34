import { useEffect, useMemo, useRef } from 'preact/hooks';
import { compareForecasts } from '../../src/compare/compare.ts';
import { findingName } from '../../src/findings/finding-names.ts';
import { Cautions } from '../bench/Bench.tsx';
import { Remedy } from '../bench/Findings.tsx';
import { OperationSentence, type Side } from '../bench/OperationSentence.tsx';
import { takeAll, trying } from '../bench/remedies.ts';
import { Steps } from '../bench/Steps.tsx';
import { adjustedText } from '../state/adjusted.ts';
import {
  besideScene,
  besideWish,
  besideWorking,
  changeSecond,
  coming,
  comparing,
  dropSecond,
  givenToSecond,
  isTwo,
  layBeside,
  layItselfBeside,
  names,
  pair,
  putBackSecond,
  second,
  secondChanges,
} from '../state/beside.ts';
import { wishOfTwo } from '../state/dosed.ts';
import { downloadText } from '../state/download.ts';
import { pickFiles } from '../state/open.ts';
import { DEMO_TITLES, demoSetup } from '../state/shelf.ts';
import { loaded, operations, place, scene, setup, title } from '../state/store.ts';
import { refuseSettings } from '../state/trouble.ts';
import { nameWith } from '../words/file-name.ts';
import { Kept } from '../words/Kept.tsx';
import { Listed } from '../words/Listed.tsx';
import { Modes } from '../words/Modes.tsx';
import type { Scene } from '../worker/messages.ts';
import { benchesWords } from './bench-words.ts';
import { Meant } from './Meant.tsx';

/** Two burns on one board: what they are, and what differs. */
export function Compare() {
  const two = pair.value;
  const [nameA, nameB] = names.value;
  const page = useRef<HTMLElement>(null);
  useEffect(() => {
    // Another second job is read from the beginning.
    if (second.value) page.current!.scrollTop = 0;
  }, [second.value]);
  return (
    <article class="page" aria-label="Compare" ref={page}>
      <h1>Which of the two</h1>
      <p class="under-title">
        <Steps />
      </p>
      {coming.value ? <p class="quiet">Burning {coming.value.title} …</p> : null}
      {!isTwo.value ? (
        coming.value ? null : (
          <Nothing />
        )
      ) : (
        <>
          <p class="lead">
            Left of the divider <b>A</b>, {nameA}; right of it <b>B</b>, {nameB}. Drag the divider across the
            wood; the strip of time is {second.value ? 'A' : 'B'}’s.
          </p>
          {two ? <OnWhat a={two[0]} b={two[1]} /> : null}
          <Modes
            legend="What the board shows"
            value={comparing.value}
            options={[
              ['divider', 'both burns'],
              ['difference', 'the difference in tone'],
            ]}
            onChange={(key) => {
              comparing.value = key;
            }}
          />
          {two ? (
            <Table />
          ) : (
            <p class="quiet">{besideWorking.value && !coming.value ? 'Burning the other one …' : ''}</p>
          )}
          {second.value ? <BothSides /> : <AsChanged />}
        </>
      )}
      <Others />
      <Cautions />
    </article>
  );
}

/** The one job as changed; it can be laid beside itself, so that the other side can be changed too. */
function AsChanged() {
  return (
    <>
      <h2>B, as changed</h2>
      <ol key={loaded.value?.job} class="operations" aria-label="Operations, in the order burned">
        {operations.value.map((operation) => (
          <OperationSentence key={operation.n} operation={operation} />
        ))}
      </ol>
      <p>
        A is the job as written.{' '}
        <button type="button" class="link" onClick={layItselfBeside}>
          lay it beside itself, to change both
        </button>
      </p>
    </>
  );
}

const SECOND: Side = {
  named: ' of B',
  setup: () => besideWish.value,
  scene: () => besideScene.value,
  changes: () => secondChanges.value,
  change: changeSecond,
  putBack: putBackSecond,
};

/** Two jobs, each with its own sentences. */
function BothSides() {
  const [nameA, nameB] = names.value;
  const own = besideScene.value?.own ?? [];
  return (
    <>
      <h2>A, {nameA}</h2>
      <ol key={loaded.value?.job} class="operations" aria-label="Operations of A, in the order burned">
        {operations.value.map((operation) => (
          <OperationSentence key={operation.n} operation={operation} />
        ))}
      </ol>
      <h2>B, {nameB}</h2>
      <ol key={second.value?.setup.job} class="operations" aria-label="Operations of B, in the order burned">
        {own.map((operation) => (
          <OperationSentence key={operation.n} operation={operation} side={SECOND} />
        ))}
      </ol>
      <p class="acts">
        {secondChanges.value.size > 0 ? (
          <button type="button" class="press" onClick={() => void saveB()}>
            Save B as changed
          </button>
        ) : null}
        <button type="button" class="link" onClick={dropSecond}>
          take the second job away
        </button>
      </p>
    </>
  );
}

async function saveB(): Promise<void> {
  const wish = besideWish.peek();
  if (!wish) return;
  try {
    downloadText(nameWith(wish.job.name, '-adjusted'), await adjustedText(wish));
  } catch (error) {
    refuseSettings('Not saved', error);
  }
}

/** The machine, wood and board the two are burned on. */
function OnWhat({ a, b }: { readonly a: Scene; readonly b: Scene }) {
  return (
    <p class="aside">
      {benchesWords(a.setup, b.setup).map((words) => (
        <span key={words} class="line">
          {words}
        </span>
      ))}
      {givenToSecond.value ? <span class="line">{givenToSecond.value}</span> : null}
      {second.value?.note ? <span class="line">{second.value.note}</span> : null}
    </p>
  );
}

/** Remedies are forecast together before they are taken. */
const tryingWords = (inVain: boolean): string =>
  inVain
    ? 'No remedy makes this job better as a whole, so none was taken.'
    : 'Burning it with the remedies …';

function Nothing() {
  const remedies = scene.value?.forecast.findings.filter((finding) => finding.advice).length ?? 0;
  return (
    <>
      <p class="lead">Nothing has been changed yet, so there is only one burn.</p>
      <p>
        Change a number in a sentence on the{' '}
        <span class="listed">
          <button
            type="button"
            class="link"
            onClick={() => {
              place.value = 'bench';
            }}
          >
            bench
          </button>
          ,
        </span>
        {remedies > 0 ? ' take the remedies below,' : ''} or lay a second job beside this one.
      </p>
      {remedies > 0 ? (
        <p>
          <Remedy
            words={`Take ${remedies === 1 ? 'the remedy' : `all ${remedies} remedies`}`}
            onPress={() => void takeAll()}
          />
        </p>
      ) : null}
      <p class="quiet" role="status">
        {trying.value && trying.value.of === setup.value ? tryingWords(trying.value.inVain) : ''}
      </p>
    </>
  );
}

function Others() {
  const lay = async (name: string) => {
    const demo = await demoSetup(name);
    layBeside(demo.setup, demo.title);
  };
  const others = DEMO_TITLES.filter(([, words]) => words !== title.value && words !== second.value?.title);
  return (
    <p class="files">
      Lay beside it
      <Listed
        choices={[
          { words: 'a job of your own', press: () => pickFiles(layBeside, true) },
          ...others.map(([name, words]) => ({ words, press: () => void lay(name) })),
        ]}
      />
    </p>
  );
}

function Table() {
  const two = pair.value!;
  const meant = wishOfTwo(second.value?.setup ?? null, secondChanges.value.size > 0);
  const { rows, gone, come, cuts, tones, unsure } = useMemo(
    () => compareForecasts(two[0].forecast, two[1].forecast, meant?.offBy),
    [two[0], two[1], meant?.offBy],
  );
  const still = useMemo(() => [...new Set(two[1].forecast.findings.map(findingName))], [two[1]]).filter(
    (name) => !come.includes(name),
  );
  return (
    <>
      {meant ? <Meant wish={meant.wish} now={two[0]} before={two[1]} /> : null}
      <table class="compare-table">
        <thead>
          <tr>
            <td />
            <th scope="col">A</th>
            <th scope="col">B</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ name, a, b, differs }) => (
            <tr key={name} class={differs ? 'differs' : ''}>
              <th scope="row">{name}</th>
              <td>
                <Kept>{a}</Kept>
              </td>
              <td>
                <Kept>{b}</Kept>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {gone.length > 0 ? <p>Gone in B: {gone.join('; ')}.</p> : null}
      {come.length > 0 ? <p>New in B: {come.join('; ')}.</p> : null}
      {still.length > 0 ? <p>Still in B: {still.join('; ')}.</p> : null}
      {[...cuts, ...tones, ...unsure].map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </>
  );
}
