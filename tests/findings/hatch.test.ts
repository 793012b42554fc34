import { describe, expect, test } from 'vitest';
import { L_SEEN_FROM, labOf } from '../../src/burn/colour.ts';
import { ROW_MM } from '../../src/burn/speed-power.ts';
import { measureHatch } from '../../src/findings/evidence/row-lines.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { readProgram } from '../../src/program/read.ts';
import { adjust } from '../change/support.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar, ROUGH } from './pairs.ts';

/** Rows in several directions in one operation: each is judged as if it were alone. */

const read = (text: string) => readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
const job = (...fills: readonly string[][]): string =>
  ['G21 G90', 'M3 S0', ...fills.flat(), 'G0 S0', 'M5', ''].join('\n');

interface Fill {
  readonly spacingMm?: number;
  readonly count?: number;
  readonly lengthMm?: number;
  readonly degrees?: number;
  readonly atMm?: readonly [x: number, y: number];
  readonly s?: number;
  /** By another an operation begins. */
  readonly feed?: number;
}

/** A fill of rows to and fro about a point. */
function fill({
  spacingMm = 0.3,
  count = 26,
  lengthMm = 8,
  degrees = 0,
  atMm = [15, 15],
  s = 400,
  feed = 3000,
}: Fill): string[] {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const at = (along: number, across: number) =>
    `X${(atMm[0] + along * cos - across * sin).toFixed(3)} Y${(atMm[1] + along * sin + across * cos).toFixed(3)}`;
  return Array.from({ length: count }, (_, k) => {
    const across = (k - (count - 1) / 2) * spacingMm;
    const from = (k % 2 ? lengthMm : -lengthMm) / 2;
    return `G0 ${at(from, across)} S0\nG1 ${at(-from, across)} S${s} F${feed}`;
  });
}

describe('the directions of rows', () => {
  const hatchOf = (text: string) => {
    const program = read(text);
    expect(program.operations.map(({ kind }) => kind)).toEqual(['rows']);
    return measureHatch(program, program.operations[0]!);
  };
  const degreesOf = (text: string) =>
    hatchOf(text)
      .map(({ ux, uy }) => (Math.atan2(uy, ux) * 180) / Math.PI)
      .map((degrees) => Math.round(((degrees + 180) % 180) * 10) / 10);

  test.each([[[0]], [[30]], [[0, 90]], [[45, 135]], [[20, 80, 140]], [[0, 90, 45]]])('%j', (degrees) => {
    const text = job(...degrees.map((each) => fill({ degrees: each })));
    expect(degreesOf(text).sort((a, b) => a - b)).toEqual([...degrees].sort((a, b) => a - b));
    for (const rows of hatchOf(text)) {
      expect(rows.spacingMm).toBeCloseTo(0.3, 2);
      expect(rows.count).toBe(26);
      expect(rows.longestMm).toBeCloseTo(8, 2);
    }
  });

  test('the one with most of the length comes first', () => {
    expect(degreesOf(job(fill({ count: 10 }), fill({ degrees: 90, count: 20 })))).toEqual([90, 0]);
  });

  test('burned steps from row to row are no rows', () => {
    // A meander of rows of 2 mm, 0.5 mm apart: a fifth of it are steps, all across the rows.
    const meander = Array.from({ length: 30 }, (_, k) => `Y${k / 2}\nX${k % 2 ? 0 : 2}`);
    expect(degreesOf(job(['G0 X0 Y0', `G1 S400 F3000 ${meander.join('\n')}`]))).toEqual([0]);
  });
});

describe('a cross-hatch comes out as what its directions leave together', () => {
  // A gantry that needs hardly any way to come up to the feed.
  const machine = machineWith({
    acceleration_mm_s2: [50_000, 50_000, 50],
    laser: { optical_power_w: 10 },
    spot: { width_mm: [0.1, 0.1] },
  });
  const square = (each: Fill, k: number) =>
    fill({ feed: 3000 + k, count: Math.round(8 / each.spacingMm!), ...each });
  const made = (fills: readonly Fill[], feeds: readonly number[]) =>
    forecast(job(...fills.map((each, k) => square(each, feeds[k]!))), machine, poplar, { cellMm: 0.02 });
  /** The mean tone of the middle, which all of them cover. */
  const meanTone = ({ burn: { frame, tone } }: Forecast): number => {
    const tones: number[] = [];
    for (let x = 13; x < 17; x += frame.cellMm)
      for (let y = 13; y < 17; y += frame.cellMm) tones.push(tone[cellAt(frame, x, y)]!);
    return tones.reduce((sum, each) => sum + each, 0) / tones.length;
  };

  test.each<readonly [string, readonly Fill[]]>([
    [
      'near',
      [
        { spacingMm: 0.09, s: 150 },
        { spacingMm: 0.09, s: 150, degrees: 90 },
      ],
    ],
    [
      'apart',
      [
        { spacingMm: 0.2, s: 300 },
        { spacingMm: 0.2, s: 300, degrees: 90 },
      ],
    ],
    [
      'one near, one apart, at an angle',
      [
        { spacingMm: 0.1, s: 200 },
        { spacingMm: 0.25, s: 200, degrees: 60 },
      ],
    ],
    ['of three directions', [0, 60, 120].map((degrees) => ({ spacingMm: 0.25, s: 300, degrees }))],
  ])('%s: in one operation, or an operation each', (_, fills) => {
    for (const feeds of [fills.map(() => 0), fills.map((_, k) => k)]) {
      const all = made(fills, feeds);
      expect(all.engravings).toHaveLength(new Set(feeds).size);
      for (const { tone } of all.engravings) expect(Math.abs(tone - meanTone(all))).toBeLessThan(0.02);
    }
  });
});

describe('a cross-hatch', () => {
  const machine = machineWith({ spot: { width_mm: [0.1, 0.1] } });
  const findingsOf = (text: string) =>
    forecast(text, machine, poplar, { ...ROUGH, stock: board(4, 30, 30) }).findings;
  const of = (kind: string, text: string) => findingsOf(text).find((each) => each.kind === kind);
  const half = job(fill({}));
  const crossed = job(fill({}), fill({ degrees: 90 }));

  test('has what its halves have: as many dark row ends of both, and stripes', () => {
    const [one, both] = [half, crossed].map((text) => of('dark-row-end', text)!);
    expect(both!.measure.count).toBe(2 * Number(one!.measure.count));
    expect(both!.advice).toEqual(one!.advice);
    const [striped, net] = [half, crossed].map((text) => of('stripes', text)!);
    expect(net!.measure.row_spacing_mm).toBeCloseTo(0.3, 9);
    // On the mean of the rows it crosses the same swing is half as much of the whole.
    expect(Number(net!.measure.ripple_percent)).toBeCloseTo(Number(striped!.measure.ripple_percent) / 2, -1);
  });

  test('the same side by side: neither lies on the other', () => {
    const beside = job(fill({ atMm: [9, 9] }), fill({ degrees: 90, atMm: [20, 20] }));
    const [one, both] = [half, beside].map((text) => of('stripes', text)!);
    expect(both!.measure.ripple_percent).toBe(one!.measure.ripple_percent);
    expect(of('dark-row-end', beside)!.measure.count).toBe(2 * 52);
  });

  test('gets its overscan at both ends of all rows, and so loses their dark ends', () => {
    const change = of('dark-row-end', crossed)!.advice!.change;
    const changed = adjust(crossed, change, machine);
    const { moves } = read(changed);
    let rows = 0;
    for (let k = 1; k < moves.count - 1; k++) {
      if (moves.rapid[k] || !(moves.s[k]! > 0)) continue;
      rows++;
      for (const other of [k - 1, k + 1]) expect([moves.rapid[other], moves.s[other]]).toEqual([0, 0]);
    }
    expect(rows).toBe(52);
    expect(of('dark-row-end', changed)).toBeUndefined();
  });

  test('in one direction all rows of each follow the first of them', () => {
    const { moves } = read(adjust(crossed, '1: one direction', machine));
    const ways = new Set<string>();
    for (let k = 1; k < moves.count; k++) {
      if (moves.rapid[k] || !(moves.s[k]! > 0)) continue;
      ways.add(
        `${Math.sign(Math.round(moves.xMm[k]! - moves.xMm[k - 1]!))} ${Math.sign(Math.round(moves.yMm[k]! - moves.yMm[k - 1]!))}`,
      );
    }
    expect([...ways]).toEqual(['1 0', '0 1']);
  });
});

describe('what is advised of a cross-hatch', () => {
  const machine = (speedMmPerS: number) =>
    machineWith({
      max_speed_mm_s: [speedMmPerS, speedMmPerS, 10],
      acceleration_mm_s2: [50_000, 50_000, 50],
      laser: { optical_power_w: 10 },
      spot: { width_mm: [0.1, 0.1] },
    });
  interface Net {
    readonly spacingMm: number;
    readonly s: number;
    readonly degrees: readonly number[];
    /** Whether each direction is an operation. */
    readonly isApart?: boolean;
    readonly feed?: number;
    readonly sizeMm?: number;
  }
  const net = ({ spacingMm, s, degrees, isApart = false, feed = 3000, sizeMm = 10 }: Net): string =>
    job(
      ...degrees.map((each, k) =>
        fill({
          spacingMm,
          s,
          degrees: each,
          atMm: [30, 30],
          feed: feed + (isApart ? k : 0),
          lengthMm: sizeMm,
          count: Math.round(sizeMm / spacingMm),
        }),
      ),
    );
  const made = (each: Net, topMmPerS: number, cellMm = 0.03) =>
    forecast(net(each), machine(topMmPerS), poplar, { stock: board(4, 60, 60), cellMm });
  const toneOf = ({ engravings }: Forecast): number => engravings[0]!.tone;

  const one = { degrees: [0] };
  const both = { degrees: [0, 90] };
  const apart = { ...both, isApart: true };
  test.each<readonly [string, Net]>([
    ['rows', { ...one, spacingMm: 0.09, s: 200 }],
    ['two directions', { ...both, spacingMm: 0.09, s: 130 }],
    ['an operation each', { ...apart, spacingMm: 0.09, s: 130 }],
    ['rows far apart', { ...one, spacingMm: 0.3, s: 400 }],
    ['two directions far apart', { ...both, spacingMm: 0.25, s: 400 }],
    ['an operation each far apart', { ...apart, spacingMm: 0.25, s: 400 }],
    ['three directions', { degrees: [0, 60, 120], spacingMm: 0.2, s: 250 }],
  ])('keeps the tone: %s', (_, each) => {
    for (const topMmPerS of [50.1, 1000]) {
      const now = made(each, topMmPerS);
      const { remedy, measure } = now.findings.find(({ kind }) => kind === 'stripes')!;
      const [, power] = /, ([\d.]+) % power keeps the tone/.exec(remedy) ?? [];
      const [, speed] = /, ([\d.]+) times the speed keeps the tone/.exec(remedy) ?? [];
      expect([power, speed].filter((told) => told !== undefined)).toHaveLength(1);
      const then = made(
        {
          ...each,
          spacingMm: Number(measure.even_spacing_mm),
          s: power ? 10 * Number(power) : each.s,
          feed: 3000 * Number(speed ?? 1),
        },
        topMmPerS,
      );
      expect(then.findings.map(({ kind }) => kind)).not.toContain('stripes');

      expect(Math.abs(toneOf(then) - toneOf(now))).toBeLessThan(0.05);
    }
  });

  test('a small one is too warm as one of rows is, and told by what makes it look like a large one', () => {
    const small = { ...both, spacingMm: 0.06, s: 200, feed: 12_000, sizeMm: 3 };
    const { measure } = made(small, 1000).findings.find(({ kind }) => kind === 'warm-fill')!;
    const times = Number(measure.power_times);
    expect(times).toBeLessThan(0.875);
    const large = made({ ...small, sizeMm: ROW_MM }, 1000);
    expect(Math.abs(toneOf(made({ ...small, s: 200 * times }, 1000)) - toneOf(large))).toBeLessThan(0.03);
  });
});

describe('a cross-hatched picture', () => {
  const machine = machineWith({
    acceleration_mm_s2: [50_000, 50_000, 50],
    laser: { optical_power_w: 20 },
    spot: { width_mm: [0.1, 0.1] },
  });
  const LEVELS = 16;
  const WIDE_MM = 2;
  const sOf = (level: number): number => Math.round(((level + 1) * 300) / LEVELS);
  /** Bars from pale to dark, in rows across all of them and in rows along each. */
  const picture = (spacingMm: number): string =>
    job(
      Array.from({ length: Math.round(6 / spacingMm) }, (_, row) =>
        [
          `G0 X2 Y${(2 + row * spacingMm).toFixed(3)} S0`,
          ...Array.from({ length: LEVELS }, (_, k) => `G1 X${2 + (k + 1) * WIDE_MM} S${sOf(k)} F3000`),
        ].join('\n'),
      ),
      Array.from({ length: Math.round((LEVELS * WIDE_MM) / spacingMm) }, (_, row) => {
        const x = (2 + row * spacingMm).toFixed(3);
        return `G0 X${x} Y2 S0\nG1 Y8 S${sOf(Math.floor((row * spacingMm) / WIDE_MM + 1e-9))} F3000`;
      }),
    );
  const lost = ({ findings }: Forecast) => findings.find(({ kind }) => kind === 'tones-lost');
  const made = (spacingMm: number) => forecast(picture(spacingMm), machine, poplar, { cellMm: 0.025 });

  test('keeps its dark levels where more and more of what lies between its rows darkens', () => {
    const apart = made(0.4);
    // Two meshes of a bar, which hold all that it has.
    const lightness = (level: number): number => {
      const { frame, tone } = apart.burn;
      const seen: number[] = [];
      const x0 = 2.5 + level * WIDE_MM;
      for (let x = x0; x < x0 + 0.79; x += 0.025)
        for (let y = 3; y < 6.99; y += 0.025) seen.push(labOf(tone[cellAt(frame, x, y)]!, poplar)[0]);
      return seen.reduce((sum, each) => sum + each, 0) / seen.length;
    };
    expect(lightness(LEVELS - 5) - lightness(LEVELS - 1)).toBeGreaterThan(L_SEEN_FROM);
    expect(lost(apart)).toBeUndefined();
  });

  test('loses them where its rows run together', () => {
    expect(lost(made(0.1))!.measure.dark_share).toBeGreaterThan(0.5);
  });
});
