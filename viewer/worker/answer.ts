import { InputError, lacksOnlyFeed } from '../../src/errors.ts';
import { forgetBase, keptBuffers } from './base.ts';
import { buffersOf } from './buffers.ts';
import type { Errand, ErrandAnswer } from './errand.ts';
import { glimpseOf } from './glimpse.ts';
import { type Packed, packed } from './handed.ts';
import type { Answer, Foretold, Forget, PostedWish, Setup, Wish } from './messages.ts';
import { foretold, sceneOf } from './scene.ts';

const answer = (message: Answer, hand: Transferable[] = []) => self.postMessage(message, { transfer: hand });

/** Makes a worker of this: from here on it forecasts what it is asked for. */
export function takeWishes(): void {
  let text = '';
  self.onmessage = ({ data }: MessageEvent<PostedWish | Errand | Forget>) => {
    if ('forget' in data) {
      text = '';
      newest = null;
      forgetBase();
      handed = new Map();
      return;
    }
    if ('errand' in data) {
      void runFor(data);
      return;
    }
    const { isTextKept, ...wish } = data;
    if (!isTextKept) text = wish.setup.job.text;
    void forecastFor({ ...wish, setup: { ...wish.setup, job: { ...wish.setup.job, text } } });
  };
  answer({ kind: 'ready' });
}

async function runFor(errand: Errand): Promise<void> {
  const tell = (told: ErrandAnswer) => self.postMessage(told);
  try {
    const { doErrand } = await import('./do-errand.ts');
    tell({ kind: 'errand done', result: doErrand(errand) });
  } catch (error) {
    const sentence = error instanceof Error ? error.message : String(error);
    tell({ kind: 'errand refused', sentence, fault: !(error instanceof InputError) });
  }
}

/** What the page has of what is kept here. */
let handed: Packed<Foretold>['numbers'] = new Map();

/** The wish that came last; null: nobody waits for one. */
let newest: number | null = null;

/** After a glimpse a newer wish is waited for this long: nobody reads the forecast of a number that is gone, ms. */
const GLIMPSED_MS = 100;

const rested = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

async function forecastFor(wish: Wish): Promise<void> {
  const { id } = wish;
  newest = id;
  // What came while this was loading came all at once: only the last of it is wanted.
  await rested(0);
  if (newest !== id) return;
  try {
    const glimpse = glimpseOf(wish);
    if (glimpse) {
      answer({ kind: 'glimpse', id, glimpse }, [...buffersOf(glimpse)]);
      await rested(GLIMPSED_MS);
      if (newest !== id) return;
    }
    const make = wish.isUnseen ? foretold : sceneOf;
    const scene: Foretold = make(wish, (stage, fraction) =>
      answer({ kind: 'progress', id, stage, fraction }),
    );
    // What is kept for the next forecast is copied, once; all else is handed over.
    const staying = keptBuffers();
    const { value, kept, numbers } = packed(scene, staying, handed);
    answer(
      { kind: 'done', id, scene: { value, kept } },
      [...buffersOf(value)].filter((buffer) => !staying.has(buffer)),
    );
    handed = numbers;
  } catch (error) {
    if (error instanceof InputError)
      answer({
        kind: 'refused',
        id,
        sentence: refusalOf(error, wish.setup),
        lacksFeed: lacksOnlyFeed(error),
      });
    else if (error instanceof RangeError && /alloc|length/i.test(error.message))
      answer({
        kind: 'refused',
        id,
        sentence:
          'There is not enough memory for a grid this fine; expected a smaller board or a larger cell.',
      });
    else
      answer({
        kind: 'fault',
        id,
        sentence: error instanceof Error ? (error.stack ?? error.message) : String(error),
      });
  }
}

/** What has no line while settings are changed is about these, not about the file. */
function refusalOf(error: InputError, { job, changes }: Setup): string {
  return changes.length > 0 && error.line === undefined && error.source === undefined
    ? `The changed settings cannot be burned: ${error}`
    : error.from(job.name).toString();
}
