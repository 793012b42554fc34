import type { Severity } from './notes.ts';

/**
 * The G and M words that Charcast knows but does not simulate: what leaving one out means for the forecast.
 * G codes are held as ten times their number (G61.1 is 611), so that they compare exactly.
 */

interface Unsimulated {
  readonly effect: string;
  readonly severity: Severity;
  /** `motion`: stands in for G0–G3 and stays in force; `axes`: takes the axis words of its own line only. */
  readonly takes?: 'motion' | 'axes';
  /** What to do where leaving it out would spoil the job. */
  readonly instead?: string;
}

const note = (effect: string): Unsimulated => ({ effect, severity: 'note' });
const warning = (effect: string): Unsimulated => ({ effect, severity: 'warning' });
const stop = (effect: string, takes?: 'motion' | 'axes'): Unsimulated =>
  takes ? { effect, severity: 'stop', takes } : { effect, severity: 'stop' };

/** What to do where a program jumps, repeats or does more than a move. */
export const AS_ONE_RUN =
  'export the job anew as one run of plain moves, without cycles, subprograms, loops and conditions';

const curve: Unsimulated = {
  ...stop('this kind of curve is left out', 'motion'),
  instead: 'export the job anew with lines and arcs only (G1, G2, G3)',
};
const cycle: Unsimulated = {
  ...stop('drilling and other canned cycles are left out', 'motion'),
  instead: AS_ONE_RUN,
};
/** Whatever writes the job can work its places out before. */
const IN_PLAIN_PLACES = 'export the job anew with its places worked out, in plain X and Y';
const probe = stop('probing moves are left out; where the head ends depends on what it touches', 'motion');
const places: Unsimulated = {
  ...stop('coordinate systems are left where they are; later places may be shifted', 'axes'),
  instead: IN_PLAIN_PLACES,
};
const compensation: Unsimulated = {
  ...stop('the path is shown as written, without cutter compensation'),
  instead: 'export the job anew with the width of the cut already allowed for in its path',
};
const toolLength = warning('heights are shown as written, without a tool length offset');
const turned: Unsimulated = {
  ...stop('scaled or turned coordinates are read as written', 'axes'),
  instead: IN_PLAIN_PLACES,
};

const G: ReadonlyMap<number, Unsimulated> = new Map([
  [50, curve],
  [51, curve],
  [52, curve],
  [53, curve],
  [70, stop('diameter mode is not simulated; lengths along X are read as written')],
  [80, note('radius mode is what is simulated anyway')],
  [100, places],
  [150, note('polar coordinates are off anyway')],
  [160, { ...stop('polar coordinates are read as plain X and Y'), instead: IN_PLAIN_PLACES }],
  [330, stop('moves tied to a spindle are left out', 'motion')],
  [331, stop('moves tied to a spindle are left out', 'motion')],
  [382, probe],
  [383, probe],
  [384, probe],
  [385, probe],
  [410, compensation],
  [411, compensation],
  [420, compensation],
  [421, compensation],
  [430, toolLength],
  [431, { ...toolLength, takes: 'axes' }],
  [432, toolLength],
  [440, toolLength],
  [500, note('scaling is off anyway')],
  [510, turned],
  [520, places],
  [611, warning('the head is not stopped at every corner, as an exact stop would')],
  [640, note('corners are followed exactly, not rounded')],
  [680, turned],
  [690, note('rotation is off anyway')],
  [700, stop('inch or millimetre by an older code table; units are left as they are')],
  [710, stop('inch or millimetre by an older code table; units are left as they are')],
  ...[730, 740, 760, 810, 820, 830, 840, 850, 860, 870, 880, 890].map((code) => [code, cycle] as const),
  [960, note('spindle speed control does not concern a laser')],
  [970, note('spindle speed control does not concern a laser')],
]);

const heater = note('heaters do not concern the burn');
const limits = warning('the file changes speed or acceleration limits; the machine profile is used instead');
const display = note('it changes nothing on the work');
const override = warning('the file changes the speed of what follows; it is shown at the written feed');
const outputs = warning(
  'it switches outputs of the controller; if the beam or the air is on one, the burn differs',
);
const homeOrMove = stop('it may move the head; that move is left out');

const M: ReadonlyMap<number, Unsimulated> = new Map([
  [6, warning('the pause for a tool change and any move to it are left out')],
  [10, outputs],
  [11, outputs],
  [17, display],
  [18, display],
  [42, outputs],
  [50, display],
  [51, display],
  [52, display],
  [53, display],
  [61, note('tools do not concern a laser')],
  [62, outputs],
  [63, outputs],
  [64, outputs],
  [65, outputs],
  [67, outputs],
  [68, outputs],
  [73, display],
  [75, display],
  [76, display],
  [77, display],
  [82, display],
  [83, display],
  [84, display],
  [92, warning('the file changes the steps per millimetre; sizes are shown as written')],
  [104, heater],
  [105, display],
  [106, note('an output that is not the beam, such as a fan; it is left out')],
  [107, note('an output that is not the beam, such as a fan; it is left out')],
  [109, heater],
  [110, display],
  [114, display],
  [115, display],
  [119, display],
  [125, homeOrMove],
  [140, heater],
  [190, heater],
  [201, limits],
  [203, limits],
  [204, limits],
  [205, limits],
  [206, stop('the file shifts the origin of the machine; places are shown without that shift')],
  [220, override],
  [221, display],
  [226, warning('a pause for the operator is left out')],
  [300, display],
  [302, display],
  [400, note('waiting for moves to finish is left out')],
  [500, display],
  [501, warning('the file changes settings of the controller; the machine profile is used instead')],
  [502, warning('the file changes settings of the controller; the machine profile is used instead')],
  [503, display],
  [566, limits],
  [600, homeOrMove],
]);

/** G65–G67, M97–M99: calls of other parts of a program, which are not followed. */
export const CALLS_G: ReadonlySet<number> = new Set([650, 660, 670]);
export const CALLS_M: ReadonlySet<number> = new Set([97, 98, 99]);
export const CALL: Unsimulated = {
  ...stop('subprograms are not run; the line is left out'),
  instead: AS_ONE_RUN,
};

/** A G word that is not simulated, by ten times its number. One that is not known at all takes axis words. */
export const unsimulatedG = (code: number, holdsAxes: boolean): Unsimulated =>
  G.get(code) ??
  (holdsAxes
    ? stop('it is not known here; the words on its line are left out', 'axes')
    : warning('it is not known here; what it does is left out'));

/** An M word outside RS-274, or M6. */
export const unsimulatedM = (code: number, holdsAxes: boolean): Unsimulated =>
  M.get(code) ??
  (holdsAxes
    ? stop('it is not known here; the words on its line are left out')
    : warning('it is not known here; what it does to the beam or the head is left out'));

/** Letters that no word of their block uses. */
export function unusedLetter(letter: string): Unsimulated {
  if (letter === 'E') return note('feeding of filament does not concern the burn');
  if ('ABCUVW'.includes(letter)) {
    return warning('a further axis; only X, Y and Z are simulated');
  }
  if (letter === 'T') return note('tools do not concern a laser');
  const unused = 'no word on its line uses it';
  return 'XYZ'.includes(letter) ? warning(unused) : note(unused);
}
