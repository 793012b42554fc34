import { listWords } from './phrases.ts';

/** What a finding speaks of: the wood; places on it; or else what endangers the bench or the machine, or whether the job is read rightly. */
export type About = 'wood' | 'places' | 'bench';

/** What is worth telling of any job. */
export const EVERYTHING: readonly About[] = ['wood', 'places', 'bench'];

/**
 * The same whatever the wood is like. A swatch does on purpose what is told of it: its parts go from too little light to too
 * much, so that the wood can be read from them. Of a job that finishes a cut it does not hold, since its wood is no longer whole.
 */
export const BESIDES_WOOD: readonly About[] = ['places', 'bench'];

/** The same where the piece turns or moves under the beam: a place is told of a piece that lies still. */
export const BESIDES_PLACES: readonly About[] = ['bench'];

export const SWATCH_NOTE =
  'This is a calibration swatch of Charcast: its patches, lines and cuts go from too little light to too much on ' +
  'purpose, so nothing is told of tones, depths and cuts. Burn it as it is and give its photo to charcast fit.';

export const FINISH_NOTE =
  'This job burns what is left of a cut that was begun, as its own comment says: it supposes the wood that the first burn left, ' +
  'so nothing is told of tones, depths and cuts, and pictures show what it alone would do to whole wood. How many ' +
  'passes the cut still takes was said by charcast finish, which counts with how far it came.';

/** @param axes those that turn or move the piece. */
export const turnedNote = (axes: readonly string[]): string =>
  `This job turns or moves the piece by ${listWords(axes)} while it is burned or in between, which is not simulated: times, ` +
  'places and pictures are shown as if it stood still, and nothing is told of tones, depths and cuts.';
