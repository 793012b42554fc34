import type { Finding, FindingKind } from './finding.ts';

/** What a swatch does on purpose: its parts go from too little light to too much, so that the wood can be read from them. */
const ON_PURPOSE: ReadonlySet<FindingKind> = new Set<FindingKind>([
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

/** What is still worth telling of a swatch: what endangers the bench, the machine or the reading of it. */
export const toldOfSwatch = (findings: readonly Finding[]): Finding[] =>
  findings.filter(({ kind }) => !ON_PURPOSE.has(kind));

export const SWATCH_NOTE =
  'This is a calibration swatch of Charcast: its patches, lines and cuts go from too little light to too much on ' +
  'purpose, so nothing is told of tones, depths and cuts. Burn it as it is and give its photo to charcast fit.';
