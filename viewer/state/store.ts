import { batch, computed, effect, signal, untracked } from '@preact/signals';
import type { Stock } from '../../src/board.ts';
import type { Settings } from '../../src/change/change.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Operation } from '../../src/program/program.ts';
import { type Moments, momentsOf } from '../time/moments.ts';
import { Forecaster, type Listener, type Refusal, refusalWords, type Seen } from '../worker/client.ts';
import type { Asked, Scene, Setup, Stage } from '../worker/messages.ts';
import { type Changes, changeList, type Laid, laidBy, withLaid, withSettings } from './changes.ts';
import { durationS, pause, seek, tS } from './clock.ts';
import type { Feedless } from './feedless.ts';
import { withGlimpse } from './glimpsed.ts';
import { withOutline } from './outline.ts';
import { isFieldTold } from './shelf.ts';
import { refuseFile, trouble } from './trouble.ts';

/**
 * The bench: what lies on it (job, machine, wood), what has been changed against the job, and the forecast
 * of it. Everything on screen follows from these signals; setting one forecasts anew, coarse at once and
 * fine a moment later, a small job fine at once.
 */

export type Place = 'bench' | 'machine' | 'wood' | 'chart' | 'line' | 'compare' | 'learn' | 'take' | 'burned';
export const place = signal<Place>('bench');

export type View = 'burn' | 'dose' | 'speed' | 'power' | 'depth' | 'arrival' | 'sure' | 'warmth';
export const view = signal<View>('burn');

export type Status =
  | { readonly kind: 'idle' }
  | { readonly kind: 'working'; readonly fine: boolean; readonly stage: Stage; readonly fraction: number }
  | { readonly kind: 'refused'; readonly sentence: string; readonly fault: boolean };

/** The job with its machine and its wood, as loaded or as edited since. */
export const setup = signal<Setup | null>(null);
/** The same as first loaded, to be put back. */
export const loaded = signal<Setup | null>(null);
export const title = signal('');
export const about = signal('');
/** Something to know of how the bench came to be what it is. */
export interface Note {
  readonly words: string;
  /** Whether it is still true of what lies there now; always, where this is left out. */
  readonly holds?: (at: Setup) => boolean;
}
/** What was taken for want of anything given. */
export const assumed = signal<readonly Note[]>([]);
/** What-if changes by operation number. */
export const changes = signal<Changes>(new Map());
/** The job's own operations, before any change. */
export const operations = signal<readonly Operation[]>([]);

export const scene = signal<Scene | null>(null);
/** What the stage shows of a long job while a number is being dragged, ahead of its scene; null: the scene itself. */
const glimpsed = signal<Scene | null>(null);
export const onStage = computed(() => glimpsed.value ?? scene.value);
/** The stage shows what no sentence tells yet. */
export const isStageAhead = computed(() => glimpsed.value !== null);
/** The last coarse scene: glimpses are of the job as it lies there. */
let coarseScene: Scene | null = null;
/** The scene is of the full fineness and of what is asked now. */
export const settled = signal(false);
export const status = signal<Status>({ kind: 'idle' });
/** The name of a job on its way to the bench; null: none is. */
export const opening = signal<string | null>(null);

export const moments = computed<Moments | null>(() =>
  scene.value ? momentsOf(scene.value.forecast.motion, scene.value.forecast.machine) : null,
);

/** A phone has less memory for textures. */
const isSmall = typeof matchMedia !== 'undefined' && matchMedia('(max-width: 700px)').matches;
export const TEXELS = isSmall ? 3_000_000 : 15_000_000;
const COARSE_TEXELS = 1_000_000;
/** A coarse forecast's cells are so many times larger. */
const COARSER = 3;
/** Numbers being dragged come faster than this; the fine forecast waits for them to rest. */
const REST_MS = 180;

/** Coarse forecasts follow a number being dragged; one that takes longer than this is ended by the next. */
const PATIENCE_MS = 400;
let coarse = new Forecaster(PATIENCE_MS);
/** Only once there is a first picture does its worker begin to load: that would come the later for it. */
let fine: Forecaster | null = null;
const fineForecaster = (): Forecaster => {
  fine ??= new Forecaster();
  return fine;
};
let waiting: ReturnType<typeof setTimeout> | undefined;
/** A job on its way to the bench, with a forecaster of its own; null: none is. */
let arriving: { readonly forecaster: Forecaster; readonly end: (laid: boolean) => void } | null = null;
/** The first forecast of a job that has just been laid on the bench. */
let firstScene: { readonly job: Setup['job']; readonly made: Scene } | null = null;
/** Changes that were forecast before they were made, and the last word on them. */
let foretold: { readonly changes: Changes; readonly made: Scene } | null = null;

/** The setup to forecast: base and changes together. */
export const wished = computed<Setup | null>(() => {
  const at = setup.value;
  if (!at) return null;
  // To lay another machine on the shelf is no reason to forecast again.
  const bedIsAssumed = untracked(() => !isFieldTold(at.machine, 'work_area_mm'));
  return { ...at, changes: changeList(changes.value), bedIsAssumed };
});

export const fineCellMm = (of: Setup): number => of.cellMm ?? Math.min(...of.machine.spot.width_mm) / 3;

/** The bench is being laid in steps, of which the last is the one to forecast. */
const isBeingLaid = signal(false);
export function layInSteps(steps: () => void): void {
  isBeingLaid.value = true;
  steps();
  isBeingLaid.value = false;
}

effect(() => {
  if (isBeingLaid.value) return;
  const wish = wished.value;
  // What a forecast puts on screen is no reason to forecast again.
  untracked(() => follow(wish));
});

function follow(wish: Setup | null): void {
  clearTimeout(waiting);
  fine?.cancel();
  settled.value = false;
  if (trouble.peek()?.ofSettings) trouble.value = null;
  if (!wish) coarse.cancel();
  else if (foretold?.changes === changes.peek()) {
    coarse.cancel();
    arriveFine(foretold.made);
  } else if (firstScene?.job === wish.job) {
    coarseScene = firstScene.made;
    if (firstScene.made.isFine) arriveFine(firstScene.made);
    else {
      arrive(firstScene.made);
      askFine(wish);
    }
  } else askCoarse(wish);
  firstScene = null;
  foretold = null;
}

const coarseWish = (wish: Setup): Seen => ({
  setup: { ...wish, cellMm: fineCellMm(wish) * COARSER },
  texels: COARSE_TEXELS,
  ifSmall: { cellMm: wish.cellMm, texels: TEXELS },
  live: true,
});

function askCoarse(wish: Setup): void {
  const told = tellings(false);
  coarse.ask(coarseWish(wish), {
    ...told,
    refused: (refusal) => {
      told.refused(refusal);
      // What was glimpsed on the way there has no scene to come.
      glimpsed.value = null;
      const of = { name: title.peek(), about: about.peek() };
      if (refusal.lacksFeed) refuseJob(refusal, wish, (given, note) => reopen(given, of, note));
    },
    glimpsed: (glimpse) => {
      glimpsed.value = coarseScene && withGlimpse(coarseScene, glimpse);
    },
    done: (made) => {
      coarseScene = made;
      // A newer wish may be under way already; then this was a step on its way.
      const isNewest = wish === wished.peek();
      if (made.isFine && isNewest) arriveFine(made);
      else arrive(made);
      if (made.isFine) return;
      fineForecaster().makeReady();
      if (isNewest) waiting = setTimeout(() => askFine(wish), REST_MS);
    },
  });
}

/** A wish for the last word, whatever that takes. */
export const fineWish = (wish: Setup): Seen => ({ setup: wish, texels: TEXELS, live: false });

function askFine(wish: Setup): void {
  fineForecaster().ask(fineWish(wish), {
    ...tellings(true),
    done: arriveFine,
  });
}

/** The last word on what is wished for. */
function arriveFine(made: Scene): void {
  batch(() => {
    arrive(made);
    status.value = { kind: 'idle' };
    settled.value = true;
  });
}

/** Puts how a forecast comes along on screen. */
function tellings(fine: boolean): Pick<Listener, 'progress' | 'refused'> {
  status.value = { kind: 'working', fine, stage: 'reading', fraction: 0 };
  return {
    progress: (stage, fraction) => {
      status.value = { kind: 'working', fine, stage, fraction };
    },
    refused: ({ sentence, fault }) => {
      status.value = { kind: 'refused', sentence, fault };
    },
  };
}

function arrive(made: Scene): void {
  const first = scene.value === null || operations.value.length === 0;
  const wasAtEnd = first || tS.value >= durationS.value - 1e-6;
  batch(() => {
    glimpsed.value = null;
    scene.value = made;
  });
  if (first || made.setup.changes.length === 0) operations.value = made.own;
  durationS.value = made.forecast.motion.durationS;
  if (wasAtEnd) seek(durationS.value);
  else if (tS.value > durationS.value) seek(durationS.value);
}

/** Stops the forecast under way; what is on screen stays. */
export function cancel(): void {
  clearTimeout(waiting);
  coarse.cancel();
  fine?.cancel();
  endArrival();
  glimpsed.value = null;
  status.value = { kind: 'idle' };
}

/** Takes up a forecast that was stopped. */
export function goOn(): void {
  const wish = wished.peek();
  if (wish && !settled.peek()) askCoarse(wish);
}

/** What is said of a job beside the job itself. */
export interface Title {
  readonly name: string;
  readonly about?: string;
  readonly notes?: readonly Note[];
  /** The machine to burn it on, where that is another than it comes with. */
  readonly machine?: Machine | null;
}

/**
 * Lays a job on the bench. While another lies there, that one stays, with its changes, until the new one has been
 * forecast; if that is refused, it stays for good.
 * @returns whether the job lies on the bench now.
 */
export function load(next: Setup, of: Title): Promise<boolean> {
  cancel();
  const begin = of.machine ? { ...next, machine: of.machine } : next;
  if (!setup.peek()) {
    lay(next, of);
    return Promise.resolve(true);
  }
  return new Promise((resolve) => {
    const forecaster = new Forecaster(PATIENCE_MS);
    arriving = { forecaster, end: resolve };
    opening.value = of.name;
    forecaster.ask(coarseWish(begin), {
      ...tellings(false),
      done: (made) => {
        // What the forecaster keeps of the job serves the bench from here on.
        coarse.end();
        coarse = forecaster;
        arriving = null;
        opening.value = null;
        lay(next, of, made);
        resolve(true);
      },
      refused: (refusal) => {
        status.value = { kind: 'idle' };
        endArrival();
        refuseJob(refusal, next, (given, note) => reopen(given, of, note));
        goOn();
      },
    });
  });
}

const reopen = (given: Setup, of: Title, words: string): void =>
  void load(given, { ...of, notes: [...(of.notes ?? []), { words }] });

/** A job that was refused, on its way to the bench or beside it; where it lacks a feed only, that is asked for. */
export function refuseJob(refusal: Refusal, job: Setup, reopen: Feedless['reopen']): void {
  refuseFile(refusalWords(refusal), title.peek(), refusal.lacksFeed ? { setup: job, reopen } : null);
}

/** Leaves the bench as it is. */
function endArrival(): void {
  arriving?.forecaster.end();
  arriving?.end(false);
  arriving = null;
  opening.value = null;
}

/** @param made its first forecast, where there is one already. */
function lay(next: Setup, of: Title, made: Scene | null = null): void {
  pause();
  const isFirst = setup.peek() === null;
  batch(() => {
    operations.value = [];
    changes.value = new Map();
    scene.value = null;
    glimpsed.value = null;
    coarseScene = null;
    title.value = of.name;
    about.value = of.about ?? '';
    assumed.value = of.notes ?? [];
    loaded.value = next;
    setup.value = of.machine ? { ...next, machine: of.machine } : next;
    firstScene = made && { job: next.job, made };
    // Whoever has gone to a place before the page had its first job stays there.
    if (!isFirst && ['learn', 'machine', 'wood', 'take'].includes(place.peek())) place.value = 'bench';
  });
}

/** Changes a setting of an operation; what equals the job's own counts as no change. */
export function change(n: number, with_: Settings): void {
  const own = operations.value.find((operation) => operation.n === n);
  if (!own || !setup.value) return;
  changes.value = withSettings(changes.value, own, with_, setup.value.machine.laser.s_max);
}

/** Changes settings to what has been forecast already. */
export function changeAsForetold(next: Changes, made: Scene): void {
  foretold = { changes: next, made };
  changes.value = next;
}

/** Lays the whole job elsewhere on the machine. */
export function layJob(where: Partial<Laid>): void {
  changes.value = withLaid(changes.peek(), { ...laidBy(changes.peek()), ...where });
}

export function putBack(n: number): void {
  const next = new Map(changes.value);
  next.delete(n);
  changes.value = next;
}

export function setMachine(machine: Machine): void {
  if (setup.value) setup.value = { ...setup.value, machine };
}

export function setStock(stock: Stock | null): void {
  if (setup.value) setup.value = { ...setup.value, stock: withOutline(stock, setup.value.stock) };
}

/** What else is asked of the forecast, beside what was asked before. */
export function ask(more: Asked): void {
  if (setup.value) setup.value = { ...setup.value, asked: { ...setup.value.asked, ...more } };
}

export function setWood(material: Setup['material']): void {
  if (setup.value) setup.value = { ...setup.value, material };
}

/** What is pointed at on the wood, in the job's coordinates, mm. */
export const pointed = signal<readonly [number, number] | null>(null);
/** A wish to look at a place; the stage flies there. `null`: back to the whole board. */
export const lookAt = signal<{
  readonly atMm: readonly [number, number] | null;
  readonly acrossMm: number;
} | null>(null);
/** Seen flat from above. */
export const flat = signal(false);
export const showTravel = signal(true);
