import type { Change, Settings } from '../../src/change/change.ts';
import { checksumOf } from '../../src/program/checksum.ts';
import type { Program } from '../../src/program/program.ts';
import { below, seeded } from '../support/random.ts';

/**
 * Small jobs at random, as different programs write them: absolute or incremental, mm or inches, a beam word
 * for each operation or one for all, S and F said once or on every line, rows there and back or one way, with
 * and without overscan, outlines of lines and arcs, in several passes; with comments, blank lines, CRLF,
 * line numbers and checksums.
 */
interface RandomJob {
  readonly text: string;
  /** How it is written, for the message of a failing test. */
  readonly dialect: Dialect;
}

interface Dialect {
  incremental: boolean;
  inches: boolean;
  shifted: boolean;
  beamWordPerOperation: boolean;
  sayAll: boolean;
  blanks: boolean;
  lower: boolean;
  lineEnd: string;
  numbers: 'none' | 'plain' | 'checked';
  mark: boolean;
  endWord: string;
}

export function randomJob(seed: number): RandomJob {
  const random = seeded(seed);
  const chance = (part: number) => random() < part;
  const dialect = randomDialect(random);
  const pen = startPen(dialect, random);
  const operations = 1 + below(random, 3);
  const mode = chance(0.5) ? 'M3' : 'M4';
  for (let k = 0; k < operations; k++) {
    const own = chance(0.7) ? mode : mode === 'M3' ? 'M4' : 'M3';
    if (k === 0 || dialect.beamWordPerOperation) pen.beam(own, chance(0.5) ? 0 : 400);
    if (chance(0.1)) pen.say(chance(0.5) ? 'M8' : 'G4 P0.1');
    if (chance(0.5)) pen.comment(`operation ${k + 1}`);
    const feed = [600, 1200, 3000][below(random, 3)]!;
    if (chance(0.5)) rows(pen, random, k, feed);
    else outlines(pen, random, k, feed);
    if (dialect.beamWordPerOperation && chance(0.4)) pen.say('M5');
  }
  return { text: pen.finish(), dialect };
}

/** Parts at random, each outlined before the holes in it, all one operation: what must be burned inside first. */
export function randomNest(seed: number): RandomJob {
  const random = seeded(seed);
  const dialect = randomDialect(random);
  const pen = startPen(dialect, random);
  const word = random() < 0.5 ? 'M3' : 'M4';
  const passes = 1 + below(random, 2);
  const square = (x: number, y: number, side: number) => {
    if (dialect.beamWordPerOperation) pen.say('M5');
    pen.rapid(x, y);
    if (dialect.beamWordPerOperation) pen.beam(word, 700);
    for (let pass = 0; pass < passes; pass++) {
      pen.line(x + side, y, 700, 600);
      pen.line(x + side, y + side, 700, 600);
      pen.line(x, y + side, 700, 600);
      pen.line(x, y, 700, 600);
    }
  };
  pen.beam(word, 0);
  for (let part = 0; part < 1 + below(random, 4); part++) {
    const x = 2 + 12 * part;
    square(x, 3, 10);
    for (let hole = below(random, 3); hole >= 0; hole--) square(x + 1 + 3 * hole, 5, 2);
    if (random() < 0.5) {
      square(x + 2, 8, 4);
      square(x + 3, 9, 1.5);
    }
  }
  return { text: pen.finish(), dialect };
}

function randomDialect(random: () => number): Dialect {
  const chance = (part: number) => random() < part;
  return {
    incremental: chance(0.25),
    inches: chance(0.15),
    shifted: chance(0.15),
    beamWordPerOperation: chance(0.6),
    sayAll: chance(0.4),
    blanks: chance(0.8),
    lower: chance(0.1),
    lineEnd: chance(0.3) ? '\r\n' : '\n',
    numbers: chance(0.15) ? 'plain' : chance(0.15) ? 'checked' : 'none',
    mark: chance(0.1),
    endWord: chance(0.5) ? 'M2' : chance(0.5) ? 'M5' : '',
  };
}

function rows(pen: Pen, random: () => number, k: number, feed: number): void {
  const count = 3 + below(random, 4);
  const overscan = random() < 0.4 ? 1 + below(random, 3) : 0;
  const bothWays = random() < 0.6;
  const shades = random() < 0.4;
  const burnsSteps = overscan === 0 && bothWays && random() < 0.2;
  const byRapid = random() < 0.3;
  const left = 5 + k;
  const bottom = 3 + 5 * k;
  for (let row = 0; row < count; row++) {
    const y = bottom + row * 0.2;
    const right = !bothWays || row % 2 === 0;
    const cuts = [left, left + 2, left + 3, left + 6];
    if (!right) cuts.reverse();
    const out = right ? overscan : -overscan;
    const s = () => (shades ? 100 + 50 * below(random, 12) : 500);
    if (row === 0) pen.rapid(cuts[0]! - out, y);
    else if (burnsSteps) pen.line(cuts[0]!, y, s(), feed);
    else if (byRapid) pen.rapid(cuts[0]! - out, y);
    else pen.line(cuts[0]! - out, y, 0, feed);
    if (overscan > 0) pen.line(cuts[0]!, y, 0, feed);
    pen.line(cuts[1]!, y, s(), feed);
    pen.line(cuts[2]!, y, 0, feed);
    pen.line(cuts[3]!, y, s(), feed);
    if (overscan > 0) pen.line(cuts[3]! + out, y, 0, feed);
  }
}

function outlines(pen: Pen, random: () => number, k: number, feed: number): void {
  const count = 1 + below(random, 2);
  const passes = 1 + below(random, 3);
  const grouped = random() < 0.5;
  const s = 300 + 100 * below(random, 8);
  const shape = (n: number) => {
    const x = 6 + 7 * n;
    const y = 4 + 5 * k;
    pen.rapid(x, y);
    if (n % 2 === 0) {
      pen.line(x + 4, y, s, feed);
      pen.line(x + 4, y + 2, s, feed);
      pen.line(x, y + 2, s, feed);
      pen.line(x, y, s, feed);
    } else {
      pen.arc(x + 2, y + 2, 0, 2, s, feed);
      pen.line(x, y + 2, s, feed);
      pen.line(x, y, s, feed);
    }
  };
  if (grouped) for (let n = 0; n < count; n++) for (let p = 0; p < passes; p++) shape(n);
  else for (let p = 0; p < passes; p++) for (let n = 0; n < count; n++) shape(n);
}

/** Writes words, and knows what holds. */
interface Pen {
  say(words: string): void;
  comment(text: string): void;
  beam(word: string, s: number): void;
  rapid(x: number, y: number): void;
  line(x: number, y: number, s: number, feed: number): void;
  arc(x: number, y: number, i: number, j: number, s: number, feed: number): void;
  finish(): string;
}

function startPen(dialect: Dialect, random: () => number): Pen {
  const lines: string[] = [];
  const unit = dialect.inches ? 25.4 : 1;
  const originX = dialect.shifted ? 2.5 : 0;
  let [x, y] = [0, 0];
  let [motion, s, feed] = ['', -1, -1];
  const number = (mm: number) => String(Number((mm / unit).toFixed(5)) + 0);
  const put = (words: string[], note = '') => {
    const text = words.join(dialect.blanks ? ' ' : '') + note;
    if (text !== '') lines.push(dialect.lower ? text.toLowerCase() : text);
  };
  const place = (toX: number, toY: number): string[] => {
    const words: string[] = [];
    if (toX !== x || dialect.sayAll) words.push(`X${number(toX - (dialect.incremental ? x : originX))}`);
    if (toY !== y || dialect.sayAll) words.push(`Y${number(toY - (dialect.incremental ? y : 0))}`);
    [x, y] = [toX, toY];
    return words;
  };
  const go = (word: string, places: string[], toS: number, toFeed: number, note = '') => {
    const words: string[] = [];
    if (word !== motion || dialect.sayAll) words.push(word);
    words.push(...places);
    if (toS >= 0 && (toS !== s || (dialect.sayAll && word !== 'G0'))) words.push(`S${toS}`);
    if (toFeed >= 0 && toFeed !== feed) words.push(`F${Number((toFeed / unit).toFixed(6))}`);
    if (places.length > 0) motion = word;
    if (toS >= 0) s = toS;
    if (toFeed >= 0) feed = toFeed;
    if (places.length > 0) put(words, note);
  };

  lines.push('; a job made at random');
  put([dialect.inches ? 'G20' : 'G21', 'G90']);
  if (dialect.shifted) put([`G92`, `X${number(-originX)}`]);
  if (dialect.incremental) put(['G91']);
  return {
    say: (words) => put(words.split(' ')),
    comment: (text) => lines.push(random() < 0.5 ? `; ${text}` : `(${text})`),
    beam(word, toS) {
      put([word, `S${toS}`]);
      s = toS;
    },
    rapid: (toX, toY) => go('G0', place(toX, toY), -1, -1),
    line: (toX, toY, toS, toFeed) =>
      go('G1', place(toX, toY), toS, toFeed, random() < 0.05 ? ' ; so far' : ''),
    arc(toX, toY, i, j, toS, toFeed) {
      const centre = [`I${number(i)}`, `J${number(j)}`];
      motion = '';
      go('G3', [...place(toX, toY), ...centre], toS, toFeed);
    },
    finish() {
      if (dialect.endWord) put([dialect.endWord]);
      if (dialect.numbers !== 'none') {
        lines.forEach((line, k) => {
          if (!/^[;(]/.test(line)) lines[k] = `N${(k + 1) * (dialect.numbers === 'plain' ? 10 : 1)} ${line}`;
        });
      }
      if (dialect.numbers === 'checked') {
        lines.forEach((line, k) => {
          const code = line.replace(/ ;.*$/, '');
          if (/^N/i.test(line)) lines[k] = `${code}*${checksumOf(code)}`;
        });
      }
      return (dialect.mark ? '\u00EF\u00BB\u00BF' : '') + lines.join(dialect.lineEnd) + dialect.lineEnd;
    },
  };
}

/** Some changes of a program's operations, at random but of a kind each allows. */
export function randomChanges(program: Program, seed: number): Change[] {
  const random = seeded(seed);
  return program.operations.flatMap((operation) => {
    if (random() < 0.3) return [];
    const settings: { -readonly [K in keyof Settings]: Settings[K] } = {};
    if (random() < 0.4) settings.speedMmPerS = [15, 25, 40, 62.5][below(random, 4)]!;
    if (random() < 0.4) settings.powerFraction = [0.25, 0.61, 0.9, 1][below(random, 4)]!;
    if (random() < 0.3) settings.powerMode = random() < 0.5 ? 'constant' : 'proportional';
    if (random() < 0.25) settings.passes = 1 + below(random, 4);
    if (operation.kind === 'rows' && random() < 0.35)
      settings.overscanMm = [0, 1, 2.5, 4.2][below(random, 4)]!;
    if (operation.kind === 'rows' && random() < 0.25) {
      settings.rowOrder = random() < 0.5 ? 'one direction' : 'both directions';
    }
    return Object.keys(settings).length > 0 ? [{ operation: operation.n, ...settings }] : [];
  });
}
