import { beforeAll, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { readOptions } from '../../src/forecast.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { headAt } from '../../src/motion/timeline.ts';
import { POWER_CONSTANT, POWER_OFF } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { bandsOf } from '../../src/swatch/gcode.ts';
import { wattsOf } from '../../src/swatch/givens.ts';
import { cutLinesDoubt, makeSwatch } from '../../src/swatch/make.ts';
import { type PatchDose, readArea, replaySwatch } from '../../src/swatch/replay.ts';
import { readSwatch, type Swatch } from '../../src/swatch/swatch.ts';
import { machineWith } from '../support/machines.ts';
import { below, seeded } from '../support/random.ts';
import { poplar } from './woods.ts';

const gantry = machineWith({
  acceleration_mm_s2: [500, 400, 50],
  max_speed_mm_s: [100, 100, 10],
  laser: { optical_power_w: 5, power_levels: 255, threshold_fraction: 0.03 },
  spot: { width_mm: [0.12, 0.18], rayleigh_mm: 2.5 },
});
const basswood = shippedMaterials.basswood!;
const board = { widthMm: 100, heightMm: 60, thicknessMm: 4, xMm: 0, yMm: 0 };

const movesOf = (gcode: string, machine = gantry) => readProgram(gcode, readOptions(machine)).moves;

/** Machines and boards of many kinds: weak and strong, slow and fast, round and oblong, small board and large. */
function* makeMany(count: number) {
  const random = seeded(4);
  const between = (low: number, high: number) => low * (high / low) ** random();
  for (let k = 0; k < count; k++) {
    const width = between(0.1, 0.25);
    const machine = machineWith({
      acceleration_mm_s2: [between(150, 4000), between(150, 4000), 50],
      max_speed_mm_s: [between(30, 400), between(30, 400), 10],
      lookahead_moves: 8 + below(random, 40),
      laser: {
        optical_power_w: between(1.5, 30),
        s_max: [255, 1000, 10_000][below(random, 3)]!,
        power_levels: [null, 255][below(random, 2)]!,
        threshold_fraction: 0.05 * random(),
      },
      spot: { width_mm: [width, width * between(0.6, 1.8)], rotation_deg: 90 * random() },
    });
    const stock = {
      widthMm: Math.round(between(56, 260)),
      heightMm: Math.round(between(46, 200)),
      thicknessMm: [null, 2, 3, 4, 8][below(random, 5)]!,
      xMm: below(random, 20),
      yMm: below(random, 20),
    };
    yield { machine, stock, ...makeSwatch(machine, stock) };
  }
}

const MANY = 24;
const many = [...makeMany(MANY)];
const manyBenches = (count: number) => many.slice(0, count);

test('everything lies inside the stock, the beam-off runs too (24 machines and boards)', () => {
  for (const { machine, stock, gcode } of manyBenches(MANY)) {
    const moves = movesOf(gcode, machine);
    expect(moves.count).toBeGreaterThan(500);
    const [xs, ys] = [moves.xMm.subarray(0, moves.count), moves.yMm.subarray(0, moves.count)];
    const least = (values: Float64Array) => values.reduce((a, b) => Math.min(a, b), Infinity);
    const most = (values: Float64Array) => values.reduce((a, b) => Math.max(a, b), -Infinity);
    expect(least(xs)).toBeGreaterThanOrEqual(stock.xMm);
    expect(least(ys)).toBeGreaterThanOrEqual(stock.yMm);
    expect(most(xs)).toBeLessThanOrEqual(stock.xMm + stock.widthMm);
    expect(most(ys)).toBeLessThanOrEqual(stock.yMm + stock.heightMm);
    const burned = moves.s.subarray(0, moves.count).filter((s, i) => s > 0 && moves.rapid[i] === 0).length;
    expect(burned).toBeGreaterThan(200);
  }
});

test('what is written beside the job reads back as it was, and writes the same job', () => {
  for (const { swatch } of manyBenches(8)) {
    expect(readSwatch(JSON.parse(JSON.stringify(swatch)))).toEqual(swatch);
  }
});

test('nothing that is burned lies over anything else', () => {
  for (const { swatch } of manyBenches(MANY)) {
    const boxes = boxesOf(swatch);
    const over = boxes.flatMap((a, i) =>
      boxes
        .slice(i + 1)
        .filter((b) => !(a.x1 < b.x0 || b.x1 < a.x0 || a.y1 < b.y0 || b.y1 < a.y0))
        .map((b) => `${a.name} over ${b.name}`),
    );
    expect(over, `on ${swatch.stock.width_mm} × ${swatch.stock.height_mm}`).toEqual([]);
  }
});

function boxesOf({ marks, patches, lines, cuts, labels, code }: Swatch) {
  const box = (name: string, x: number, y: number, width: number, height: number) => ({
    name,
    x0: x,
    y0: y,
    x1: x + width,
    y1: y + height,
  });
  const r = marks.radius_mm;
  return [
    ...marks.at_mm.map(([x, y], k) => box(`mark ${k}`, x - r, y - r, 2 * r, 2 * r)),
    ...patches.map(({ n, at_mm: [x, y], size_mm }) => box(`patch ${n}`, x, y, ...size_mm)),
    ...lines.map(({ n, along, at_mm: [x, y], length_mm }) =>
      along === 'x' ? box(`line ${n}`, x, y, length_mm, 0) : box(`line ${n}`, x, y, 0, length_mm),
    ),
    ...cuts.map(({ n, at_mm: [x, y], length_mm }) => box(`cut ${n}`, x, y, 0, length_mm)),
    ...labels.items.map(({ text, at_mm: [x, y] }) =>
      box(`label ${text}`, x, y, labels.height_mm * (0.86 * (text.length - 1) + 0.6), labels.height_mm),
    ),
    box('code', ...code!.at_mm, code!.height_mm * (0.86 * 3 + 0.6), code!.height_mm),
  ];
}

test('the head is at speed wherever a patch is read, so its dose is even', () => {
  for (const { machine, swatch, gcode } of manyBenches(6)) {
    const program = readProgram(gcode, readOptions(machine));
    const motion = planMotion(program, machine);
    const random = seeded(9);
    const patches = swatch.patches.map((patch) => ({ patch, area: readArea(patch) }));
    // Look at the head at many moments; where it burns inside a patch's read area it goes at the patch's speed.
    let looked = 0;
    const off: string[] = [];
    for (let k = 0; k < 4000; k++) {
      const { move, xMm, yMm, speedMmPerS } = headAt(motion, random() * motion.durationS);
      const there = patches.find(
        ({ area }) => xMm > area.minXMm && xMm < area.maxXMm && yMm > area.minYMm && yMm < area.maxYMm,
      );
      const { s, rapid } = program.moves;
      if (!there || move >= program.moves.count || rapid[move] === 1 || s[move] === 0) continue;
      looked++;
      const { n, speed_mm_s } = there.patch;
      if (!(Math.abs(speedMmPerS - speed_mm_s) < 0.005))
        off.push(`patch ${n} at ${xMm},${yMm}: ${speedMmPerS}, not ${speed_mm_s} mm/s`);
    }
    expect(off).toEqual([]);
    expect(looked).toBeGreaterThan(300);
  }
});

test('engraving comes before cutting', () => {
  const { swatch, gcode } = makeSwatch(gantry, board);
  const moves = movesOf(gcode);
  const inCutStrip = (i: number) =>
    swatch.cuts.some(
      ({ at_mm: [x, y], length_mm }) =>
        Math.abs(moves.xMm[i]! - x) < 1e-6 && moves.yMm[i]! <= y + length_mm + 1e-6 && moves.yMm[i]! >= y,
    );
  const burning = Array.from({ length: moves.count }, (_, i) => i).filter(
    (i) => moves.rapid[i] === 0 && moves.s[i]! > 0 && moves.powerMode[i] !== POWER_OFF,
  );
  const cuts = burning.filter(
    (i) => inCutStrip(i) && moves.powerMode[i] === POWER_CONSTANT && moves.s[i] === 1000,
  );
  expect(cuts.length).toBe(swatch.cuts.length * swatch.cuts[0]!.passes);
  expect(burning.slice(-cuts.length)).toEqual(cuts);
});

/** The swatch for poplar, and what its patches get. */
let onPoplar: { readonly swatch: Swatch; readonly patches: readonly PatchDose[] };
beforeAll(() => {
  const { swatch } = makeSwatch(gantry, board, { material: poplar });
  onPoplar = { swatch, patches: replaySwatch(swatch, poplar).patches };
});

test('patches bracket first mark and full char by twice, and no two have the same dose', () => {
  const { swatch, patches } = onPoplar;
  const doses = patches.filter(({ patch }) => !patch.alone).map(({ meanJPerMm2 }) => meanJPerMm2);
  expect(Math.min(...doses)).toBeLessThan(poplar.first_mark_j_mm2.value / 2);
  expect(Math.max(...doses)).toBeGreaterThan(poplar.full_char_j_mm2.value * 2);
  const sorted = doses.toSorted((a, b) => a - b);
  for (let k = 1; k < sorted.length; k++) expect(sorted[k]! / sorted[k - 1]!).toBeGreaterThan(1.005);
  expect(bandsOf(swatch.patches).length).toBeGreaterThanOrEqual(4);
});

test('some settings of the grid are burned alone too, once and in lighter passes of the same sum', () => {
  const { patches } = onPoplar;
  const alone = patches.filter(({ patch }) => patch.alone);
  expect(alone).toHaveLength(6);
  for (let k = 0; k < alone.length; k += 2) {
    const [once, often] = [alone[k]!, alone[k + 1]!];
    const twin = patches.find(
      ({ patch: { alone, s, speed_mm_s } }) =>
        !alone && s === once.patch.s && speed_mm_s === once.patch.speed_mm_s,
    )!;
    expect(once.meanJPerMm2).toBeCloseTo(twin.meanJPerMm2, 3);
    // Levels of a 255th of full power are what the controller has.
    expect(Math.abs(often.meanJPerMm2 / once.meanJPerMm2 - 1)).toBeLessThan(0.2);
    // Only warmth and firings differ: the rows of the grid run across all of its patches.
    expect(once.warmthK).toBeGreaterThan(1.5 * twin.warmthK);
    expect(once.firings).toBeCloseTo(twin.firings, 1);
    expect(often.firings / once.firings).toBeCloseTo(often.patch.passes!, 1);
  }
});

test('a low board has no row for patches that are burned alone', () => {
  const { swatch } = makeSwatch(gantry, { ...board, heightMm: 46 });
  expect(swatch.patches.some(({ alone }) => alone)).toBe(false);
});

test('each ladder spans more than ten times in line energy, and the dwell within it less than ten', () => {
  for (const { swatch, machine } of manyBenches(MANY)) {
    for (const along of ['x', 'y']) {
      const mine = swatch.lines.filter((line) => line.along === along);
      const energies = mine.map(({ s, speed_mm_s }) => wattsOf(s, machine) / speed_mm_s);
      const speeds = mine.map(({ speed_mm_s }) => speed_mm_s); // dwell is the spot's width over the speed
      expect(mine.length).toBeGreaterThanOrEqual(6);
      expect(Math.max(...energies) / Math.min(...energies)).toBeGreaterThan(10);
      expect(Math.max(...speeds) / Math.min(...speeds)).toBeLessThan(10);
    }
  }
});

test('boards that are too small or off the work area are refused in a sentence', () => {
  expect(() => makeSwatch(gantry, { ...board, widthMm: 40 })).toThrow(
    /found a board of 40 × 60 mm; expected at least 56 × 46 mm/,
  );
  expect(() => makeSwatch(gantry, { ...board, xMm: 320 })).toThrow(
    /expected one within the machine's work area of 400 × 400/,
  );
  expect(() => makeSwatch(gantry, { ...board, yMm: -1 })).toThrow(
    /expected one within the machine's work area/,
  );
});

test('stock of unknown thickness, or too thick for the machine, gets no cuts and a note', () => {
  const unknown = makeSwatch(gantry, { ...board, thicknessMm: null });
  expect(unknown.swatch.cuts).toEqual([]);
  expect(unknown.notes.join()).toMatch(/no thickness, so the swatch has no cut lines/);
  const thick = makeSwatch(gantry, { ...board, thicknessMm: 40 });
  expect(thick.swatch.cuts).toEqual([]);
  expect(thick.notes.join()).toMatch(/cannot be expected to cut 40 mm/);
});

test('cut lines that will hardly come through are told, by the rule of a suggested cut', () => {
  const weak = machineWith({ laser: { optical_power_w: 1.6 }, spot: { width_mm: [0.08, 0.12] } });
  expect(
    makeSwatch(weak, { ...board, thicknessMm: 12 }, { material: basswood }).swatch.cuts.length,
  ).toBeGreaterThan(0);
  const { hopeless } = suggest({ kind: 'cut' }, basswood, weak, { thicknessMm: 12 });
  expect(hopeless).toMatch(/^12 mm of basswood are too thick for/);
  expect(cutLinesDoubt(weak, basswood, 12)).toBe(
    `Its cut lines may all stay uncut, and then tell nothing of removal. ${hopeless}`,
  );
  expect(cutLinesDoubt(weak, basswood, 2)).toBeNull();
  expect(cutLinesDoubt(weak, basswood, null)).toBeNull();
});

test('a swatch file with a wrong field is refused by the field’s name', () => {
  const { swatch } = makeSwatch(gantry, board);
  expect(() => readSwatch({ ...swatch, version: 2 }, 'swatch.json')).toThrow(/found 2 for version; expected/);
  expect(() => readSwatch({ ...swatch, row_spacing_mm: 0 })).toThrow(
    /for row_spacing_mm; expected a value of at least 0.01/,
  );
  expect(() => readSwatch({ ...swatch, colour: 1 })).toThrow(/unknown field colour/);
  const tall = swatch.patches.map((patch) => ({ ...patch, size_mm: [8, 900] }));
  expect(() => readSwatch({ ...swatch, patches: tall })).toThrow(
    /found patches of \d+ rows in all; expected/,
  );
  expect(() => readSwatch([])).toThrow(/expected an object|a swatch file/);
  const most = swatch.machine.laser.s_max;
  const changed = (key: 'patches' | 'lines' | 'cuts', at: number, part: object) =>
    Object.assign({}, swatch, {
      [key]: swatch[key].map((each, k) => (k === at ? { ...each, ...part } : each)),
    });
  for (const [key, name] of [
    ['patches', 'patch'],
    ['lines', 'line'],
    ['cuts', 'cut'],
  ] as const) {
    expect(readSwatch(changed(key, 2, { s: most }))[key][2]!.s).toBe(most);
    expect(() => readSwatch(changed(key, 2, { s: most + 1 }))).toThrow(
      `found S${most + 1} for ${name} 3 of a swatch whose machine has an s_max of ${most}; expected`,
    );
  }
  // What stands in a list is counted as people count.
  expect(() => readSwatch(changed('patches', 0, { s: -1 }))).toThrow(
    /^found -1 for patches number 1, s; expected/,
  );
  expect(() => readSwatch(changed('patches', 2, { colour: 1 }))).toThrow(
    /unknown field patches number 3, colour;/,
  );
  expect(() => readSwatch({ ...swatch, marks: { ...swatch.marks, s: most + 1 } })).toThrow(
    /for the marks of/,
  );
  const [x, y] = swatch.patches[4]!.at_mm;
  expect(() => readSwatch(changed('patches', 1, { at_mm: [x + 1, y - 1] }))).toThrow(
    /found the patches 2 and \d+ lying over each other; expected/,
  );
});

test('a machine whose beam hangs on an output pin gets M106 and M107 and the same swatch', () => {
  const pin = machineWith({ laser: { optical_power_w: 5, s_max: 255, power_words: 'M106' } });
  const spindle = machineWith({ laser: { optical_power_w: 5, s_max: 255 } });
  const { gcode, swatch } = makeSwatch(pin, board);
  expect(gcode).not.toMatch(/^M[345]\b/m);
  const same = replaySwatch({ ...swatch, machine: spindle }, poplar);
  replaySwatch(swatch, poplar).patches.forEach((patch, k) => {
    expect(patch.meanJPerMm2).toBeCloseTo(same.patches[k]!.meanJPerMm2, 6);
  });
});
