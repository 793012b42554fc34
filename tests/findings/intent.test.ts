import { describe, expect, test } from 'vitest';
import { changesWords, parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { reportOf } from '../../src/report.ts';
import { inThePage } from '../../viewer/words/in-the-page.ts';
import { furthestApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar } from './pairs.ts';

/** What an outline is for: taken from the depth it really reaches, unless somebody says it. */

const machine = machineWith({ laser: { optical_power_w: 5 }, spot: { width_mm: [0.1, 0.1] } });

/** A hole of 1 mm radius in 48 straight moves. */
function hole(xMm: number, yMm: number, feed: number, s: number): string {
  const at = (k: number) =>
    `X${(xMm + Math.cos((k * Math.PI) / 24)).toFixed(3)} Y${(yMm + Math.sin((k * Math.PI) / 24)).toFixed(3)}`;
  return `G0 ${at(0)}\n${Array.from({ length: 48 }, (_, k) => `G1 ${at(k + 1)} F${feed} S${s}`).join('\n')}\n`;
}
const holes = (feed: number, s: number, mode = 'M3') =>
  `G21 G90\n${mode} S0\n${[10, 20, 30].map((x) => hole(x, 10, feed, s)).join('')}M5\n`;
/** A frame, engraved in passing, with a line inside. */
const frame = (feed: number, s: number) =>
  `G21 G90\nM4 S0\nG0 X5 Y5\nG1 X35 S${s} F${feed}\nY25\nX5\nY5\nG0 X10 Y10\nG1 X20 F1500 S150\nM5\n`;
/** A sluggish machine: round a hole its head never comes to half of 1000 mm/min. */
const sluggish = machineWith({
  acceleration_mm_s2: [60, 60, 60],
  laser: { optical_power_w: 5 },
  spot: { width_mm: [0.1, 0.1] },
  lookahead_moves: 4,
});
const run = (text: string, thicknessMm: number | null = 3, own = machine): Forecast =>
  forecast(text, own, poplar, { stock: { ...board(3, 40, 30), thicknessMm } });
const notThrough = ({ findings }: Forecast) => findings.filter(({ kind }) => kind === 'not-through');

describe('holes at full power', () => {
  const made = run(holes(1000, 1000), 3, sluggish);

  test('are judged by the speed the head comes to, not the one that is programmed', () => {
    // At 1000 mm/min in a straight line the beam would reach well below half of the board.
    const straight = run(`G21 G90\nM3 S0\nG0 X2 Y10\nG1 X38 F1000 S1000\nM5\n`, 3, machine);
    expect(straight.cuts).toEqual([]);
    expect(made.cuts.map(({ operation, assumed }) => [operation, assumed])).toEqual([[1, true]]);
  });

  test('and where they do not come through, that is found, and said to be taken for cuts', () => {
    expect(made.cuts[0]).toMatchObject({ through: false, assumed: true });
    expect(cutSentence(made.cuts[0]!)).toMatch(/^Operation 1, taken for a cut, /);
    const [finding] = notThrough(made);
    expect(finding!.message).toMatch(/^The outline, taken for a cut, /);
    expect(finding!.remedy).toContain('If it is to engrave only, say so with the change “1: engrave”.');
    // Who has the page and no command is told what is pressed there.
    expect(inThePage(finding!.remedy)).toContain(
      'If it is to engrave only, choose “to engrave” instead of “to cut” in the sentence of operation 1.',
    );
    expect(finding!.measure.assumed_cut).toBe('yes');
  });

  test('engraved faintly they are no cuts', () => {
    const faint = run(holes(1000, 60), 3, sluggish);
    expect(faint.cuts).toEqual([]);
    expect(notThrough(faint)).toEqual([]);
  });
});

describe('what is said', () => {
  const base = run(frame(3000, 1000));

  test('a frame burned in passing is no cut, until somebody says that it is one', () => {
    expect(base.cuts).toEqual([]);
    const said = forecastChanged(base, parseChanges('1: cut'));
    expect(said.cuts).toMatchObject([{ operation: 1, assumed: false, through: false }]);
    expect(cutSentence(said.cuts[0]!)).toMatch(/^Operation 1 does not cut through/);
    const [finding] = notThrough(said);
    expect(finding!.message).toMatch(/^The outline does not cut through/);
    expect(finding!.remedy).not.toContain('engrave');
    expect(finding!.measure.assumed_cut).toBe('no');
  });

  test('what was taken for a cut is none when it is said to engrave', () => {
    const cut = run(frame(400, 1000));
    expect(cut.cuts.map(({ operation }) => operation)).toContain(1);
    const said = forecastChanged(cut, parseChanges('1: engrave'));
    expect(said.cuts).toEqual([]);
    expect(notThrough(said)).toEqual([]);
  });

  test('it changes nothing that is burned, and goes along with other changes', () => {
    const said = forecastChanged(base, parseChanges('1: cut'));
    expect(furthestApart(said.dose.grid.data, base.dose.grid.data)).toBe(0);
    expect(furthestApart(said.burn.depthMm, base.burn.depthMm)).toBe(0);
    const slower = forecastChanged(base, parseChanges('1: cut, speed 300, passes 4'));
    expect(slower.cuts).toMatchObject([{ operation: 1, assumed: false, through: true }]);
    const stronger = forecastChanged(base, parseChanges('1: cut, power 50 %'));
    expect(stronger.cuts).toMatchObject([{ operation: 1, through: false }]);
    expect(stronger.dose.energyJ).toBeLessThan(base.dose.energyJ);
  });

  test('the report tells it, and whether it was said', () => {
    const said = reportOf(forecastChanged(base, parseChanges('1: cut')));
    expect(said.operations.map(({ intent }) => intent)).toEqual(['cut', null]);
    expect(said.cuts.map(({ assumed }) => assumed)).toEqual([false]);
    expect(reportOf(run(frame(400, 1000))).cuts[0]!.assumed).toBe(true);
  });

  test('is read in plain words and said back in them', () => {
    for (const words of ['3: cut', '3: to cut', '3: cutting'])
      expect(changesWords(parseChanges(words))).toBe('3: cut');
    for (const words of ['1: engrave', '1: engraved', '1: engraving'])
      expect(parseChanges(words)).toEqual([{ operation: 1, intent: 'engrave' }]);
    expect(parseChanges('2: cut last')).toEqual([{ operation: 2, last: true }]);
    expect(() => parseChanges('2: cut, engrave')).toThrow(/two settings of what it is for for 2/);
    expect(() => parseChanges('2: cut deep')).toThrow(/expected cut or engrave/);
  });

  test('rows are engraved, and cannot be said to cut', () => {
    const rows = Array.from({ length: 30 }, (_, k) => `G0 X5 Y${5 + k / 10}\nG1 X35 F3000 S300`).join('\n');
    const made = run(`G21 G90\nM4 S0\n${rows}\nG0 X5 Y20\nG1 X35 F600 S1000\nM5\n`);
    expect(() => forecastChanged(made, parseChanges('1: cut'))).toThrow(
      /found cut for operation 1, which is rows; expected an outline/,
    );
    const all = forecastChanged(made, parseChanges('all: cut'));
    expect(all.cuts.map(({ operation }) => operation)).toEqual([2]);
  });

  test('without a thickness nothing can be said of cuts', () => {
    const unknown = run(frame(400, 1000), null);
    expect(forecastChanged(unknown, parseChanges('1: cut')).cuts).toEqual([]);
  });
});
