import { readOptions } from '../../src/forecast.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import type { Setup } from '../worker/messages.ts';

/** A job that was refused because feed moves in it have no feed, and nothing else. */
export interface Feedless {
  readonly setup: Setup;
  /** Opens it again, with the feed written into its text, and a sentence about that. */
  readonly reopen: (setup: Setup, note: string) => void;
}

/** Writes the feed into the page's copy of the job where it has none, and opens that. */
export async function giveFeed({ setup, reopen }: Feedless, feedMmPerMin: number): Promise<void> {
  const { withFeed } = await import('../../src/change/write-feed.ts');
  const { job, machine } = setup;
  const pieces = withFeed([job.text], readOptions(machine, mmPerMinToMmPerS(feedMmPerMin)));
  const text = Array.from(pieces).join('');
  reopen(
    { ...setup, job: { ...job, text } },
    `The job has moves without a feed; the page’s copy of it has ${numberWords(feedMmPerMin, 4)} mm/min written there.`,
  );
}
