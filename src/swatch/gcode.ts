import { SWATCH_TITLE } from '../program/swatch-job.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { codeStrokes } from './code.ts';
import { digitStrokes, type Point } from './digits.ts';
import { runUpMm } from './givens.ts';
import type { Patch, Swatch } from './swatch.ts';

/**
 * The swatch as G-code: marks and patches as rows, the ladder, the labels, and last the cuts. Everything but
 * the labels is burned at constant power, with a beam-off run at either end that lets the head be at speed
 * before the beam comes on: so the power is the S that was written, and the dose within is even.
 */
export function swatchGcode(swatch: Swatch): string {
  const pen = startPen(swatch);
  for (const line of heading(swatch)) pen.say(line);
  pen.line('G21 G90');
  pen.arm('constant');
  pen.say('marks');
  burnMarks(swatch, pen);
  pen.say('patches');
  for (const band of bandsOf(swatch.patches)) burnBand(band, swatch, pen);
  pen.say('lines');
  burnLines(swatch, pen);
  pen.say('labels');
  pen.arm('proportional');
  const { labels, code } = swatch;
  const strokes = labels.items.flatMap(({ text, at_mm }) => digitStrokes(text, at_mm, labels.height_mm));
  for (const stroke of [...strokes, ...(code ? codeStrokes(code) : [])]) {
    pen.rapid(stroke[0]!);
    for (const to of stroke.slice(1)) pen.burn(to, labels.speed_mm_s, labels.s);
  }
  if (swatch.cuts.length > 0) {
    pen.say('cuts');
    pen.arm('constant');
    burnCuts(swatch, pen);
  }
  pen.disarm();
  pen.rapid(swatch.area.at_mm);
  pen.line('M2');
  return pen.text();
}

const heading = ({ machine, stock, chosen_for, code }: Swatch): string[] => [
  `${SWATCH_TITLE}${code ? ` ${code.text}` : ''} for ${plain(machine.name)}, chosen for ${plain(chosen_for)}`,
  `stock ${[stock.width_mm, stock.height_mm, stock.thickness_mm].filter((mm) => mm !== null).join(' x ')} mm, lower left corner at ${stock.at_mm.join(', ')}`,
  'wear eyewear rated for the wavelength, keep watch, ventilate, have an extinguisher at hand',
];

/** A name from a profile, fit for a G-code comment. */
const plain = (name: string): string => name.replace(/[^\x20-\x7e]|[();]/g, ' ').slice(0, 60);

/** Patches that share their rows, top band first; those alone each by itself. */
export function bandsOf(patches: readonly Patch[]): Patch[][] {
  const bands = new Map<string, Patch[]>();
  for (const patch of patches) {
    const own = patch.alone ? patch.n : '';
    const key = `${patch.at_mm[1]} ${patch.size_mm[1]} ${patch.speed_mm_s} ${own}`;
    bands.set(key, [...(bands.get(key) ?? []), patch]);
  }
  return [...bands.values()].map((band) => band.toSorted((a, b) => a.at_mm[0] - b.at_mm[0]));
}

/** A stretch of a row burned at one S. */
interface Run {
  readonly fromMm: number;
  readonly toMm: number;
  readonly s: number;
}

function burnBand(band: readonly Patch[], swatch: Swatch, pen: Pen): void {
  const { at_mm, size_mm, speed_mm_s, passes = 1 } = band[0]!;
  const runs = band.map((patch) => ({
    fromMm: patch.at_mm[0],
    toMm: patch.at_mm[0] + patch.size_mm[0],
    s: patch.s,
  }));
  const rows = rowHeights(at_mm[1], at_mm[1] + size_mm[1], swatch.row_spacing_mm);
  for (let pass = 0; pass < passes; pass++) {
    burnRows(
      rows.map((yMm) => ({ yMm, runs })),
      speed_mm_s,
      swatch,
      pen,
    );
  }
}

function burnMarks({ marks, ...rest }: Swatch, pen: Pen): void {
  const swatch = { marks, ...rest };
  const { radius_mm, hole_radius_mm, speed_mm_s, s } = marks;
  marks.at_mm.forEach(([x, y], k) => {
    const rows = rowHeights(y - radius_mm, y + radius_mm, swatch.row_spacing_mm).map((yMm) => {
      const half = halfChord(radius_mm, yMm - y);
      const hole = k === 0 ? halfChord(hole_radius_mm, yMm - y) : 0;
      const runs =
        hole > 0
          ? [
              { fromMm: x - half, toMm: x - hole, s },
              { fromMm: x + hole, toMm: x + half, s },
            ]
          : [{ fromMm: x - half, toMm: x + half, s }];
      return { yMm, runs };
    });
    burnRows(rows, speed_mm_s, swatch, pen);
  });
}

const halfChord = (radius: number, off: number): number =>
  Math.sqrt(Math.max(0, radius * radius - off * off));

/** The heights of the rows that fill fromMm … toMm, each in the middle of its own strip. */
function rowHeights(fromMm: number, toMm: number, rowSpacingMm: number): number[] {
  const count = Math.floor((toMm - fromMm) / rowSpacingMm + 1e-9);
  return Array.from({ length: count }, (_, k) => fromMm + (k + 0.5) * rowSpacingMm);
}

/** Rows from the lowest up, every other one from right to left. */
function burnRows(
  rows: readonly { readonly yMm: number; readonly runs: readonly Run[] }[],
  speedMmPerS: number,
  { machine }: Swatch,
  pen: Pen,
): void {
  const runUp = runUpMm(speedMmPerS, machine.acceleration_mm_s2[0]);
  rows.forEach(({ yMm, runs }, k) => {
    const way = k % 2 === 0 ? 1 : -1;
    const ordered = way === 1 ? runs : runs.toReversed();
    const start = (run: Run) => (way === 1 ? run.fromMm : run.toMm);
    const end = (run: Run) => (way === 1 ? run.toMm : run.fromMm);
    pen.rapid([start(ordered[0]!) - way * runUp, yMm]);
    for (const run of ordered) {
      pen.burn([start(run), yMm], speedMmPerS, 0);
      pen.burn([end(run), yMm], speedMmPerS, run.s);
    }
    pen.burn([end(ordered.at(-1)!) + way * runUp, yMm], speedMmPerS, 0);
  });
}

function burnLines({ lines, machine }: Swatch, pen: Pen): void {
  for (const { along, at_mm, length_mm, speed_mm_s, s } of lines) {
    const axis = along === 'x' ? 0 : 1;
    const runUp = runUpMm(speed_mm_s, machine.acceleration_mm_s2[axis]);
    const on = (mm: number): Point => (axis === 0 ? [at_mm[0] + mm, at_mm[1]] : [at_mm[0], at_mm[1] + mm]);
    pen.rapid(on(-runUp));
    pen.burn(on(0), speed_mm_s, 0);
    pen.burn(on(length_mm), speed_mm_s, s);
    pen.burn(on(length_mm + runUp), speed_mm_s, 0);
  }
}

/** The weakest first, so that smoke and heat of the strong ones come last. */
function burnCuts({ cuts }: Swatch, pen: Pen): void {
  for (const { at_mm, length_mm, speed_mm_s, s, passes } of cuts.toReversed()) {
    pen.rapid(at_mm);
    for (let pass = 0; pass < passes; pass++) {
      pen.burn([at_mm[0], at_mm[1] + (pass % 2 === 0 ? length_mm : 0)], speed_mm_s, s);
    }
  }
}

/** Writes moves, leaving out the words that still hold. */
interface Pen {
  say(text: string): void;
  line(text: string): void;
  arm(power: 'constant' | 'proportional'): void;
  disarm(): void;
  rapid(to: Point): void;
  /** A feed move with this S; 0 leaves the beam off. */
  burn(to: Point, speedMmPerS: number, s: number): void;
  text(): string;
}

const coordinate = (mm: number): string => String(Math.round(mm * 1000) / 1000 + 0);
const feedWord = (mmPerS: number): string => `F${Math.round(mmPerSToMmPerMin(mmPerS) * 100) / 100}`;

function startPen({ machine }: Swatch): Pen {
  const lines: string[] = [];
  // A beam on an output pin knows no S in moves and no power that follows speed.
  const onPin = machine.laser.power_words === 'M106';
  let place = ['X0', 'Y0'];
  let motion = '';
  let s = '';
  let feed = '';
  const go = (word: string, [x, y]: Point, more: string[]): void => {
    const next = [`X${coordinate(x)}`, `Y${coordinate(y)}`];
    const moved = next.filter((each, k) => each !== place[k]);
    if (moved.length === 0) return;
    lines.push([...(word === motion ? [] : [word]), ...moved, ...more].join(' '));
    motion = word;
    place = next;
  };
  const setPin = (value: string): void => {
    if (value !== s) lines.push(value === 'S0' ? 'M107' : `M106 ${value}`);
    s = value;
  };
  return {
    say: (text) => lines.push(`; ${text}`),
    line: (text) => lines.push(text),
    arm(power) {
      if (onPin) return;
      lines.push(`${power === 'constant' ? 'M3' : 'M4'} S0`);
      s = 'S0';
    },
    disarm() {
      lines.push(onPin ? 'M107' : 'M5');
    },
    rapid(to) {
      if (onPin) setPin('S0');
      go('G0', to, []);
    },
    burn(to, speedMmPerS, level) {
      const more: string[] = [];
      const word = `S${level}`;
      if (onPin) setPin(word);
      else if (word !== s) more.push(word);
      if (feedWord(speedMmPerS) !== feed) more.push(feedWord(speedMmPerS));
      const before = lines.length;
      go('G1', to, more);
      if (lines.length === before) return; // no way to go: nothing was said
      s = word;
      feed = feedWord(speedMmPerS);
    },
    text: () => `${lines.join('\n')}\n`,
  };
}
