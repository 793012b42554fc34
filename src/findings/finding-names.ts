import type { Finding, FindingKind } from './finding.ts';

/** What each kind of finding is called where only its name is told, in the words of its own sentences. */
const NAMES: Readonly<Record<FindingKind, string>> = {
  'beam-left-on': 'the beam left on at the end',
  'beam-never-on': 'a beam that never comes on',
  'beam-on-at-rest': 'a dot burned while the head waits',
  'beam-on-travel': 'lines burned while travelling',
  'below-speed': 'a set speed that is hardly reached',
  'below-threshold': 'too little power to mark',
  'burned-twice': 'an edge burned twice by mistake',
  'controller-may-stop': 'a line that a stricter controller may stop at',
  'cut-before-engraved': 'a part cut free before it is engraved',
  'dark-corner': 'dark corners',
  'dark-row-end': 'dark row ends',
  'dark-start-stop': 'dark dots where strokes begin or end',
  'faint-corner': 'bare gaps where the head is slow',
  'may-ignite': 'a beam that may set the wood alight',
  'more-than-needed': 'a cut with far more light than it needs',
  'near-edge': 'burning close to the edge of the board',
  'no-mark': 'light too faint to mark',
  'not-simulated': 'a command that is not simulated',
  'not-through': 'a cut that does not go through',
  'off-bed': 'moves beyond the bed',
  'off-stock': 'burning beside the board',
  'on-spot': 'burning over a place to keep off',
  'other-scale': 'power on another scale',
  'power-clipped': 'more power asked for than there is',
  'rows-shifted': 'rows out of line with each other',
  'speed-capped': 'more speed asked for than there is',
  starved: 'waiting for the link',
  stripes: 'stripes between rows',
  'tones-lost': 'tones that burn alike',
  'too-deep': 'an engraving that goes too deep',
  'warm-fill': 'a fill that burns darker because it is small',
  'wrong-size': 'the wrong size',
};

/** A finding's name in a list: `dark corners in operation 2`. */
export const findingName = ({ kind, operation }: Pick<Finding, 'kind' | 'operation'>): string =>
  `${NAMES[kind]}${operation ? ` in operation ${operation}` : ''}`;
