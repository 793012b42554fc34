import fc from 'fast-check';
import { checksumOf } from '../../src/program/checksum.ts';
import { seeded } from '../support/random.ts';
import type { Job, Step } from './job.ts';

/** How a job is written down; what each field may be is common practice somewhere. */
export interface Dialect {
  readonly units: 'mm' | 'inch';
  readonly distance: 'absolute' | 'incremental';
  readonly arcs: 'centre from start' | 'centre from origin' | 'radius';
  /** The S of full power. With power by pin it is 255. */
  readonly sMax: number;
  readonly power: 'M3 or M4' | 'pin';
  readonly sPlace: 'on the move' | 'on its own line';
  readonly dwell: 'P s' | 'P ms' | 'S' | 'X';
  readonly numbering: 'none' | 'N' | 'N and checksum';
  readonly numbers: 'full' | 'short' | 'shortest';
  readonly lowerCase: boolean;
  readonly blanks: boolean;
  readonly shuffled: boolean;
  readonly modal: boolean;
  readonly comments: 'none' | '( )' | ';';
  readonly lineEnd: '\n' | '\r\n' | '\r';
  readonly percent: boolean;
  /** G92 at the start, in mm, and whether G92.1 takes it back half way. */
  readonly shift: readonly [number, number] | null;
  readonly shiftEnds: boolean;
  readonly seed: number;
}

/** The dialect everything else is compared with. */
export const PLAIN: Dialect = {
  units: 'mm',
  distance: 'absolute',
  arcs: 'centre from start',
  sMax: 1000,
  power: 'M3 or M4',
  sPlace: 'on the move',
  dwell: 'P s',
  numbering: 'none',
  numbers: 'full',
  lowerCase: false,
  blanks: true,
  shuffled: false,
  modal: false,
  comments: 'none',
  lineEnd: '\n',
  percent: false,
  shift: null,
  shiftEnds: false,
  seed: 1,
};

const shiftBy = fc.integer({ min: -500, max: 500 }).map((n) => n / 10);

export const anyDialect: fc.Arbitrary<Dialect> = fc.record({
  units: fc.constantFrom('mm', 'inch'),
  distance: fc.constantFrom('absolute', 'incremental'),
  arcs: fc.constantFrom('centre from start', 'centre from origin', 'radius'),
  sMax: fc.constantFrom(255, 1000, 100, 1, 12_000),
  power: fc.constantFrom('M3 or M4', 'M3 or M4', 'pin'),
  sPlace: fc.constantFrom('on the move', 'on its own line'),
  dwell: fc.constantFrom('P s', 'P ms', 'S', 'X'),
  numbering: fc.constantFrom('none', 'N', 'N and checksum'),
  numbers: fc.constantFrom('full', 'short', 'shortest'),
  lowerCase: fc.boolean(),
  blanks: fc.boolean(),
  shuffled: fc.boolean(),
  modal: fc.boolean(),
  comments: fc.constantFrom('none', '( )', ';'),
  lineEnd: fc.constantFrom('\n', '\r\n', '\r'),
  percent: fc.boolean(),
  shift: fc.option(fc.tuple(shiftBy, shiftBy), { nil: null }),
  shiftEnds: fc.boolean(),
  seed: fc.nat(),
});

const PIN_FULL = 255;
const FULL_TURN = 2 * Math.PI - 1e-9;

/** The S of full power in what {@link write} makes. */
export const sMaxOf = (dialect: Dialect, job: Job): number => (byPin(dialect, job) ? PIN_FULL : dialect.sMax);

/** Power that follows the speed needs M4: an output pin cannot. */
const byPin = (dialect: Dialect, job: Job): boolean => dialect.power === 'pin' && job.power === 'constant';

/** Writes a job down. */
export function write(job: Job, dialect: Dialect): string {
  const random = seeded(dialect.seed);
  const inches = dialect.units === 'inch';
  const decimals = inches ? 7 : 4;
  const perMm = inches ? 1 / 25.4 : 1;
  const pin = byPin(dialect, job);
  const lines: string[][] = [];
  // The last words written, and where the head is in the numbers written: whole steps of the last decimal.
  let motion = '';
  let feed = -1;
  let duty = 0;
  let pinDuty = 0;
  let at: readonly [number, number] = [0, 0];
  let shift: readonly [number, number] = [0, 0];

  const steps = (mm: number): number => Math.round(mm * perMm * 10 ** decimals);
  const length = (count: number): string => styled(count / 10 ** decimals, decimals);
  const styled = (value: number, places: number): string => {
    const full = value.toFixed(places);
    if (dialect.numbers === 'full') return full;
    const short = full.includes('.') ? full.replace(/\.?0+$/, '') : full;
    return dialect.numbers === 'short' ? short : short.replace(/^(-?)0\./, '$1.') || '0';
  };
  const code = (word: string): string =>
    dialect.numbers === 'full' && /^[GM]\d$/.test(word) ? `${word[0]}0${word[1]}` : word;
  const move = (word: string): string[] => {
    if (dialect.modal && motion === word) return [];
    motion = word;
    return [code(word)];
  };
  /** The axis words that lead to a place. */
  const axes = (x: number, y: number): string[] => {
    const to = [steps(x), steps(y)] as const;
    const words = (['X', 'Y'] as const).flatMap((letter, k) => {
      if (to[k] === at[k]) return [];
      const count = dialect.distance === 'absolute' ? to[k]! + shift[k]! : to[k]! - at[k]!;
      return `${letter}${length(count)}`;
    });
    at = to;
    return words;
  };
  const setFeed = (mmPerMin: number): string[] => {
    if (dialect.modal && feed === mmPerMin) return [];
    feed = mmPerMin;
    return [`F${styled(mmPerMin * perMm, 5)}`];
  };
  /** The S word of a burning move; by pin or on its own line it goes before. */
  const setPower = (wanted: number): string[] => {
    if (pin) {
      if (pinDuty !== wanted)
        lines.push(wanted === 0 ? ['M107'] : ['M106', `S${styled(wanted * PIN_FULL, 4)}`]);
      pinDuty = wanted;
      return [];
    }
    const word = `S${styled(wanted * dialect.sMax, 4)}`;
    const isNew = duty !== wanted;
    duty = wanted;
    if (dialect.sPlace === 'on the move') return dialect.modal && !isNew ? [] : [word];
    if (isNew) lines.push([word]);
    return [];
  };

  lines.push([inches ? 'G20' : 'G21']);
  lines.push(['G17', dialect.distance === 'absolute' ? 'G90' : 'G91']);
  if (dialect.arcs === 'centre from origin') lines.push(['G90.1']);
  if (dialect.shift) {
    shift = [steps(dialect.shift[0]), steps(dialect.shift[1])];
    lines.push(['G92', `X${length(shift[0])}`, `Y${length(shift[1])}`]);
  }
  if (!pin) lines.push([code(job.power === 'constant' ? 'M3' : 'M4'), 'S0']);

  job.steps.forEach((step, index) => {
    if (dialect.shift && dialect.shiftEnds && index === job.steps.length >> 1) {
      lines.push(['G92.1']);
      shift = [0, 0];
    }
    const from = at;
    switch (step.kind) {
      case 'travel':
        if (pin) setPower(0);
        lines.push([...move('G0'), ...axes(step.x, step.y)]);
        return;
      case 'stroke': {
        const power = setPower(step.duty);
        lines.push([...move('G1'), ...axes(step.x, step.y), ...power, ...setFeed(step.feed)]);
        return;
      }
      case 'dwell':
        lines.push([code('G4'), dwellWord(step.seconds)]);
        return;
      case 'arc': {
        const power = setPower(step.duty);
        const words = [...move(step.sweep < 0 ? 'G2' : 'G3'), ...axes(step.x, step.y)];
        lines.push([...words, ...centreWords(step, from), ...power, ...setFeed(step.feed)]);
      }
    }
  });
  if (!pin) lines.push(['M5']);
  else lines.push(['M107']);

  function dwellWord(seconds: number): string {
    switch (dialect.dwell) {
      case 'P s':
        return `P${styled(seconds, 4)}`;
      case 'P ms':
        return `P${styled(seconds * 1000, 1)}`;
      default:
        return `${dialect.dwell}${styled(seconds, 4)}`;
    }
  }

  function centreWords(arc: Extract<Step, { kind: 'arc' }>, from: readonly [number, number]): string[] {
    const isFull = Math.abs(arc.sweep) > FULL_TURN;
    if (dialect.arcs === 'radius' && !isFull) {
      // The radius by the numbers written, so that rounding never leaves the ends too far apart.
      const sign = Math.abs(arc.sweep) > Math.PI ? -1 : 1;
      return [`R${styled(sign * arc.radius * perMm, decimals)}`];
    }
    const centre = [steps(arc.centreX), steps(arc.centreY)];
    return (['I', 'J'] as const).map((letter, k) =>
      dialect.arcs === 'centre from origin'
        ? `${letter}${length(centre[k]! + shift[k]!)}`
        : `${letter}${length(centre[k]! - from[k]!)}`,
    );
  }

  return layOut(lines, dialect, random);
}

/** Words to text: order, blanks, case, numbering, comments and line ends. */
function layOut(lines: readonly string[][], dialect: Dialect, random: () => number): string {
  const texts: string[] = dialect.percent ? ['%'] : [];
  lines.forEach((words, k) => {
    // A pin word takes the S behind it, so its line keeps its order.
    const ordered = dialect.shuffled && !/^M10/.test(words[0]!) ? shuffle(words, random) : words;
    let text = ordered.join(dialect.blanks ? ' ' : '');
    if (dialect.numbering !== 'none') text = `N${k + 1}${dialect.blanks ? ' ' : ''}${text}`;
    if (dialect.lowerCase) text = text.toLowerCase();
    if (dialect.numbering === 'N and checksum') text = `${text}*${checksumOf(text)}`;
    if (random() < 0.3) text += { none: '', '( )': ' (G1 X5)', ';': '; G1 X5' }[dialect.comments];
    texts.push(text);
    if (random() < 0.1) texts.push({ none: '', '( )': '(next)', ';': ';' }[dialect.comments]);
  });
  if (dialect.percent) texts.push('%');
  return texts.map((text) => text + dialect.lineEnd).join('');
}

function shuffle<T>(items: readonly T[], random: () => number): T[] {
  const shuffled = [...items];
  for (let k = shuffled.length - 1; k > 0; k--) {
    const other = Math.floor(random() * (k + 1));
    [shuffled[k], shuffled[other]] = [shuffled[other]!, shuffled[k]!];
  }
  return shuffled;
}
