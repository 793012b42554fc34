import { describe, expect, test } from 'vitest';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { type Forecast, forecast, forecastProgram } from '../../src/forecast.ts';
import { bench, board, poplar, readJob } from './pairs.ts';
import { END, HEAD } from './small-jobs.ts';

/** A fill of rows to and fro with overscan enough. */
function fill({ widthMm, heightMm, s = 500, y = 10, feed = 3000, overMm = 3, apartMm = 0.1 }: Fill): string {
  const lines: string[] = [];
  for (let row = 0; row * apartMm < heightMm - 1e-9; row++) {
    const [from, to, way] = row % 2 === 0 ? [20, 20 + widthMm, 1] : [20 + widthMm, 20, -1];
    lines.push(
      `G0 X${from! - overMm * way!} Y${(y + row * apartMm).toFixed(2)}`,
      `G1 X${from} F${feed} S0`,
      `X${to} S${s}`,
      `X${to! + overMm * way!} S0`,
    );
  }
  return `${lines.join('\n')}\n`;
}
interface Fill {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly s?: number;
  readonly y?: number;
  readonly feed?: number;
  readonly overMm?: number;
  readonly apartMm?: number;
}

const made = (body: string, cool = false): Forecast =>
  forecast(`${HEAD}M4 S0\n${body}${END}`, bench(), poplar, { stock: board(4), cool });
const warmFill = ({ findings }: Forecast) => findings.find(({ kind }) => kind === 'warm-fill');

describe('a fill of short rows', () => {
  const small = made(fill({ widthMm: 4, heightMm: 6 }));
  const found = warmFill(small)!;

  test('is told of, and the same fill not where warmth is left out', () => {
    // Nobody said how dark it is to be: after the change it would be told of again.
    expect(found.severity).toBe('note');
    expect(found.advice ?? null).toBe(null);
    expect(warmFill(made(fill({ widthMm: 4, heightMm: 6 }), true))).toBeUndefined();
  });

  test('looks like long rows with the power that is told', () => {
    const power = 100 * 0.5 * Number(found.measure.power_times);
    const changes = parseChanges(`1: power ${power}%`);
    const program = changeProgram(small.program, changes, small.machine);
    const changed = forecastProgram(program, small.machine, poplar, { stock: small.stock });
    const long = made(fill({ widthMm: 50, heightMm: 20 }));
    // The mean of rows without a job and the middle place of one that has some rows differ by a little.
    const toneOf = ({ engravings }: Forecast): number => engravings[0]!.tone;
    expect(Math.abs(toneOf(changed) - toneOf(long))).toBeLessThan(0.05);
    expect(toneOf(small) - toneOf(long)).toBeGreaterThan(0.08);
  });

  test('is told of only where its rows are short', () => {
    for (const widthMm of [20, 50]) expect(warmFill(made(fill({ widthMm, heightMm: 6 })))).toBeUndefined();
  });

  test('beside long rows of its own operation makes it uneven', () => {
    const both = made(`${fill({ widthMm: 50, heightMm: 6, y: 30 })}${fill({ widthMm: 4, heightMm: 6 })}`);
    expect(both.program.operations).toHaveLength(1);
    const { severity, message, remedy, measure } = warmFill(both)!;
    expect(severity).toBe('warning');
    // 50 of 54 mm of all rows are long.
    expect(measure.share).toBeLessThanOrEqual(4 / 54 + 0.2);
    expect(measure.row_mm).toBe(4);
    expect(message).toMatch(/^Some of its rows are only 4 mm long, .* darker than the rest/);
    expect(remedy).toMatch(/an operation of their own, with 8\d % of its power/);
  });

  test('is as long as its rows are burned in one go, also where the file has them in pieces', () => {
    const pieces = fill({ widthMm: 4, heightMm: 10, s: 700 })
      .replaceAll('X24 S700', 'X21 S700\nX23\nX24')
      .replaceAll('X20 S700', 'X23 S700\nX21\nX20');
    const finding = warmFill(made(pieces));
    expect(finding?.measure.row_mm).toBeCloseTo(4, 9);
  });

  test('made an operation of its own is told of until it looks like the long rows beside it, and no longer', () => {
    const long = fill({ widthMm: 50, heightMm: 6, y: 30 });
    // Another feed makes it an operation of its own.
    const besideLong = (s: number) => made(long + fill({ widthMm: 4, heightMm: 6, s, feed: 2990 }));
    const before = warmFill(besideLong(500))!;
    expect(before.operation).toBe(2);
    const [, percent] = /of its power: ([\d.]+) %/.exec(before.remedy)!;
    expect(warmFill(besideLong(10 * Number(percent)))).toBeUndefined();
    // Alone nobody knows for what its power was chosen.
    const alone = warmFill(made(fill({ widthMm: 4, heightMm: 6, s: 10 * Number(percent), feed: 2990 })));
    expect(alone!.remedy).toMatch(/for this very fill, leave it/);
    expect(before.remedy).toMatch(/Where its power was chosen for this very fill, leave it as it is\./);
  });

  test('in which the head is slow is told as dark as it comes out, and to be given an even dose first', () => {
    const text = `${HEAD}M3 S0\n${fill({ widthMm: 4, heightMm: 6, s: 300, overMm: 1.2 })}${END}`;
    for (const m4_power of ['proportional', 'constant'] as const) {
      const slow = forecast(text, bench({ laser: { m4_power } }), poplar, { stock: board(4) });
      const { message, remedy, measure } = warmFill(slow)!;
      expect(message).toMatch(/darker than the same dose would in rows of 50 mm/);
      expect(remedy).toMatch(
        m4_power === 'proportional' ? /^Give it an even dose first: .*\(M4\)/ : /even dose first: at a speed/,
      );
      expect(Math.abs(Number(measure.tone) - slow.engravings[0]!.tone)).toBeLessThan(0.08);
    }
  });

  test('that is far higher than wide is better off with rows the other way', () => {
    expect(warmFill(made(fill({ widthMm: 3, heightMm: 20 })))!.remedy).toMatch(
      /Rows along its other side would be 20 mm long/,
    );
    expect(found.remedy).not.toMatch(/other side/);
  });

  test('on wood that another fill has just warmed is better off with a pause', () => {
    const first = fill({ widthMm: 4, heightMm: 6 });
    const second = fill({ widthMm: 4, heightMm: 1.5, s: 600, feed: 3600, y: 16.1 });
    const both = made(first + second);
    const after = both.findings.find(({ kind, operation }) => kind === 'warm-fill' && operation === 2);
    expect(after!.remedy).toMatch(/A pause before it helps too/);
    expect(warmFill(made(second))?.remedy ?? '').not.toMatch(/pause/);
    expect(found.remedy).not.toMatch(/pause/);
  });

  test('of a pair of shades alone is not told of: a picture has more than one power', () => {
    const readings = readJob('warm-fill').replace('S500', 'S420');
    expect(warmFill(forecast(readings, bench(), poplar, { stock: board(4) }))).toBeUndefined();
  });
});

test('row ends tell of heat only where it has a part in what they burn too much', () => {
  const [warm, cool] = [false, true].map(
    (cool) => forecast(readJob('dark-row-end'), bench(), poplar, { cool }).findings[0]!,
  );
  // Slow rows: their middle is nearly as warm as their ends.
  expect(Number(warm!.measure.warm_times)).toBeGreaterThan(1);
  expect(Number(warm!.measure.warm_times)).toBeLessThan(1.1);
  expect(warm!.message).not.toMatch(/warm/);
  expect(warm!.measure.dose_j_mm2).toBe(cool!.measure.dose_j_mm2);
  expect(cool!.measure.warm_times).toBe(1);
});

describe('told of from where', () => {
  const beside = (heightMm: number) =>
    warmFill(made(`${fill({ widthMm: 50, heightMm, y: 30 })}${fill({ widthMm: 4, heightMm: 6 })}`));

  test('a twentieth of the fill is darker', () => {
    // 5.4 % of the length beside seventy long rows, 4.8 % beside eighty.
    expect(beside(7)?.measure.share).toBeCloseTo(0.0545, 3);
    expect(beside(8)).toBeUndefined();
  });

  test('some letters are darker by a sixth, however large the rest is', () => {
    const quick = bench({
      acceleration_mm_s2: [1000, 1000, 50],
      laser: { optical_power_w: 10 },
      spot: { width_mm: [0.08, 0.12] },
    });
    const found = (widthMm: number, heightMm: number) => {
      const small = fill({ widthMm, heightMm, s: 120, feed: 2000, overMm: 0.3, apartMm: 0.08 });
      const large = fill({
        widthMm: 50,
        heightMm: 20,
        s: 120,
        feed: 2000,
        y: 40,
        overMm: 0.3,
        apartMm: 0.08,
      });
      return warmFill(forecast(`${HEAD}M4 S0\n${small}${large}${END}`, quick, poplar, { stock: board(4) }));
    };
    // 9.4 mm² are darker, and 7.4.
    expect(found(2, 5)?.severity).toBe('warning');
    expect(found(2, 4)).toBeUndefined();
    expect(found(3, 4)?.measure.power_times).toBeCloseTo(0.827, 3);
    expect(found(3, 3)).toBeUndefined();
  });

  test('it is uneven where less than half of it is darker', () => {
    expect([beside(0.3), beside(0.4)].map((finding) => finding?.severity)).toEqual(['note', 'warning']);
  });

  test('its power should come down by an eighth', () => {
    const low = warmFill(made(fill({ widthMm: 4, heightMm: 4 })));
    expect(low?.measure.power_times).toBeCloseTo(0.874, 3);
    expect(warmFill(made(fill({ widthMm: 4, heightMm: 3 })))).toBeUndefined();
  });
});
