import { signal, useSignalEffect } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Bench } from './bench/Bench.tsx';
import { NumberField } from './bench/NumberField.tsx';
import { Compare } from './compare/Compare.tsx';
import { Keys } from './help/Keys.tsx';
import { keysShown } from './help/shown.ts';
import { handleKey } from './keys.ts';
import { StageView } from './stage/StageView.tsx';
import { layBeside } from './state/beside.ts';
import { type Feedless, giveFeed } from './state/feedless.ts';
import { openFiles, pickFiles } from './state/open.ts';
import { refusals } from './state/refusals.ts';
import { cancel, goOn, opening, type Place, place, scene, settled, status } from './state/store.ts';
import { trouble } from './state/trouble.ts';
import { TimeStrip } from './strip/TimeStrip.tsx';
import { Several } from './take-away/Several.tsx';
import { Welcome } from './welcome/Welcome.tsx';

const PLACES: readonly (readonly [Place, string])[] = [
  ['bench', 'Bench'],
  ['chart', 'Speed and power'],
  ['machine', 'My machine'],
  ['wood', 'My wood'],
  ['line', 'The line'],
  ['compare', 'Compare'],
  ['take', 'To take away'],
  ['burned', 'Notebook'],
  ['learn', 'Learn'],
];

/** What is fetched when it is first opened: most who come have a job to look at. */
const FETCHED: Partial<Record<Place, () => Promise<ComponentType>>> = {
  machine: async () => (await import('./machine/MyMachine.tsx')).MyMachine,
  chart: async () => (await import('./settings-chart/SettingsChart.tsx')).SettingsChart,
  line: async () => (await import('./lines/LinePanel.tsx')).LinePanel,
  take: async () => (await import('./take-away/TakeAway.tsx')).TakeAway,
  burned: async () => (await import('./burned/AfterBurn.tsx')).AfterBurn,
  wood: async () => (await import('./wood/MyWood.tsx')).MyWood,
  learn: async () => (await import('./learn/Learn.tsx')).Learn,
};
const fetched = signal<Partial<Record<Place, ComponentType>>>({});

export function App() {
  const [over, setOver] = useState(false);
  useEffect(() => {
    document.addEventListener('keydown', handleKey);
    const stop = takeDrops(setOver);
    return () => {
      document.removeEventListener('keydown', handleKey);
      stop();
    };
  }, []);
  useSignalEffect(() => {
    const { dataset } = document.documentElement;
    const isOther = dataset.place !== undefined && dataset.place !== place.value;
    dataset.place = place.value;
    // On a phone the whole page scrolls, and another place is read from its beginning; that of the bench is the wood.
    if (isOther) window.scrollTo(0, 0);
    void fetchPlace(place.value);
    if (isOther && place.value !== 'bench') void bringIntoView(place.value);
  });
  const Fetched = fetched.value[place.value] ?? null;
  return (
    <div class={over ? 'app dropping' : 'app'}>
      <header>
        <span class="mark" aria-hidden="true">
          Charcast
        </span>
        <nav aria-label="Places">
          {PLACES.map(([key, words]) => (
            <button
              type="button"
              key={key}
              aria-current={place.value === key ? 'page' : undefined}
              onClick={({ detail }) => {
                place.value = key;
                void bringIntoView(key, detail === 0);
              }}
            >
              {words}
            </button>
          ))}
        </nav>
        <button
          type="button"
          class="link open"
          onClick={() => pickFiles(layBeside)}
          title="or drop a file anywhere; it stays on this computer"
        >
          Open a job
        </button>
        <button
          type="button"
          class="link keys-link"
          aria-label="Keys"
          aria-keyshortcuts="?"
          title="all keys"
          onClick={() => {
            keysShown.value = true;
          }}
        >
          ?
        </button>
        <Progress />
      </header>
      {trouble.value ? <Trouble /> : null}
      {place.value === 'learn' && Fetched ? <Fetched /> : null}
      <main class="room" hidden={place.value === 'learn'}>
        <StageView />
        <Welcome />
        {place.value === 'compare' ? (
          <Compare />
        ) : place.value !== 'bench' && place.value !== 'learn' && Fetched ? (
          <Fetched />
        ) : (
          <Bench />
        )}
        <TimeStrip />
      </main>
      <Several />
      <Keys />
    </div>
  );
}

async function fetchPlace(wanted: Place): Promise<void> {
  const fetch = FETCHED[wanted];
  if (!fetch || fetched.peek()[wanted]) return;
  const component = await fetch();
  fetched.value = { ...fetched.peek(), [wanted]: component };
}

/**
 * Where all lies in one column, a place begins far below its button: it comes to lie right below the wood. Who came by the
 * keyboard goes on there.
 */
async function bringIntoView(wanted: Place, byKeyboard = false): Promise<void> {
  await fetchPlace(wanted);
  requestAnimationFrame(() => {
    const page = document.querySelector('.room:not([hidden]) > .page');
    if (!page || place.peek() !== wanted || !isOneColumn(page.parentElement!)) return;
    page.scrollIntoView();
    const heading = page.querySelector<HTMLElement>('h1, h2');
    if (!byKeyboard || !heading) return;
    heading.tabIndex = -1;
    heading.focus({ preventScroll: true });
  });
}

const isOneColumn = (room: Element): boolean => {
  const { display, flexDirection } = getComputedStyle(room);
  return display === 'flex' && flexDirection === 'column';
};

/** Files dropped anywhere on the page are opened; returns how to stop that. */
function takeDrops(setOver: (over: boolean) => void): () => void {
  const dragOver = (event: DragEvent) => {
    event.preventDefault();
    setOver(true);
  };
  const dragLeave = (event: DragEvent) => {
    if (event.relatedTarget === null) setOver(false);
  };
  const drop = (event: DragEvent) => {
    const isTaken = event.defaultPrevented; // by a place of its own for it
    event.preventDefault();
    setOver(false);
    if (isTaken) return;
    // Where two burns are compared, a job lies down beside the first and leaves it alone.
    void openFiles([...(event.dataTransfer?.files ?? [])], layBeside, place.peek() === 'compare');
  };
  document.addEventListener('dragover', dragOver);
  document.addEventListener('dragleave', dragLeave);
  document.addEventListener('drop', drop);
  return () => {
    document.removeEventListener('dragover', dragOver);
    document.removeEventListener('dragleave', dragLeave);
    document.removeEventListener('drop', drop);
  };
}

function Trouble() {
  const said = trouble.value;
  return (
    <div class="trouble" role="alert">
      <p>
        <b>{said?.what}.</b> {said?.sentence}
        {said?.stays ? <span class="quiet"> {said.stays}</span> : null}
        {said?.feedless ? <GiveFeed of={said.feedless} /> : null}
      </p>
      <button
        type="button"
        class="link"
        onClick={() => {
          trouble.value = null;
        }}
      >
        close
      </button>
    </div>
  );
}

/** A feed to begin with, mm/min: an everyday one, to be looked at before it is taken. */
const BEGIN_WITH_MM_PER_MIN = 1000;

/** Asks for the feed that a job's file does not give. */
function GiveFeed({ of }: { readonly of: Feedless }) {
  const [feed, setFeed] = useState(BEGIN_WITH_MM_PER_MIN);
  const isRefused = refusals.value.size > 0;
  return (
    <span class="ask">
      {' '}
      Where {of.setup.job.name} has no feed, it can be burned at{' '}
      <NumberField
        label="feed of moves that have none, mm/min"
        value={feed}
        unit="mm/min"
        after="."
        min={10}
        max={60_000}
        step={50}
        onChange={setFeed}
      />{' '}
      <button
        type="button"
        class="link"
        aria-disabled={isRefused}
        onClick={() => {
          if (isRefused) return;
          trouble.value = null;
          void giveFeed(of, feed);
        }}
      >
        Open it so
      </button>
    </span>
  );
}

const STAGE_WORDS = { reading: 'Reading the job', burning: 'Burning it', drawing: 'Drawing it' } as const;

/** What the forecast is doing, with a way to stop it; or why there is none. */
function Progress() {
  const now = status.value;
  if (opening.value !== null)
    return (
      <p class="progress" role="status">
        <span class="spark" aria-hidden="true" />
        Opening {opening.value}{' '}
        <button type="button" class="link" onClick={cancel}>
          stop
        </button>
      </p>
    );
  if (now.kind === 'idle')
    return (
      <p class="progress" role="status">
        {scene.value && !settled.value ? (
          <>
            Stopped{' '}
            <button type="button" class="link" onClick={goOn}>
              go on
            </button>
          </>
        ) : null}
      </p>
    );
  if (now.kind === 'refused')
    return (
      <p class="progress refused" role="alert">
        {now.fault ? 'A fault of Charcast itself: ' : ''}
        {now.sentence}
      </p>
    );
  return (
    <p class="progress" role="status">
      <span class="spark" aria-hidden="true" />
      {STAGE_WORDS[now.stage]}
      {now.fine ? '' : ', coarsely first'}{' '}
      <button type="button" class="link" onClick={cancel}>
        stop
      </button>
    </p>
  );
}
