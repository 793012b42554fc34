import { expect, test } from 'vitest';
import type { Stock } from '../../src/board.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { compareForecasts } from '../../src/compare/compare.ts';
import { jobRow } from '../../src/compare/job-row.ts';
import { finishOf } from '../../src/finish/finish.ts';
import { becomesOf, forecast } from '../../src/forecast.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { leftOver, leftOverSentence } from '../../src/parts/left-over.ts';
import { reportOf } from '../../src/report.ts';
import { bench, poplar } from './pairs.ts';

/** Board edge, a burn near it, on it and beyond it, and what is said of cuts there: one story. */

/** A square of 40 × 30 mm from (5, 5). */
const square = (feed: number, passes: number) =>
  `G21 G90\nM4 S0\nG0 X5 Y5\n${`G1 X45 S1000 F${feed}\nY35\nX5\nY5\n`.repeat(passes)}M5\n`;
const onBoard = (text: string, stock: Stock) =>
  forecast(text, bench(), poplar, { stock, cellMm: 0.2, cool: true });
const board = (left: number, right: number, thicknessMm = 3): Stock => ({
  widthMm: right - left,
  heightMm: 60,
  thicknessMm,
  xMm: left,
  yMm: -10,
});
const half = Math.max(...bench().spot.width_mm) / 2;
const told = (made: ReturnType<typeof onBoard>) => {
  const found = made.findings.find(({ kind }) => kind === 'near-edge' || kind === 'off-stock');
  return { found, left: leftOverSentence(leftOver(made)!) };
};

test.each([
  [-1.501, undefined, undefined, /keeps 1\.5 mm from/],
  [-1.499, 'near-edge', 'note', /keeps 1\.5 mm from/],
  [-half - 0.001, 'near-edge', 'note', /keeps/],
  [-half + 0.001, 'near-edge', 'warning', /lies on the board’s edge/],
  [0, 'near-edge', 'warning', /lies on the board’s edge/],
  [half - 0.001, 'near-edge', 'warning', /lies on the board’s edge/],
  [half + 0.001, 'off-stock', 'stop', /reaches .* mm beyond the board’s edge/],
] as const)('a line %d mm beyond the edge of a plain board', (beyondMm, kind, severity, words) => {
  const { found, left } = told(onBoard(square(200, 1), board(-20, 45 - beyondMm)));
  expect(found?.kind).toBe(kind);
  expect(found?.severity).toBe(severity);
  expect(left).toMatch(words);
});

test('by how much to move the burn is said in numbers where they are known', () => {
  const near = told(onBoard(square(200, 1), board(-20, 46))).found!;
  // Half a millimetre more than the one it keeps.
  expect(near.remedy).toMatch(/^Move the burn 0\.5 mm to the left so that it keeps 1\.5 mm from the edge/);
  expect(near.measure.shift_mm).toEqual([-0.5, 0]);
  const moved = told(onBoard(square(200, 1), { ...board(-20, 46), xMm: -19.5 }));
  expect(moved.found).toBeUndefined();
  // 41 mm are too few for 40 and an edge on both sides.
  const tight = told(onBoard(square(200, 1), board(4.5, 45.5))).found!;
  expect(tight.measure.shift_mm).toBeUndefined();
  expect(parseChanges(/“(all: .*?)”/.exec(tight.remedy)![1]!)).toHaveLength(1);
});

test('of a line on the very edge half the light falls beside, and the finding says so and where', () => {
  const made = onBoard(square(200, 1), board(-20, 45));
  const { found } = told(made);
  expect(found).toMatchObject({ line: 4, atMm: [45, 5], operation: 1, measure: { clearance_mm: 0 } });
  expect(found!.message).toContain('about half of its light falls beside the wood');
  // 30 of 140 mm lie on the edge; the lines that meet there add what their ends throw over it.
  expect(made.dose.outsideJ / made.dose.energyJ).toBeGreaterThan(0.9 * (15 / 140));
});

test('what lies beside the board is not cut: the rest is told, and by how much less', () => {
  const onWood = onBoard(square(200, 4), board(-20, 60));
  const made = onBoard(square(200, 4), board(-20, 35));
  const [cut] = made.cuts;
  expect(onWood.cuts[0]).toMatchObject({ through: true, besideShare: 0 });
  // By hand: 10 + 30 + 10 of 140 mm.
  expect(cut!.through).toBe(true);
  expect(cut!.besideShare).toBeCloseTo(50 / 140, 2);
  expect(becomesOf(made)[0]).toMatch(
    /^Operation 1 cuts through everywhere on the board, .* 36 % of its path lies beside the board\.$/,
  );
  expect(reportOf(made).cuts[0]!.beside_share).toBeCloseTo(50 / 140, 2);
  expect(jobRow(made).comesThrough).toBe('not all on the board');
  const chance = compareForecasts(onWood, made).rows.find(({ name }) => name === 'comes through on')!;
  expect(chance).toMatchObject({ a: expect.stringMatching(/boards?$/), b: 'not all on the board' });
  const off = made.findings.find(({ kind }) => kind === 'off-stock')!;
  // The way onto this board would lead off the bed.
  expect(off.remedy).toContain('itself lies partly beyond the bed');
  const moved = onBoard(square(200, 4), { ...board(-20, 35), xMm: -20 + 11.5 });
  expect(told(moved).found).toBeUndefined();
});

test('nothing is said to be cut or engraved that lies all beside the board', () => {
  const beside = onBoard(square(200, 4), board(60, 90));
  expect(beside.cuts[0]).toMatchObject({ through: false, besideShare: 1, chanceThrough: 0 });
  const sentence = 'Operation 1 lies beside the board: nothing of it comes onto the wood.';
  expect(becomesOf(beside)).toEqual([sentence]);
  const engraved = onBoard(square(6000, 1), board(60, 90));
  expect(becomesOf(engraved)).toEqual([sentence]);
  expect(reportOf(engraved).operations[0]!.tone).toBeNull();
  expect(jobRow(beside).comesThrough).toBe('all beside the board');
  const fainter = onBoard(square(6000, 1).replace('S1000', 'S500'), board(60, 90));
  const compared = compareForecasts(engraved, fainter);
  expect([compared.tones, compared.unsure]).toEqual([[], []]);
  const { a, rows } = compareForecasts(beside, beside);
  expect([a.cutMargin, a.cutChance]).toEqual([null, null]);
  const cutRows = rows.filter(({ name }) => /cut-through|comes through/.test(name));
  expect(cutRows.map((row) => row.a)).toEqual(['all beside the board', 'all beside the board']);
});

test('an outline burned in four passes is as long as it is on the wood', () => {
  const made = onBoard(square(1200, 4), board(-20, 60, 8));
  const { measure } = made.findings.find(({ kind }) => kind === 'not-through')!;
  // By hand: 2 × (40 + 30) mm.
  expect(measure.uncut_mm).toBeCloseTo(140, 6);
  expect(() => finishOf(made, readSaid('through but for 141 mm'))).toThrow(
    'found 141 mm uncut of a path of 140 mm',
  );
  expect(finishOf(made, readSaid('through but for 139 mm')).left[0]!.uncutMm).toBe(139);
});

test('a line burned there and back, and one of its own, are each told once', () => {
  const text = 'G21 G90\nM4 S0\nG0 X5 Y5\nG1 X45 S1000 F1200\nX5\nM5\nG0 Y20\nM4\nG1 X35\nM5\n';
  const cut = forecastChanged(onBoard(text, board(-20, 60, 8)), parseChanges('all: cut'));
  const found = cut.findings.find(({ kind }) => kind === 'not-through');
  expect(found?.measure.uncut_mm).toBeCloseTo(70, 6);
});

test('an outline that is known less well is kept off as far as that', () => {
  const stock = board(-20, 47.2);
  const { xMm: x, yMm: y, widthMm: w, heightMm: h } = stock;
  const outline = [
    [x, y],
    [x + w, y],
    [x + w, y + h],
    [x, y + h],
  ] as const;
  const near = (outlinePlusMinusMm: number | null) =>
    told(onBoard(square(200, 1), { ...stock, outline, outlinePlusMinusMm })).found;
  expect(near(null)).toBeUndefined();
  expect(near(2.4)).toMatchObject({ kind: 'near-edge', severity: 'warning' });
  expect(near(2.4)!.message).toContain('the outline itself is known to about 2.4 mm.');
  expect(near(2.4)!.remedy).toContain('keeps 2.4 mm from the edge');
});

test('a burn that fits only turned is told so, with the change that lays it on the board', () => {
  // 40 × 30 mm about (25, 20), on a board of 36 × 60 mm: turned it is 30 mm wide, from x 10 to 40.
  const made = onBoard(square(600, 1), board(0, 36));
  const off = made.findings.find(({ kind }) => kind === 'off-stock')!;
  expect(off.remedy).toBe(
    'It does not fit as it lies: the burn is 40 × 30 mm, the board 36 × 60 mm. Turn it by 90° and move it 5.5 mm to the left; it fits the board then.',
  );
  expect(off.measure).toMatchObject({ turn_degrees: 90, shift_mm: [-5.5, 0] });
  const then = forecastChanged(made, parseChanges('all: turn 90, shift -5.5x0'));
  expect(then.findings.map(({ kind }) => kind)).not.toContain('off-stock');
  expect(then.findings.map(({ kind }) => kind)).not.toContain('near-edge');
  // Turned it would lie on the very edge at x 10: it keeps off that one too.
  const onEdge = onBoard(square(600, 1), board(10, 44)).findings.find(({ kind }) => kind === 'off-stock')!;
  expect(onEdge.measure).toMatchObject({ turn_degrees: 90, shift_mm: [1.5, 0] });
  // No way round: smaller is all that is left.
  const narrow = onBoard(square(600, 1), board(0, 29)).findings.find(({ kind }) => kind === 'off-stock')!;
  expect(narrow.remedy).toMatch(/Make it smaller\.$/);
  expect(narrow.measure).not.toHaveProperty('turn_degrees');
});
