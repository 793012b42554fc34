import { vi } from 'vitest';
import type { Listener } from '../../viewer/worker/client.ts';
import type { Wish } from '../../viewer/worker/messages.ts';

/**
 * Stands in for `viewer/worker/client.ts`, one for all test files: they share what is loaded, so that the bench has the
 * stand-in of whichever of them came first.
 */
interface Asked {
  readonly wish: Omit<Wish, 'id'>;
  readonly listener: Listener;
}
/** What was asked for, in order. */
export const asked: Asked[] = [];
/** Called for each forecast that is ended while it is under way. */
export const ended = vi.fn();

export class Forecaster {
  #isUnderWay = false;

  ask(wish: Omit<Wish, 'id'>, listener: Listener): void {
    this.#isUnderWay = true;
    const over = <Told>(tell: (told: Told) => void) => {
      return (told: Told): void => {
        this.#isUnderWay = false;
        tell(told);
      };
    };
    asked.push({
      wish,
      listener: { ...listener, done: over(listener.done), refused: over(listener.refused) },
    });
  }
  cancel(): void {
    if (this.#isUnderWay) ended();
    this.#isUnderWay = false;
  }
  end(): void {
    this.cancel();
  }
  makeReady(): void {}
}
