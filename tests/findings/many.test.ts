import { expect, test } from 'vitest';
import { parseChanges } from '../../src/change/grammar.ts';
import { layHatches } from '../../src/findings/evidence/hatches.ts';
import type { Place } from '../../src/findings/finding.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { bench, poplar, ROUGH } from './pairs.ts';

/** Rows of battlements, 3 mm high and wide, each with a dark run-up. */
function battlements(rows: number): string {
  const lines = ['G21 G90', 'M3 S0', 'F1200'];
  for (let row = 0; row < rows; row++) {
    lines.push(`G0 X5 Y${10 + row * 10}`, 'G1 X8 S0');
    for (let k = 0; k < 80; k++) {
      lines.push(`X${11 + k * 3} S150`, `Y${10 + row * 10 + (k % 2 ? 0 : 3)}`);
    }
    lines.push('X255', 'X258 S0');
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

test('hundreds of dark corners are one finding that names the worst and at most fifty places', () => {
  const { findings } = forecast(battlements(3), bench(), poplar, ROUGH);
  const corners = findings.filter(({ kind }) => kind === 'dark-corner');
  expect(corners.length).toBe(1);
  expect(corners[0]!.measure.count).toBe(3 * 160);
  expect((corners[0]!.measure.places as readonly Place[]).length).toBe(50);
  expect(findings).toEqual(corners);
});

test('hundreds of operations give no flood either, and the last one told says how many there are', () => {
  const strokes = Array.from(
    { length: 300 },
    (_, k) =>
      `M3 S300\nG0 X${5 + (k % 10) * 20} Y${5 + Math.floor(k / 10)}\nG1 X${20 + (k % 10) * 20} F${1000 + k}\nM5`,
  );
  const { findings, program } = forecast(`G21 G90\n${strokes.join('\n')}\nM2`, bench(), poplar, ROUGH);
  expect(program.operations.length).toBe(300);
  const dots = findings.filter(({ kind }) => kind === 'dark-start-stop');
  expect(dots.length).toBe(8);
  expect(dots.at(-1)!.message).toMatch(/The same goes for 292 more operations\.$/);
  expect(dots.at(-1)!.measure.more_operations).toBe(292);
  // The faster the stroke, the longer its head is slow at the ends: the worst are the last eight, in their order.
  expect(dots.map(({ operation }) => operation)).toEqual([293, 294, 295, 296, 297, 298, 299, 300]);
});

test('a job with an operation on every line is forecast', () => {
  // To and fro: what all of them get is much the same.
  const lines = Array.from({ length: 126_000 }, (_, k) => {
    const row = Math.floor(k / 1000);
    const along = row % 2 === 0 ? k % 1000 : 999 - (k % 1000);
    return `G1 X${(along * 0.1).toFixed(1)} Y${(row * 0.5).toFixed(1)} F${600 + (k % 2)}`;
  });
  const stock = { widthMm: 120, heightMm: 80, thicknessMm: 4, xMm: 0, yMm: 0 };
  const made = forecast(`G21 G90\nM4 S500\n${lines.join('\n')}\nM5\n`, bench(), poplar, {
    stock,
    cellMm: 0.5,
  });
  expect(made.operations.length).toBe(125_999);
  expect(made.findings.length).toBeLessThan(20);
});

test('hundreds of small fills, hatched and beside each other, are told of each by itself', () => {
  const at = Array.from({ length: 8 }, (_, k) => k / 10);
  const fills = Array.from({ length: 800 }, (_, k) => {
    const [x, y] = [5 + (k % 100) * 2, 5 + Math.floor(k / 100) * 2];
    // Each has eight rows in one direction and, every second one, eight across them.
    const rows = at.map((mm) => `G0 X${x} Y${y + mm}\nG1 X${x + 1}`);
    const across = at.map((mm) => `G0 X${x + mm} Y${y}\nG1 Y${y + 1}`);
    return `S500 F${1000 + k}\n${[...rows, ...(k % 2 ? across : [])].join('\n')}`;
  });
  const program = readProgram(`G21 G90\nM4\n${fills.join('\n')}\nM5`, readOptions(bench()));
  const laid = layHatches(program);
  expect(laid.map((each) => each.map(({ over }) => over.length))).toEqual(
    Array.from({ length: 800 }, (_, k) => (k % 2 ? [1, 1] : [0])),
  );
});

test('a thousand passes along one diagonal are forecast, each with what all of them give', () => {
  const passes = Array.from({ length: 1000 }, (_, k) => (k % 2 ? 'X5 Y5' : 'X6.5 Y6'));
  const made = forecast(`G21 G90\nG0 X5 Y5\nM4 S500\nG1 F1200\n${passes.join('\n')}\nM5\n`, bench(), poplar, {
    stock: { widthMm: 10, heightMm: 10, thicknessMm: 4, xMm: 0, yMm: 0 },
  });
  expect(made.operations.map(({ operation }) => operation.passes)).toEqual([1000]);
  expect(made.cuts).toHaveLength(1);
  expect(made.cuts[0]!.through).toBe(true);
});

test('worst first, then in the order of the file', () => {
  const { findings } = forecast(
    'G21 G90\nM6\nM3 S300\nG0 X250 Y10\nG1 X280 F1200\nG4 P1\nG1 X310\nM5\nM2',
    bench(),
    poplar,
  );
  expect(findings.map(({ kind, severity }) => `${severity} ${kind}`)).toEqual([
    'stop beam-on-at-rest',
    'stop off-bed',
    'warning not-simulated',
    'warning dark-start-stop',
  ]);
});

test('S beyond the scale is one finding, however many operations have it', () => {
  const strokes = Array.from(
    { length: 72 },
    (_, k) =>
      `G0 X${5 + (k % 10) * 20} Y${5 + Math.floor(k / 10) * 5}\nG1 X${20 + (k % 10) * 20} F${1000 + k} S${k === 5 ? 900 : 2000 + k}`,
  );
  const { findings } = forecast(`G21 G90\nM4\n${strokes.join('\n')}\nM5\nM2`, bench(), poplar, ROUGH);
  const clipped = findings.filter(({ kind }) => kind === 'power-clipped');
  expect(clipped).toMatchObject([
    { line: 4, operation: null, measure: { operations: 71, s_max: 2071, scale_s: 1000, share: 1 } },
  ]);
  expect(clipped[0]!.message).toMatch(
    /^S goes up to 2071 in 71 operations, .* down to 48\.3 % of what was asked/,
  );
  expect(parseChanges(clipped[0]!.advice!.change).length).toBe(71);
});

test('plunges with the beam on are one finding with their count, where Z lifts the head for travel', () => {
  const strokes = Array.from(
    { length: 12 },
    (_, k) => `G0 X${10 * k} Y10\nG1 Z0 F300\nX${10 * k + 6} F1200\nG0 Z5`,
  );
  const { findings, program } = forecast(
    `G21 G90\nM3 S600\nG0 Z5\n${strokes.join('\n')}\nM5\nM2`,
    bench(),
    poplar,
  );
  expect(program.operations.length).toBe(24);
  const plunges = findings.filter(({ kind }) => kind === 'may-ignite');
  expect(plunges).toHaveLength(1);
  expect(plunges[0]).toMatchObject({ severity: 'stop', line: 5, operation: null, advice: null });
  expect(plunges[0]!.measure.count).toBe(12);
  expect((plunges[0]!.measure.places as readonly Place[]).map(([x]) => x)).toEqual(
    strokes.map((_, k) => 10 * k),
  );
  expect(plunges[0]!.message).toMatch(/while the head goes up or down, and at 12 places in all/);
});
