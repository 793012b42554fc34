import { describe, expect, test } from 'vitest';
import { summaryOf } from '../../src/cli/summary.ts';
import { compareForecasts } from '../../src/compare/compare.ts';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { notJudged } from '../../src/findings/not-judged.ts';
import { forecast } from '../../src/forecast.ts';
import { reportPage } from '../../src/page/report-page.tsx';
import { reportOf } from '../../src/report.ts';
import { bench, board, poplar, ROUGH } from './pairs.ts';

/** Whether a job cuts through is one story, wherever it is told. */

const square = (beam: string, feed: number, passes: number) =>
  `G21 G90\n${beam} S0\nG0 X5 Y5\n${`G1 X45 S1000 F${feed}\nY35\nX5\nY5\n`.repeat(passes)}M5\n`;
const run = (text: string, thicknessMm: number | null) =>
  forecast(text, bench(), poplar, { ...ROUGH, stock: { ...board(3, 50, 40), thicknessMm } });

describe('an operation that is meant to cut', () => {
  const through = run(square('M4', 200, 4), 3);
  const short = run(square('M4', 900, 2), 4);
  /** Constant power burns through where the head sets out, and nowhere else. */
  const atStart = run(
    `G21 G90\nM3 S1000\nG0 X5 Y5\nG1 F900\nG4 P0.5\n${'G1 X45\nY35\nX5\nY5\n'.repeat(2)}M5\n`,
    3,
  );

  test('through everywhere: with what it has to spare', () => {
    const [cut, ...more] = through.cuts;
    expect(more).toEqual([]);
    expect(cut).toMatchObject({
      operation: 1,
      through: true,
      uncutShare: 0,
      shallowestMm: 3,
      thicknessMm: 3,
    });
    expect(cut!.margin).toBeGreaterThan(0);
    expect(cutSentence(cut!)).toMatch(
      /^Operation 1 cuts through everywhere, with \d+ % of dose to spare\. It comes through on .* such boards?\b.*\.$/,
    );
  });

  test('not through: how deep at the shallowest, and how far short in dose, which is not the same', () => {
    const [cut] = short.cuts;
    expect(cut).toMatchObject({ operation: 1, through: false, uncutShare: 1, thicknessMm: 4 });
    expect(cut!.shallowestMm).toBeLessThan(4);
    expect(cut!.margin).toBeLessThan(0);
    expect(cutSentence(cut!)).toMatch(
      /^Operation 1, taken for a cut, does not cut through: [\d.]+ of 4 mm at the shallowest\. It comes through on .*\.$/,
    );
    const finding = short.findings.find(({ kind }) => kind === 'not-through')!;
    expect(finding.message).toMatch(
      /^The outline, taken for a cut, does not cut through anywhere: .* of 4 mm at the shallowest, and comes through on .* such boards?\.$/,
    );
    expect(finding.measure).toMatchObject({ share: 1, depth_mm: Number(cut!.shallowestMm.toFixed(4)) });
  });

  test('through by the numbers, and yet not for sure: told with its margin, at the place that gets least', () => {
    const eight = run(square('M4', 900, 8), 4);
    const { through, chanceThrough, passesForSure } = eight.cuts[0]!;
    expect([through, chanceThrough > 0.5, chanceThrough < 0.95]).toEqual([true, true, true]);
    const finding = eight.findings.find(({ kind }) => kind === 'not-through')!;
    expect(finding.severity).toBe('warning');
    expect(finding.message).toMatch(
      /^The outline, taken for a cut, may not cut through: burned 8 times at 900 mm\/min it has \d+ % of dose to spare, and comes through on about \d of 10 such boards\.$/,
    );
    expect(finding.remedy).toMatch(
      new RegExp(`^Burn it ${passesForSure} times in all: then it comes through on 19 of 20 such boards\\.`),
    );
    expect(finding.measure.passes_needed).toBe(passesForSure);
    const sure = run(square('M4', 900, passesForSure!), 4);
    expect(sure.findings.filter(({ kind }) => kind === 'not-through')).toEqual([]);
    const enough = forecast(square('M4', 900, 8), bench(), poplar, {
      stock: board(4, 50, 40),
      sure: chanceThrough - 0.01,
    });
    expect(enough.findings.filter(({ kind }) => kind === 'not-through')).toEqual([]);
  });

  test('too many passes: a speed for four, which are then for sure', () => {
    const faint = run(square('M4', 900, 2), 6);
    const finding = faint.findings.find(({ kind }) => kind === 'not-through')!;
    const [, feed] = /^1: speed (\d+), passes 4$/.exec(finding.advice!.change)!;
    const slower = run(square('M4', Number(feed), 4), 6).cuts[0]!;
    expect(slower.chanceThrough).toBeGreaterThanOrEqual(0.95);
    expect(slower.chanceThrough).toBeLessThan(0.98);
  });

  test('a side whose S lies under the threshold gets nothing at all: a whole dose short', () => {
    const machine = bench({ laser: { threshold_fraction: 0.1 } });
    const text = 'G21 G90\nM4 S0\nG0 X5 Y5\nG1 X45 S1000 F200\nY35\nX5\nY5 S50\nM5\n';
    const [cut] = forecast(text, machine, poplar, { stock: board(3, 50, 40), cellMm: 0.2 }).cuts;
    expect(cut!.margin).toBe(-1);
    expect(cut!.shallowestMm).toBe(0);
  });

  test('through at its start alone: nearly nowhere', () => {
    const [cut] = atStart.cuts;
    expect(cut!.uncutShare).toBeGreaterThan(0.98);
    expect(cut!.uncutShare).toBeLessThan(1);
    expect(cutSentence(cut!)).toMatch(/^Operation 1, taken for a cut, cuts through nearly nowhere: /);
    const finding = atStart.findings.find(({ kind }) => kind === 'not-through')!;
    expect(finding.message).toMatch(/^The outline, taken for a cut, cuts through nearly nowhere: /);
    expect(finding.measure.share).toBeCloseTo(cut!.uncutShare, 4);
  });

  test('the comparison, the report, the page and the summary tell the same', () => {
    const { a, rows } = compareForecasts(short, through);
    expect(a.cutMargin).toBe(short.cuts[0]!.margin);
    expect(rows.find(({ name }) => name === 'cut-through margin')).toMatchObject({
      a: expect.stringMatching(/^\d+ % short of the dose it needs$/),
      b: expect.stringMatching(/^\d+ % of dose to spare$/),
    });
    expect(reportOf(short).cuts).toEqual([
      {
        operation: 1,
        assumed: true,
        through: false,
        uncut_share: 1,
        beside_share: 0,
        shallowest_mm: Number(short.cuts[0]!.shallowestMm.toFixed(4)),
        thickness_mm: 4,
        margin: Number(short.cuts[0]!.margin.toFixed(4)),
        chance_through: Number(short.cuts[0]!.chanceThrough.toFixed(3)),
        passes_for_sure: short.cuts[0]!.passesForSure,
        unsure_because: expect.objectContaining({ optical_power: expect.any(Number) }),
        chance_with_swatch: short.cuts[0]!.withSwatch.map((chance) => Number(chance.toFixed(3))),
      },
    ]);
    const sentence = cutSentence(short.cuts[0]!);
    // The summary breaks long sentences and sets the rest further in.
    expect(summaryOf(short, 'job.nc').replaceAll('\n    ', ' ')).toContain(`\n  ${sentence}\n`);
    const told = [{ name: 'job.nc', forecast: short, closeUps: [] }];
    const page = reportPage({ title: '', told, comparison: null, pictures: [], caution: '' });
    expect(page).toContain(`<p>${sentence}</p>`);
  });
});

describe('without a thickness', () => {
  const note = /^The board’s thickness is not known, so cuts, cut order and the depth of engraving were not/;

  test('it is said that cuts were not checked', () => {
    const unknown = run(square('M4', 200, 4), null);
    expect(unknown.cuts).toEqual([]);
    expect(unknown.notes.filter((each) => note.test(each))).toHaveLength(1);
    const noStock = forecast(square('M4', 200, 4), bench(), poplar);
    expect(noStock.notes.filter((each) => note.test(each))).toHaveLength(1);
  });

  test('that stands at the head of summary and report, before anything says that nothing was found', () => {
    const unknown = run(square('M4', 900, 2), null);
    const sentence = notJudged(unknown)!;
    expect(sentence).toMatch(
      /Cutting through and the order of cuts were not judged.*: say how thick it is\.$/,
    );
    const summary = summaryOf(unknown, 'job.nc').replaceAll(/\n *(?=[a-z])/g, ' ');
    expect(summary.indexOf(sentence)).toBeGreaterThan(0);
    expect(summary.indexOf(sentence)).toBeLessThan(summary.indexOf('\nFindings'));
    const told = [{ name: 'job.nc', forecast: unknown, closeUps: unknown.findings.map(() => null) }];
    const page = reportPage({ title: '', told, comparison: null, pictures: [], caution: '' });
    expect(page).toContain(`<p>${sentence}</p>`);
    const none = { ...unknown, findings: [] };
    expect(summaryOf(none, 'job.nc')).toContain('Findings: none in what was judged.');
    const calm = reportPage({
      title: '',
      told: [{ ...told[0]!, forecast: none }],
      comparison: null,
      pictures: [],
      caution: '',
    });
    expect(calm).toContain('Nothing was found in what was judged.');
  });

  test('not of what was judged, was said to be engraved, is filled in rows or goes nowhere deep', () => {
    const unknown = run(square('M4', 900, 2), null);
    const [{ operation }] = unknown.operations as [(typeof unknown.operations)[0]];
    const like = (changed: object) => ({
      ...unknown,
      operations: [{ operation: { ...operation, ...changed } }],
    });
    expect(notJudged(run(square('M4', 900, 2), 4))).toBeNull();
    expect(notJudged(like({ intent: 'engrave' }))).toBeNull();
    expect(notJudged(like({ kind: 'rows' }))).toBeNull();
    const shallow = { ...unknown, engravings: [{ operation: 1, depthHighMm: 0.05 }] };
    expect(notJudged(shallow)).toBeNull();
    expect(notJudged({ ...shallow, ...like({ intent: 'cut' }), engravings: [] })).not.toBeNull();
  });

  test('but not where it is known, or nothing burns', () => {
    expect(run(square('M4', 200, 4), 3).notes.some((each) => note.test(each))).toBe(false);
    expect(run('G21 G90\nG0 X5 Y5\n', null).notes.some((each) => note.test(each))).toBe(false);
  });
});
