import type { View } from '../../src/picture/view.ts';
import { unpacked } from './handed.ts';
import { hasStarted, heardFrom, hire, letGo } from './hire.ts';
import type { Answer, Foretold, Forget, Glimpse, PostedWish, Scene, Setup, Stage, Wish } from './messages.ts';
import { whyStopped } from './why-stopped.ts';

/** Why there is no forecast. */
export interface Refusal {
  readonly sentence: string;
  /** A fault of Charcast itself, not of what was asked for. */
  readonly fault: boolean;
  /** The job has feed moves without a feed; given one, it can be forecast. */
  readonly lacksFeed: boolean;
}

/** A refusal of what was brought, in the words for the person at the bench. */
export const refusalWords = ({ sentence, fault }: Refusal): string =>
  fault ? `A fault of Charcast itself: ${sentence}` : sentence;

export interface Listener<Made extends Foretold = Scene> {
  progress?(stage: Stage, fraction: number): void;
  /** Of a long job: how the wood will look, before the forecast is done. */
  glimpsed?(glimpse: Glimpse): void;
  done(made: Made): void;
  refused(refusal: Refusal): void;
}

/** A wish of which the stage shows what comes of it. */
export type Seen = Omit<Wish, 'id'> & { readonly isUnseen?: never };
type Unseen = Omit<Wish, 'id'> & { readonly isUnseen: true };

/** A wish for the forecast itself, and a picture of it where there is a view for one: the stage does not show it. */
export const unseen = (setup: Setup, figure?: View): Unseen => ({
  setup,
  texels: 0,
  live: false,
  isUnseen: true,
  ...(figure ? { figure } : {}),
});

/** About how long a worker takes to load: a spare one begins so long before it may be wanted, ms. */
const LOADING_MS = 250;

/** The first forecast takes longer, for its code is still being compiled, and in another worker would be again, ms. */
const FIRST_MS = 1000;

interface Asked {
  readonly wish: Omit<Wish, 'id'>;
  readonly listener: Listener;
}

/**
 * Forecasts in a worker, the last wish only. A forecast cannot be interrupted from within, so to end one its worker
 * is ended, with all it had kept, and another takes over once there is something to forecast: a spare one, where a wish
 * has been waiting for it. A worker that is still loading has begun nothing: it takes up the newest of what it was asked
 * for.
 */
export class Forecaster {
  /** null: none is at hand, and the next wish hires one. */
  #worker: Worker | null = null;
  #spare: Worker | null = null;
  /** What the worker keeps and has handed over before. */
  #held: ReadonlyMap<number, ArrayBuffer> = new Map();
  /** The text of the job that the worker has. */
  #text: string | null = null;
  #ids = 0;
  /** When the forecast under way was begun, or its worker had loaded for it; null: none is. */
  #begunMs: number | null = null;
  /** The forecast under way has been glimpsed: a newer wish may take its place at once. */
  #isGlimpsed = false;
  /** How long the longest forecast took, ms. */
  #longestMs = 0;
  /** The newest wish, while an older one is still under way. */
  #next: Asked | null = null;
  #impatience: ReturnType<typeof setTimeout> | undefined;
  #foresight: ReturnType<typeof setTimeout> | undefined;
  readonly #patienceMs: number;

  /**
   * @param patienceMs a forecast under way may take so long from its beginning before a newer wish ends it; until
   *   then the wish waits; or as long as one has taken before, or the first may, since with the worker all it keeps
   *   would be lost.
   *   0: it is ended at once.
   */
  constructor(patienceMs = 0) {
    this.#patienceMs = patienceMs;
    this.makeReady();
  }

  /** Has a worker load, where none is at hand, before there is something to ask. */
  makeReady(): void {
    this.#worker ??= this.#hire();
  }

  #hire(): Worker {
    const worker = hire();
    this.#expectNothing(worker);
    return worker;
  }

  /** A worker that fails while it is asked for nothing, as when it cannot be fetched, is no longer counted on. */
  #expectNothing(worker: Worker): void {
    worker.onmessage = () => heardFrom(worker);
    worker.onerror = (event) => {
      event.preventDefault();
      if (worker === this.#spare) this.#spare = null;
      else if (worker === this.#worker) this.#endWorker();
    };
  }

  ask(wish: Seen, listener: Listener): void;
  ask(wish: Unseen, listener: Listener<Foretold>): void;
  ask(wish: Omit<Wish, 'id'>, listener: Listener): void {
    const asked = { wish, listener };
    if (this.#begunMs === null || this.#isGlimpsed || !hasStarted(this.#worker!)) {
      this.#calm();
      this.#next = null;
      this.#begin(asked);
      return;
    }
    this.#next = asked;
    this.#calm();
    const patienceMs = this.#patienceMs === 0 ? 0 : Math.max(this.#patienceMs, this.#longestMs || FIRST_MS);
    const leftMs = this.#begunMs + patienceMs - performance.now();
    if (leftMs <= 0) this.#endAndGoOn();
    else {
      // Most forecasts are done by then, and nothing has loaded beside them that nobody needs.
      this.#foresight = setTimeout(() => {
        this.#spare ??= this.#hire();
      }, leftMs - LOADING_MS);
      this.#impatience = setTimeout(() => this.#endAndGoOn(), leftMs);
    }
  }

  /** Ends the forecast under way, if there is one, and forgets what waits. */
  cancel(): void {
    this.#next = null;
    this.#end();
  }

  /** Ends the forecast under way, if there is one, and lets the workers go; nothing can be asked any more. */
  end(): void {
    this.#calm();
    this.#next = null;
    if (this.#begunMs !== null && hasStarted(this.#worker!)) this.#endWorker();
    this.#begunMs = null;
    this.#rest();
  }

  /** Lets the workers go, which have nothing under way; the next wish hires one. */
  #rest(): void {
    if (this.#spare) letGo(this.#spare);
    if (this.#worker) letGo(this.#worker);
    this.#worker = this.#spare = null;
    this.#held = new Map();
    this.#text = null;
  }

  /** Nothing is to be ended for what waits. */
  #calm(): void {
    clearTimeout(this.#impatience);
    clearTimeout(this.#foresight);
  }

  #begin({ wish, listener }: Asked): void {
    const id = ++this.#ids;
    this.makeReady();
    const worker = this.#worker!;
    this.#begunMs = performance.now();
    this.#isGlimpsed = false;
    const stopped = (why: string): void => {
      if (worker !== this.#worker) return;
      const wasAtRest = this.#begunMs === null;
      this.#calm();
      this.#endWorker();
      this.#begunMs = null;
      if (wasAtRest) return;
      listener.refused({ sentence: `The forecast stopped: ${why}.`, fault: true, lacksFeed: false });
      this.#goOn();
    };
    worker.onmessage = ({ data }: MessageEvent<Answer>) => {
      const isFirst = !hasStarted(worker);
      heardFrom(worker);
      if (worker !== this.#worker) return;
      if (isFirst) this.#begunMs = performance.now();
      if (data.kind === 'ready') return;
      // What a forecast hands over counts as handed over, though a newer wish has taken its place.
      const scene = data.kind === 'done' ? this.#take(data.scene) : null;
      if (data.id !== id) return;
      if (data.kind === 'progress') {
        listener.progress?.(data.stage, data.fraction);
        return;
      }
      if (data.kind === 'glimpse') {
        this.#isGlimpsed = true;
        listener.glimpsed?.(data.glimpse);
        this.#goOn();
        return;
      }
      const tookMs = performance.now() - this.#begunMs!;
      this.#begunMs = null;
      this.#calm();
      if (data.kind === 'done') {
        this.#longestMs = Math.max(this.#longestMs, tookMs);
        listener.done(scene!);
      } else {
        const fault = data.kind === 'fault';
        listener.refused({ sentence: data.sentence, fault, lacksFeed: !fault && data.lacksFeed === true });
      }
      this.#goOn();
      // It keeps nothing that the next wish would find: until then others may have it, with its code compiled.
      if (!wish.live && this.#begunMs === null && worker === this.#worker) this.#rest();
    };
    worker.onerror = (event) => {
      event.preventDefault();
      stopped(event.message || whyStopped(hasStarted(worker)));
    };
    worker.onmessageerror = () => stopped('its result could not be handed over');
    const { text } = wish.setup.job;
    const isTextKept = text === this.#text;
    this.#text = text;
    // A million lines are as many megabytes as take longer to hand over than to draw.
    const setup = isTextKept ? { ...wish.setup, job: { ...wish.setup.job, text: '' } } : wish.setup;
    worker.postMessage({ ...wish, setup, id, isTextKept } satisfies PostedWish);
  }

  /** Of a wish that the stage does not show it is less, and so is what its listener asks for. */
  #take(packed: Parameters<typeof unpacked<Foretold>>[0]): Scene {
    const { value, held } = unpacked(packed, this.#held);
    this.#held = held;
    return value as Scene;
  }

  #end(): void {
    this.#calm();
    if (this.#begunMs === null) return;
    if (hasStarted(this.#worker!)) this.#endWorker();
    else this.#withdraw(this.#worker!);
    this.#begunMs = null;
  }

  /** Takes back what a worker was asked for that is still loading. */
  #withdraw(worker: Worker): void {
    this.#expectNothing(worker);
    worker.postMessage({ forget: true } satisfies Forget);
    this.#held = new Map();
    this.#text = null;
  }

  /** Ends the worker, with all it had kept; a spare one takes over, where there is one. */
  #endWorker(): void {
    this.#worker?.terminate();
    this.#worker = this.#spare;
    this.#spare = null;
    this.#isGlimpsed = false;
    this.#held = new Map();
    this.#text = null;
  }

  #endAndGoOn(): void {
    this.#end();
    this.#goOn();
  }

  #goOn(): void {
    const next = this.#next;
    // What was told may have asked again already.
    if (!next || (this.#begunMs !== null && !this.#isGlimpsed)) return;
    this.#calm();
    this.#next = null;
    this.#begin(next);
  }
}
