import { makeWorker } from './make-worker.ts';
import type { Answer, Scene, Stage, Wish } from './messages.ts';

export interface Listener {
  progress?(stage: Stage, fraction: number): void;
  done(scene: Scene): void;
  refused(sentence: string, fault: boolean): void;
}

/**
 * Forecasts in a worker, the last wish only: a new wish, or a cancel, ends the one under way. A forecast
 * cannot be interrupted from within, so its worker is ended and a spare one, already loaded, takes over.
 */
export class Forecaster {
  #worker = makeWorker();
  #spare: Worker | null = null;
  #busy = false;
  #ids = 0;

  ask(wish: Omit<Wish, 'id'>, listener: Listener): void {
    this.cancel();
    const id = ++this.#ids;
    this.#busy = true;
    const worker = this.#worker;
    worker.onmessage = ({ data }: MessageEvent<Answer>) => {
      if (data.kind === 'ready' || data.id !== id || worker !== this.#worker) return;
      if (data.kind === 'progress') {
        listener.progress?.(data.stage, data.fraction);
        return;
      }
      this.#busy = false;
      if (data.kind === 'done') listener.done(data.scene);
      else listener.refused(data.sentence, data.kind === 'fault');
      this.#spare ??= makeWorker();
    };
    worker.onerror = (event) => {
      if (worker !== this.#worker) return;
      event.preventDefault();
      this.#busy = false;
      this.#worker = makeWorker();
      listener.refused(event.message || 'The forecast stopped; the page may have run out of memory.', true);
    };
    worker.postMessage({ ...wish, id } satisfies Wish);
  }

  /** Ends the forecast under way, if there is one. */
  cancel(): void {
    if (!this.#busy) return;
    this.#worker.terminate();
    this.#worker = this.#spare ?? makeWorker();
    this.#spare = null;
    this.#busy = false;
  }
}
