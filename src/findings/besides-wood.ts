import type { FindingKind } from './finding.ts';
import { listWords } from './phrases.ts';

/**
 * What is told of the wood. A swatch does it on purpose: its parts go from too little light to too much, so that the wood can
 * be read from them. Of a job that finishes a cut it does not hold, since its wood is no longer whole.
 */
const OF_WOOD: ReadonlySet<FindingKind> = new Set<FindingKind>([
  'below-speed',
  'below-threshold',
  'burned-twice',
  'cut-before-engraved',
  'dark-corner',
  'dark-row-end',
  'dark-start-stop',
  'faint-corner',
  'more-than-needed',
  'no-mark',
  'not-through',
  'stripes',
  'tones-lost',
  'too-deep',
  'warm-fill',
]);

/** What is worth telling whatever the wood is like: what endangers the bench or the machine, or that the job is read rightly. */
export const isBesidesWood = (kind: FindingKind): boolean => !OF_WOOD.has(kind);

/** … and of these, what supposes that the piece lies still. */
const OF_PLACES: ReadonlySet<FindingKind> = new Set<FindingKind>([
  'near-edge',
  'off-stock',
  'on-spot',
  'wrong-size',
]);

/** The same where the piece turns or moves under the beam. */
export const isBesidesPlaces = (kind: FindingKind): boolean => isBesidesWood(kind) && !OF_PLACES.has(kind);

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
