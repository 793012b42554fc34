import { InputError } from '../errors.ts';
import type { Block } from './block.ts';
import { CALLS_G, CALLS_M, unsimulatedG } from './names.ts';

/**
 * The G and M words of a block, sorted into the modal groups of NISTIR 6556 Table 4, so that they can be
 * carried out in the order of its Table 8. G codes are ten times their number: G92.1 is 921.
 */

export const NONE = -1;

export const RAPID = 0;
export const LINEAR = 10;
export const CLOCKWISE = 20;
export const COUNTER_CLOCKWISE = 30;
export const CANCEL_MOTION = 800;
export const DWELL = 40;
export const PLANE_XY = 170;
export const PLANE_ZX = 180;
export const INCHES = 200;
export const HOME = 280;
export const SECOND_HOME = 300;
export const MACHINE_COORDINATES = 530;
export const FIRST_SYSTEM = 540;
export const ABSOLUTE = 900;
export const ARC_ABSOLUTE = 901;
export const INVERSE_TIME = 930;
export const PER_REVOLUTION = 950;
export const SHIFT = 920;
export const SHIFT_CLEAR = 921;
export const SHIFT_SUSPEND = 922;
export const SHIFT_RESTORE = 923;

type GGroup =
  | 'motion'
  | 'plane'
  | 'distance'
  | 'arcDistance'
  | 'feedMode'
  | 'units'
  | 'compensation'
  | 'toolLength'
  | 'cycleReturn'
  | 'system'
  | 'pathControl'
  | 'nonModal';
type MGroup = 'stopping' | 'toolChange' | 'spindle' | 'coolant' | 'overrides' | 'pin';

/** The codes a block holds, by group; NONE where it holds none. */
export interface Codes extends Record<GGroup | MGroup, number> {
  /** M7 and M8 may stand together: how many coolant words there are. */
  coolantWords: number;
  /** G words that are not simulated, whatever their group. */
  readonly unsimulated: number[];
  /** M words outside RS-274, and M6. */
  readonly foreign: number[];
  /** The block calls or ends a subprogram. */
  call: string | undefined;
}

const G_GROUPS: Record<GGroup, readonly number[]> = {
  motion: [0, 10, 20, 30, 800],
  plane: [170, 180, 190],
  distance: [900, 910],
  arcDistance: [901, 911],
  feedMode: [930, 940, 950],
  units: [200, 210, 700, 710],
  compensation: [400, 410, 411, 420, 421],
  toolLength: [430, 431, 432, 440, 490],
  cycleReturn: [980, 990],
  system: [540, 550, 560, 570, 580, 590, 591, 592, 593],
  pathControl: [610, 611, 640],
  nonModal: [40, 100, 280, 281, 300, 301, 520, 530, 920, 921, 922, 923],
};
/** Groups whose members are all simulated, or change nothing: G40, G49, G61 and G98, G99 are such. */
const SIMULATED = new Set(
  [
    ...[G_GROUPS.motion, G_GROUPS.plane, G_GROUPS.distance, G_GROUPS.arcDistance, G_GROUPS.feedMode],
    ...[G_GROUPS.cycleReturn, G_GROUPS.system, G_GROUPS.nonModal],
    ...[[200, 210], [400], [490], [610]],
  ]
    .flat()
    .filter((code) => code !== 100 && code !== 520),
);
const M_GROUPS: Record<MGroup, readonly number[]> = {
  stopping: [0, 1, 2, 30, 60],
  toolChange: [6],
  spindle: [3, 4, 5],
  coolant: [7, 8, 9],
  overrides: [48, 49],
  pin: [106, 107],
};

const invert = <K extends string>(groups: Record<K, readonly number[]>): ReadonlyMap<number, K> =>
  new Map(
    Object.entries<readonly number[]>(groups).flatMap(([name, codes]) => codes.map((c) => [c, name as K])),
  );
const G_GROUP = invert(G_GROUPS);
const M_GROUP = invert(M_GROUPS);

const NAME: Record<GGroup | MGroup, string> = {
  motion: 'motion words',
  plane: 'words for the plane',
  distance: 'words for absolute or incremental coordinates',
  arcDistance: 'words for absolute or incremental arc centres',
  feedMode: 'words for the meaning of F',
  units: 'words for inches or millimetres',
  compensation: 'words for cutter compensation',
  toolLength: 'words for tool length',
  cycleReturn: 'words for the return of canned cycles',
  system: 'words for a coordinate system',
  pathControl: 'words for path control',
  nonModal: 'words of the non-modal group',
  stopping: 'words that stop the program',
  toolChange: 'tool changes',
  spindle: 'beam words (M3, M4, M5)',
  coolant: 'air assist words (M7, M8, M9)',
  overrides: 'words for the override switches',
  pin: 'output words (M106, M107)',
};

/**
 * Sorts a block's G and M words. One that stands again says nothing new.
 * @throws {InputError} at two words of one group (§3.3.5; M7 with M8 excepted) or a number no code can have.
 */
export function sortCodes(block: Block): Codes {
  const codes = emptyCodes();
  for (let k = 0; k < block.gCount; k++) {
    if (block.g.indexOf(block.g[k]!) < k) continue;
    const code = codeNumber(block.g[k]!, 'G', block);
    if (CALLS_G.has(code)) codes.call = `G${code / 10}`;
    const takesMotion = unsimulatedG(code, true).takes === 'motion';
    if (!SIMULATED.has(code)) codes.unsimulated.push(code);
    const group = takesMotion ? 'motion' : G_GROUP.get(code);
    if (group !== undefined) put(codes, group, code, `G${code / 10}`, block);
  }
  for (let k = 0; k < block.mCount; k++) {
    if (block.m.indexOf(block.m[k]!) < k) continue;
    const code = codeNumber(block.m[k]!, 'M', block) / 10;
    if (CALLS_M.has(code)) codes.call = `M${code}`;
    const group = M_GROUP.get(code);
    if (group === undefined || group === 'toolChange') codes.foreign.push(code);
    if (group === 'coolant') {
      codes.coolantWords++;
      if (codes.coolant + code === 15 && code !== codes.coolant) codes.coolant = NONE;
    }
    if (group !== undefined) put(codes, group, code, `M${code}`, block);
  }
  return codes;
}

function put(codes: Codes, group: GGroup | MGroup, code: number, word: string, block: Block): void {
  if (codes[group] !== NONE) {
    const first = group in G_GROUPS ? `G${codes[group] / 10}` : `M${codes[group]}`;
    throw new InputError(
      `found two ${NAME[group]} on one line (${first} and ${word}); expected at most one`,
      block,
    );
  }
  codes[group] = code;
}

/** Ten times a code's number, whole. RS-274 lets a whole number be off by 0.0001 (§3.3.2.1). */
function codeNumber(value: number, letter: string, block: Block): number {
  const code = Math.round(value * 10);
  if (!(value >= 0 && value < 10_000) || Math.abs(value * 10 - code) > 0.001) {
    throw new InputError(`found ${letter}${value}; expected a code such as ${letter}1`, block);
  }
  return code;
}

const emptyCodes = (): Codes => ({
  motion: NONE,
  plane: NONE,
  distance: NONE,
  arcDistance: NONE,
  feedMode: NONE,
  units: NONE,
  compensation: NONE,
  toolLength: NONE,
  cycleReturn: NONE,
  system: NONE,
  pathControl: NONE,
  nonModal: NONE,
  stopping: NONE,
  toolChange: NONE,
  spindle: NONE,
  coolant: NONE,
  overrides: NONE,
  pin: NONE,
  coolantWords: 0,
  unsimulated: [],
  foreign: [],
  call: undefined,
});
