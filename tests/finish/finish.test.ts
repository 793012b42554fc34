import { describe, expect, test } from 'vitest';
import { type Material, readMaterial } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { finishOf } from '../../src/finish/finish.ts';
import { finishText } from '../../src/finish/finish-text.ts';
import { beforeItStarts } from '../../src/finish/words.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { cellValueAt } from '../../src/grid.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { FINISH_MARK } from '../../src/program/finish-mark.ts';
import { cutsThere, normals, truthOf } from '../outcome/workshop.ts';
import { machineWith } from '../support/machines.ts';

/** What finishes a cut that did not come through: against the forecast itself where nothing is open, and in workshops. */

const wood = shippedMaterials['poplar plywood']!;
const machine = machineWith({
  spot: { width_mm: [0.12, 0.12] },
  plus_minus: { optical_power_percent: 10, spot_width_percent: 10 },
});
const stock = { widthMm: 22, heightMm: 22, thicknessMm: 4, xMm: 0, yMm: 0 };
const options = { stock, cellMm: 0.2 };

const lap = ['G1 X17 S1000 F1100', 'Y17', 'X5', 'Y5'];
const job = (laps: number) =>
  [
    'G21 G90',
    'M3 S0',
    'G0 X8 Y11',
    'G1 X14 S200 F3000',
    'G0 X5 Y5',
    ...Array(laps).fill(lap).flat(),
    'M5',
    'M2',
  ]
    .join('\n')
    .concat('\n');
const cutOf = ({ cuts }: Forecast, n: number) => cuts.find(({ operation }) => operation === n)!;

/** The wood with nothing left open. */
const certain = (material: Material): Material =>
  readMaterial(JSON.parse(JSON.stringify(material), (key, value) => (key === 'plus_minus' ? 0 : value)));
const sureMachine = { ...machine, plus_minus: { optical_power_percent: 0, spot_width_percent: 0 } };

describe('where nothing is open', () => {
  // A finishing job burns wood that has cooled; the whole job with as many passes would still be warm.
  const options0 = { ...options, cool: true, stock: { ...stock, thicknessPlusMinusMm: 0 } };
  const first = forecast(job(2), sureMachine, certain(wood), options0);
  const reachedMm = cutOf(first, 2).shallowestMm;

  test('the passes are those with which the forecast is through, and not one fewer', () => {
    expect(reachedMm).toBeGreaterThan(1);
    expect(reachedMm).toBeLessThan(3);
    const { left } = finishOf(first, readSaid(`2: ${reachedMm} mm`));
    const more = left[0]!.passes;
    const isThrough = (laps: number) =>
      cutOf(forecast(job(laps), sureMachine, certain(wood), options0), 2).through;
    expect(isThrough(2 + more)).toBe(true);
    expect(isThrough(2 + more - 1)).toBe(false);
    expect(Math.abs(left[0]!.surprise)).toBeLessThan(0.1);
  });

  test('first job and finishing job together are through, and what was engraved gets nothing more', () => {
    const { changes } = finishOf(first, readSaid(`2: ${reachedMm} mm`));
    const finishing = adjustText(job(2), changes, sureMachine);
    const both = forecast(job(2).replace(/M2\n/, '') + finishing, sureMachine, certain(wood), options0);
    const cut = both.cuts.find(({ passes }) => passes > 0)!;
    expect(cut.through).toBe(true);
    // The middle of the engraved line, far from any cut.
    const at = (made: Forecast) => cellValueAt(made.dose.grid, 11, 11);
    expect(at(first)).toBeGreaterThan(0);
    expect(Math.abs(at(both) / at(first) - 1)).toBeLessThan(1e-9);
    expect(at(forecast(finishing, sureMachine, certain(wood), options0))).toBe(0);
  });
});

test('in workshops with a truth of their own, 19 of 20 are through with what is advised', () => {
  const normal = normals(11);
  const profile = forecast(job(2), machine, wood, options);
  let [told, through, withOneLess, byProfile] = [0, 0, 0, 0];
  const usual = cutOf(profile, 2).passesForSure! - 2;
  for (let seed = 1; seed <= 40; seed++) {
    const truth = truthOf(wood, machine, stock, seed);
    const burned = (laps: number) =>
      cutsThere(job(laps), truth, 0.4).find(({ operation }) => operation === 2)!;
    const cut = burned(2);
    if (cut.through || cut.shallowestMm < 0.3) continue;
    const measuredMm = Math.max(0.1, Number((cut.shallowestMm + 0.1 * normal()).toFixed(1)));
    if (measuredMm >= stock.thicknessMm) continue;
    const [left] = finishOf(profile, readSaid(`2: ${measuredMm} mm`)).left;
    told++;
    if (left!.passes < usual) byProfile++;
    // What is through with a pass fewer is through with all of them.
    const isEasy = burned(2 + left!.passes - 1).through;
    if (isEasy) withOneLess++;
    if (isEasy || burned(2 + left!.passes).through) through++;
  }
  expect(told).toBeGreaterThan(30);
  expect(through / told).toBeGreaterThanOrEqual(0.95);
  // Not by burning far more than it takes: a pass fewer leaves a good part of them uncut, and many are spared passes.
  expect(withOneLess / told).toBeLessThan(0.95);
  expect(byProfile / told).toBeGreaterThan(0.4);
}, 120_000);

describe('what is told', () => {
  const made = forecast(job(2), machine, wood, options);
  const passesFor = (words: string) => finishOf(made, readSaid(words)).left[0]!.passes;

  test('the deeper it is, the fewer passes are left; a part of the thickness is a depth', () => {
    const depths = [1, 1.6, 2.4, 3.2, 3.8].map((mm) => passesFor(`${mm} mm`));
    expect(depths).toEqual([...depths].sort((a, b) => b - a));
    expect(depths[0]!).toBeGreaterThan(depths.at(-1)!);
    expect(passesFor('2: 40 %')).toBe(passesFor('2: 1.6 mm'));
    expect(passesFor('2: through but for 12 mm')).toBeLessThanOrEqual(passesFor('2: 3.2 mm'));
    expect(passesFor('not through')).toBeGreaterThanOrEqual(passesFor('2: 3.2 mm'));
  });

  test('what lies far from the forecast is told to', () => {
    const shallow = finishOf(made, readSaid('2: 0.6 mm')).left[0]!;
    expect(shallow.surprise).toBeLessThan(-2);
    const deep = finishOf(made, readSaid('2: 3.9 mm')).left[0]!;
    expect(deep.surprise).toBeGreaterThan(2);
  });

  test.each([
    ['2: through', /found every cut through; expected one that is not/],
    ['2: 4 mm', /found a depth of 4 mm reached in a board of 4 mm; expected one above 0 and below/],
    ['2: 0 mm', /found a depth of 0 mm reached/],
    ['2: darker', /found “darker”; expected what was reached/],
    ['5: 1 mm', /found operation 5; expected one of the job's, from 1 to 2/],
    ['2: through but for 900 mm', /found 900 mm uncut of a path of 1?\d?\d mm; expected less/],
    [
      '2: 1 mm; 2: 2 mm',
      /found “1 mm” and “2 mm” told of operation 2; expected one answer to how far it came/,
    ],
    ['1 mm; 2: 2 mm', /found “1 mm” and “2 mm” told of operation 2; expected one answer to how far it came/],
  ])('%s is refused', (words, sentence) => {
    expect(() => finishOf(made, readSaid(words))).toThrow(sentence);
  });

  test('without the thickness of the board it is refused', () => {
    const bare = forecast(job(2), machine, wood, { cellMm: 0.4 });
    expect(() => finishOf(bare, readSaid('2: 1 mm'))).toThrow(
      /found no thickness of the board; expected --stock/,
    );
  });

  test('one of several cuts must be named', () => {
    const two = job(2).replace('M5\n', `G0 X40 Y5\n${lap.join('\n').replace('F1100', 'F500')}\nM5\n`);
    const made2 = forecast(two, machine, wood, options);
    expect(made2.cuts.length).toBeGreaterThan(1);
    expect(() => finishOf(made2, readSaid('1 mm'))).toThrow(/found 2 operations that are meant to cut/);
  });

  test('passes that go down step by step are burned from the top again, all of them', () => {
    const down = job(1).replace('M5\n', `G0 Z-0.5\n${lap.join('\n')}\nM5\n`);
    const made2 = forecast(down, machine, wood, options);
    const finish = finishOf(made2, readSaid('2: 3.9 mm'));
    expect(finish.left[0]).toMatchObject({ isStepped: true, passesBurned: 2 });
    expect(finish.changes[0]!.passes).toBeGreaterThanOrEqual(2);
    // The job lowers the head itself: nobody is told to do so, nor to leave it where it was in the end.
    const about = (each: typeof finish) => beforeItStarts(each).filter((sentence) => /focus/.test(sentence));
    expect(about(finish)).toEqual([expect.stringMatching(/^Begin with the focus where the first job began/)]);
    const level = finishOf(forecast(job(2), machine, wood, options), readSaid('2: 1.2 mm'));
    expect(about(level)).toEqual([expect.stringMatching(/^Leave the focus where it was/)]);
  });
});

test('where firings count, passes on wood that has cooled ask for more', () => {
  const passes = (cool: boolean) =>
    finishOf(forecast(job(2), machine, wood, { ...options, cool }), readSaid('2: 1.2 mm')).left[0]!.passes;
  expect(passes(true)).toBeGreaterThanOrEqual(passes(false));
  const costly = { ...wood, firing_cost: { ...wood.firing_cost, value: 0.9, plus_minus: 0 } };
  const made = forecast(job(2), machine, costly, options);
  expect(finishOf(made, readSaid('2: 1.2 mm')).left[0]!.passes).toBeGreaterThan(passes(false));
});

test('a finishing job is the job with its cut alone', () => {
  const { changes } = finishOf(forecast(job(2), machine, wood, options), readSaid('2: 1.6 mm'));
  expect(changes).toEqual(parseChanges(`2: passes ${changes[0]!.passes}, only`));
});

describe('the job that finishes a cut, forecast by itself', () => {
  /** All of it is a cut, also where one pass of it is far from half through. */
  const kindsOf = (between: string, feed: number, thicknessMm: number) => {
    const text = `G21 G90\n; ${FINISH_MARK}\nM3 S0\nG0 X5 Y5\nG1 F${feed} S1000\n${between}G1 X17\nY17\nX5\nY5\nM5\n`;
    const made = forecast(text, machine, wood, { ...options, stock: { ...stock, thicknessMm } });
    expect(made.cuts).toEqual([]);
    expect(made.program.finishesCut).toBe(true);
    return made.findings.map(({ kind, severity }) => `${severity} ${kind}`);
  };

  test('is not told to leave out the short stop with which a cut begins', () => {
    expect(kindsOf('G4 P0.2\n', 1100, 12)).toEqual([]);
    expect(kindsOf('G4 P2\n', 1100, 12)).toEqual(['stop beam-on-at-rest']);
  });

  test('may be as slow as the cut was, with the same warning', () => {
    expect(kindsOf('', 29, 12)).toEqual(['warning may-ignite']);
  });
});

describe('the order in which what is left is burned', () => {
  const setup = { machine, material: wood, options };
  const square = (from: number, to: number, feed: number) =>
    `G0 X${from} Y${from} F${feed}\nG1 X${to}\nY${to}\nX${from}\nY${from}\n`;
  const outer = (feed = 400) => square(3, 19, feed);
  const inner = (feed = 400) => square(8, 14, feed);
  const jobOf = (...outlines: string[]) => `G21 G90\nM4 S1000\n${outlines.join('')}M5\nM2\n`;
  const finished = (text: string, told: string) => finishText(text, setup, readSaid(told));
  /** The outlines in the order burned, by the y of their first side. */
  const drawn = (text: string) => {
    const { xMm, yMm, rapid, count } = forecast(text, machine, wood, options).program.moves;
    const names = new Map([
      [3, 'outer'],
      [8, 'inner'],
    ]);
    return Array.from({ length: count }, (_, k) => k)
      .filter((k) => k > 0 && rapid[k] === 0 && xMm[k - 1]! < xMm[k]!)
      .flatMap((k) => names.get(yMm[k]!) ?? []);
  };

  test('a hole is cut before the outline around it, other than in the job, and that is said', () => {
    const { text, sentences, before } = finished(jobOf(outer(), inner()), '1: 3.4 mm');
    expect(drawn(text)).toEqual(['inner', 'outer']);
    expect(sentences.join(' ')).toContain('It burns the inside of each outline before the outline');
    expect(before[0]).toMatch(/^The board must not have moved/);
  });

  test('with several passes all of the hole come first, whatever the order of the job', () => {
    for (const text of [jobOf(outer(900), inner(900)), jobOf(inner(900), outer(900))]) {
      const order = drawn(finished(text, '1: 1 mm').text);
      expect(order.length).toBeGreaterThan(2);
      expect(order.indexOf('outer')).toBe(order.length / 2);
      expect(order.slice(order.length / 2)).not.toContain('inner');
    }
  });

  test('an operation that goes round another comes last, under its own number in what is said', () => {
    const engraved = 'G0 X10 Y11\nG1 X12 S100 F3000\nS1000\n';
    const { text, sentences } = finished(jobOf(engraved, outer(400), inner(500)), '2: 3.4 mm; 3: 3 mm');
    const order = drawn(text);
    expect(order.lastIndexOf('inner')).toBeLessThan(order.indexOf('outer'));
    expect(sentences.join(' ')).toContain('It burns operation 2 last');
  });

  test('nothing is said where the job is right, or nothing lies inside anything', () => {
    for (const text of [jobOf(inner(), outer()), jobOf(outer())]) {
      const { sentences, before } = finished(text, '1: 3.8 mm');
      expect(sentences.join(' ')).not.toMatch(/other than the job/);
      expect(before[0]).toMatch(/^The board must not have moved/);
    }
  });

  test('where a pause keeps the order as it is, what lies loose is told', () => {
    const { text, sentences, before } = finished(jobOf(outer(), 'M0\n', inner()), '1: 3.4 mm');
    expect(drawn(text)[0]).toBe('outer');
    expect(sentences.join(' ')).not.toMatch(/other than the job/);
    expect(before[0]).toMatch(
      /^What lies inside an outline of operation 1 is burned after it, on a part that is loose/,
    );
  });

  test('what lies inside a cut that is through lies loose already', () => {
    const { before } = finished(jobOf(outer(300), inner(600)), '1: through; 2: 3 mm');
    expect(before[0]).toMatch(
      /^Operation 2 burns inside an outline of operation 1, which is taken to be through/,
    );
  });
});
