import { InputError } from '../errors.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../units.ts';
import { type Change, checkSettings, refuseContradictions, type Settings, type Target } from './change.ts';

/**
 * Changes as a person writes them:
 *
 *     2: speed 1500, power 70 %, constant, passes 3, overscan 4.2 mm, one direction; outlines: passes 2;
 *     3: last, inside first; 4: cut; 5: engrave; 6: skip; all: shift 12x-3, turn 90
 *
 * Before the colon an operation's number, `all`, `rows` or `outlines`; behind it settings, in any order, parted
 * by commas; further changes behind a semicolon. Speed is in mm/min unless mm/s is said, power in per cent of
 * full scale, overscan in mm. A shift, of all that the job burns, is in mm to the right and to the back; a turn, in
 * quarters, is counter-clockwise about the middle of it.
 */

const NUMBER = String.raw`([-+]?(?:\d+(?:\.\d+)?|\.\d+))`;

/** One kind of setting: what it looks like, what it means, what to say when it is begun but not understood. */
interface Phrase {
  readonly name: string;
  readonly pattern: RegExp;
  /** Where the pattern fails, a part that begins so was meant as this one. */
  readonly begins: RegExp;
  readonly expected: string;
  read(match: RegExpExecArray): Settings;
}

const pattern = (source: string): RegExp => new RegExp(`^${source}$`, 'i');

const PHRASES: readonly Phrase[] = [
  {
    name: 'speed',
    pattern: pattern(`speed ?${NUMBER} ?(mm/min|mm/s)?`),
    begins: /^speed/i,
    expected: 'a speed in mm/min, as in speed 1500',
    read: ([, number, unit]) => ({
      speedMmPerS: unit?.toLowerCase() === 'mm/s' ? Number(number) : mmPerMinToMmPerS(Number(number)),
    }),
  },
  {
    name: 'power',
    pattern: pattern(`power ?${NUMBER} ?(?:%|per ?cent)?`),
    begins: /^power/i,
    expected: 'a power in per cent of full scale, as in power 70 %',
    read: ([, number]) => ({ powerFraction: Number(number) / 100 }),
  },
  {
    name: 'power mode',
    pattern: pattern('(constant|proportional)(?: power)?'),
    begins: /^(constant|proportional)/i,
    expected: 'constant or proportional',
    read: ([, mode]) => ({ powerMode: mode!.toLowerCase() as 'constant' | 'proportional' }),
  },
  {
    name: 'passes',
    pattern: pattern(`(?:passes ?${NUMBER}|${NUMBER} ?pass(?:es)?)`),
    begins: /pass/i,
    expected: 'a number of passes, as in passes 3',
    read: ([, after, before]) => ({ passes: Number(after ?? before) }),
  },
  {
    name: 'overscan',
    pattern: pattern(`overscan ?${NUMBER} ?(?:mm)?`),
    begins: /^overscan/i,
    expected: 'an overscan in mm, as in overscan 4.2 mm',
    read: ([, number]) => ({ overscanMm: Number(number) }),
  },
  {
    name: 'row order',
    pattern: pattern('(one|both) directions?'),
    begins: /direction/i,
    expected: 'one direction or both directions',
    read: ([, which]) => ({
      rowOrder: which!.toLowerCase() === 'one' ? 'one direction' : 'both directions',
    }),
  },
  {
    name: 'last',
    pattern: pattern('(?:burn(?:ed)? |cut )?last'),
    begins: /last/i,
    expected: 'last, for what is burned after all other operations',
    read: () => ({ last: true }),
  },
  {
    name: 'inside first',
    pattern: pattern('inside (?:first|out)'),
    begins: /inside/i,
    expected: 'inside first, for what lies inside an outline to be burned before it',
    read: () => ({ insideFirst: true }),
  },
  {
    name: 'what it is for',
    pattern: pattern('(?:meant to |to |for )?(cut|engrav)(?:ting|e|ed|ing)?'),
    begins: /(cut|engrav)/i,
    expected: 'cut or engrave, for what an outline is meant to do',
    read: ([, verb]) => ({ intent: verb!.toLowerCase() === 'cut' ? 'cut' : 'engrave' }),
  },
  {
    name: 'what is left out',
    pattern: pattern('(skip|only)'),
    begins: /^(skip|leave|only)/i,
    expected: 'skip, for an operation to be left out, or only, for all others',
    read: ([, word]) => (word!.toLowerCase() === 'skip' ? { skip: true } : { only: true }),
  },
  {
    name: 'shift',
    pattern: pattern(`(?:shift|move)(?:ed)? ?${NUMBER} ?(?:mm)? ?[x×] ?${NUMBER} ?(?:mm)?`),
    begins: /^(shift|move)/i,
    expected: 'a shift in mm to the right and to the back, as in shift 12x-3',
    read: ([, x, y]) => ({ shiftMm: [Number(x) + 0, Number(y) + 0] }),
  },
  {
    name: 'turn',
    pattern: pattern(`turn(?:ed)? ?${NUMBER} ?(?:°|degrees?)?`),
    begins: /^turn/i,
    expected: 'a turn in degrees, counter-clockwise, in quarters, as in turn 90',
    read: ([, degrees]) => ({ turnDegrees: ((Number(degrees) % 360) + 360) % 360 }),
  },
];

const EXAMPLE = '2: speed 1500, power 70 %';

/**
 * Reads changes as people write them: `2: speed 1500, power 70 %; rows: overscan 4 mm`.
 * @returns speeds in mm/s, lengths in mm.
 * @throws {InputError} that shows the part that was not understood and what was expected there, or which two contradict.
 */
export function parseChanges(text: string): Change[] {
  const parts = text
    .split(';')
    .map((part) => part.trim().replace(/\s+/g, ' '))
    .filter((part) => part !== '');
  if (parts.length === 0) throw new InputError(`found no change; expected one such as ${EXAMPLE}`);
  const changes = parts.map(parseChange);
  refuseContradictions(changes);
  return changes;
}

function parseChange(text: string): Change {
  const colon = text.indexOf(':');
  if (colon < 0) {
    throw new InputError(`found “${text}”; expected an operation and a colon first, as in ${EXAMPLE}`);
  }
  const operation = parseTarget(text.slice(0, colon).trim());
  return { operation, ...parseSettings(text.slice(colon + 1), text.slice(0, colon).trim()) };
}

function parseTarget(text: string): Target {
  const word = text.replace(/^operation /i, '').toLowerCase();
  if (word === 'all' || word === 'rows' || word === 'outlines') return word;
  if (/^[1-9]\d{0,5}$/.test(word)) return Number(word);
  throw new InputError(
    `found “${text}” before the colon; expected an operation's number, all, rows or outlines, as in ${EXAMPLE}`,
  );
}

/** The settings behind a colon; `target` is for the sentence when something is wrong. */
function parseSettings(text: string, target: string): Settings {
  let settings: Settings = {};
  const seen = new Set<string>();
  for (const part of text.split(',').map((each) => each.trim())) {
    const { name, read } = parsePart(part, target);
    if (seen.has(name)) throw new InputError(`found two settings of ${name} for ${target}; expected one`);
    seen.add(name);
    settings = { ...settings, ...read };
  }
  checkSettings(settings);
  return settings;
}

function parsePart(part: string, target: string): { name: string; read: Settings } {
  if (part === '')
    throw new InputError(`found nothing to change for ${target}; expected a setting, as in ${EXAMPLE}`);
  for (const phrase of PHRASES) {
    const match = phrase.pattern.exec(part);
    if (match) return { name: phrase.name, read: phrase.read(match) };
  }
  const meant = PHRASES.find(({ begins }) => begins.test(part));
  throw new InputError(
    `found “${part}”; expected ${meant?.expected ?? 'speed, power, constant, proportional, passes, overscan, one direction, both directions, last, inside first, cut, engrave, skip, only, shift or turn'}`,
  );
}

/** A number as a person writes it: no exponent, no noise of the last bit. */
const plain = (value: number): string => {
  const text = String(Number(value.toPrecision(12)));
  return text.includes('e') ? value.toFixed(12).replace(/\.?0+$/, '') : text;
};

/** A change in the words {@link parseChanges} reads: `2: speed 1500 mm/min, power 70 %, constant`. */
export function changeWords(change: Change): string {
  return `${change.operation}: ${settingsWords(change)}`;
}

/** The settings alone: `speed 1500 mm/min, power 70 %`. */
function settingsWords(settings: Settings): string {
  const { speedMmPerS, powerFraction, powerMode, passes, overscanMm, rowOrder, last, insideFirst, intent } =
    settings;
  const { skip, only, shiftMm, turnDegrees } = settings;
  return [
    speedMmPerS === undefined ? undefined : `speed ${plain(mmPerSToMmPerMin(speedMmPerS))} mm/min`,
    powerFraction === undefined ? undefined : `power ${plain(powerFraction * 100)} %`,
    powerMode,
    passes === undefined ? undefined : `passes ${passes}`,
    overscanMm === undefined ? undefined : `overscan ${plain(overscanMm)} mm`,
    rowOrder,
    last && 'last',
    insideFirst && 'inside first',
    intent,
    skip && 'skip',
    only && 'only',
    shiftMm && `shift ${shiftMm.map(plain).join('x')} mm`,
    turnDegrees === undefined ? undefined : `turn ${turnDegrees}°`,
  ]
    .filter((words) => words !== undefined)
    .join(', ');
}

/** Several changes in one line, as {@link parseChanges} reads them back. */
export const changesWords = (changes: readonly Change[]): string => changes.map(changeWords).join('; ');
