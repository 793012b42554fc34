import { describe, expect, test } from 'vitest';
import { labOf } from '../../src/burn/colour.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { compareForecasts } from '../../src/compare/compare.ts';
import { cutChanges } from '../../src/compare/cut-change.ts';
import { cannotBeTold } from '../../src/compare/told-apart.ts';
import { toneChanges } from '../../src/compare/tone-change.ts';
import { FINDING_KINDS } from '../../src/findings/finding.ts';
import { findingName } from '../../src/findings/finding-names.ts';
import { forecast } from '../../src/forecast.ts';
import { numberWords } from '../../src/words.ts';
import { machineWith } from '../support/machines.ts';

const material = shippedMaterials['poplar plywood']!;
const stock = { widthMm: 40, heightMm: 30, thicknessMm: 3, xMm: 0, yMm: 0 };
const square = (beam: 'M3' | 'M4', feed: number, s = 250, passes = 1) =>
  `G21 G90\n${beam} S0\nG0 X5 Y5\n${`G1 X25 S${s} F${feed}\nG1 Y15\nG1 X5\nG1 Y5\n`.repeat(passes)}M5\n`;
const make = (text: string) => forecast(text, machineWith(), material, { stock, cellMm: 0.05 });

describe('two forecasts compared', () => {
  const constant = make(square('M3', 1800));
  const proportional = make(square('M4', 1800));

  test('a job and itself: nothing differs', () => {
    const { rows, gone, come } = compareForecasts(constant, constant);
    expect(rows.filter((row) => row.differs)).toEqual([]);
    expect([gone, come]).toEqual([[], []]);
  });

  test('constant and proportional power: same time, less energy, the dark corners gone', () => {
    const { a, b, gone, rows } = compareForecasts(constant, proportional);
    expect(a.durationS).toBeCloseTo(b.durationS, 9);
    // Proportional power gives even line energy: P / feed over the length.
    expect(b.energyJ).toBeCloseTo(((0.25 * 8) / 30) * 60, 3);
    expect(a.energyJ).toBeGreaterThan(b.energyJ);
    expect(a.darkestCorner!.timesStraight).toBeGreaterThan(1.5);
    expect(b.darkestCorner).toBeNull();
    expect(gone).toContain('dark corners in operation 1');
    expect(rows.find((row) => row.name === 'time')!.differs).toBe(false);
  });

  test('what comes through on nearly every such board is that deep on them too', () => {
    // Of all cells that are through, the first one is seldom the deepest.
    for (const passes of [3, 5]) {
      const made = make(square('M4', 480, 1000, passes));
      const { a, rows } = compareForecasts(made, made);
      expect(a.cutChance).toBeGreaterThan(0.985);
      expect(a.deepestLowMm).toBe(stock.thicknessMm);
      expect(rows.find(({ name }) => name === 'deepest place')!.a).toBe('3 mm');
    }
  });

  test('typical dose is the middle one of the marked cells, peak the greatest', () => {
    const { a } = compareForecasts(proportional, proportional);
    const marked = Array.from(proportional.dose.grid.data)
      .filter((v) => v >= 0.1)
      .sort((p, q) => p - q);
    // Within half a bin, 1 in 256.
    expect(Math.abs(a.typicalJPerMm2 / marked[marked.length >> 1]! - 1)).toBeLessThan(0.004);
    expect(a.peakJPerMm2).toBe(marked.at(-1));
  });

  test('the cut’s margin is negative when it falls short, rises with passes, and agrees with what is through', () => {
    const margins = [1, 3, 4, 8].map((passes) => {
      const made = make(square('M4', 480, 1000, passes));
      const { a } = compareForecasts(made, made);
      return { margin: a.cutMargin, notThrough: made.findings.some(({ kind }) => kind === 'not-through') };
    });
    for (let k = 1; k < margins.length; k++)
      expect(margins[k]!.margin!).toBeGreaterThan(margins[k - 1]!.margin!);
    expect(margins[0]!.margin!).toBeLessThan(0);
    expect(margins[3]!.margin!).toBeGreaterThan(0);
    for (const { margin, notThrough } of margins)
      if (Math.abs(margin!) > 0.02) expect(notThrough).toBe(margin! < 0);
  });

  test('tones that differ by less than what is not known are said so, and which is darker on one board', () => {
    const unsureOf = (s: number) => compareForecasts(proportional, make(square('M4', 1800, s))).unsure;
    expect(unsureOf(250)).toEqual([]);
    expect(unsureOf(280)).toEqual([
      expect.stringMatching(
        /^Operation 1, .*: the difference is smaller than what is not known\. From one board to the next on this wood you could not tell them apart; side by side on one board B is the darker\.$/,
      ),
    ]);
    expect(unsureOf(230)[0]).toMatch(/A is the darker\.$/);
    // A wood burned faint and one burned black are told apart on any board.
    expect(unsureOf(60)).toEqual([]);
  });

  // Beyond full char L* rises again (`src/burn/MODEL.md`), so there more energy leaves it lighter.
  test('char that is burned on is called the lighter one in every sentence', () => {
    const shade = (tone: number) => ({
      ...proportional.engravings[0]!,
      tone,
      toneLow: 0.6,
      toneHigh: 1.1,
      lab: labOf(tone, material),
    });
    const [black, paled] = [shade(0.9), shade(1)];
    expect(paled.lab[0]).toBeGreaterThan(black.lab[0] + 1);
    const sentences = (a: typeof black, b: typeof black) => [
      toneChanges([a], [b])[0],
      cannotBeTold({ engravings: [a] }, { engravings: [b] })[0],
    ];
    expect(sentences(black, paled)).toEqual([
      expect.stringMatching(/ L\* lighter in B, since char that is burned on grows paler: /),
      expect.stringMatching(/ A is the darker\.$/),
    ]);
    expect(sentences(paled, black)).toEqual([
      expect.stringMatching(/ L\* darker in B, since char that is burned on grows paler: /),
      expect.stringMatching(/ B is the darker\.$/),
    ]);
    expect(toneChanges([shade(0.5)], [shade(0.3)])[0]).toMatch(/ L\* lighter in B: /);
  });

  test('how a tone changes is told in words, and whether one will see it', () => {
    const tonesOf = (s: number) => compareForecasts(proportional, make(square('M4', 1800, s))).tones;
    const lab = (made: typeof proportional) => labOf(made.engravings[0]!.tone, material);
    expect(tonesOf(250)).toEqual([]);
    const faint = make(square('M4', 1800, 60));
    const lighter = lab(faint)[0] - lab(proportional)[0];
    expect(lighter).toBeGreaterThan(6);
    expect(compareForecasts(proportional, faint).tones).toEqual([
      `Operation 1 comes out about ${numberWords(lighter, 1)} L* lighter in B: you will see it.`,
    ]);
    expect(compareForecasts(faint, proportional).tones[0]).toMatch(/ L\* darker in B: you will see it\.$/);
    // Where what is not known is more, it shows on one board only.
    expect(tonesOf(230)[0]).toMatch(/ L\* lighter in B: you will see it side by side on one board\.$/);
    const b = make(square('M4', 1800, 249)).engravings[0]!;
    const shade = (tone: number) => ({ ...b, tone, lab: labOf(tone, material) });
    expect(toneChanges([shade(0.3)], [shade(0.311)])).toEqual([
      'Operation 1 comes out in B as in A by its usual tone: what that differs by nobody sees.',
    ]);
    const many = (tone: number) =>
      [1, 2, 3, 4, 5].map((operation) => ({ ...shade(tone + operation / 50), operation }));
    expect(toneChanges(many(0.2), many(0.3))).toEqual([
      expect.stringMatching(/^5 operations change in tone, operation \d most: it comes out about /),
    ]);
  });

  test('what nobody sees is told so and nothing else', () => {
    const b = make(square('M4', 1800, 249)).engravings[0]!;
    const shade = (tone: number) => ({ ...b, toneLow: 0.2, toneHigh: 0.5, tone, lab: labOf(tone, material) });
    const [as, bs] = [[shade(0.3)], [shade(0.311)]];
    expect(toneChanges(as, bs)[0]).toMatch(/nobody sees\.$/);
    expect(cannotBeTold({ engravings: as }, { engravings: bs })).toEqual([]);
    expect(cannotBeTold({ engravings: as }, { engravings: [shade(0.4)] })).toHaveLength(1);
  });

  test('what cuts through in one and not in the other is said, also where one does not take it for a cut', () => {
    const weak = make(square('M4', 900, 1000, 1));
    const strong = make(square('M4', 900, 1000, 16));
    const faint = make(square('M4', 1800, 60));
    expect([weak, strong].map(({ cuts }) => cuts.map(({ through }) => through))).toEqual([[false], [true]]);
    expect(faint.cuts).toEqual([]);
    const inB = 'Operation 1 cuts through in B and not in A.';
    expect(compareForecasts(weak, strong).cuts).toEqual([inB]);
    expect(compareForecasts(faint, strong).cuts).toEqual([inB]);
    expect(compareForecasts(strong, weak).cuts).toEqual(['Operation 1 cuts through in A and not in B.']);
    expect(compareForecasts(strong, strong).cuts).toEqual([]);
    const side = (through: boolean) => ({
      engravings: [],
      cuts: [1, 2, 3].map((operation) => ({ operation, through })),
    });
    expect(cutChanges(side(false), side(true))).toEqual([
      'Operations 1, 2 and 3 cut through in B and not in A.',
    ]);
  });

  test('how many boards the least sure cut comes through on stands in the table', () => {
    const weak = make(square('M4', 900, 1000, 1));
    const { a, rows } = compareForecasts(weak, make(square('M4', 900, 1000, 16)));
    expect(a.cutChance).toBe(weak.cuts[0]!.chanceThrough);
    expect(rows.find(({ name }) => name === 'comes through on')).toMatchObject({
      a: 'hardly any such board',
      differs: true,
    });
  });

  test('without a thickness nothing is said of cutting', () => {
    const unknown = forecast(square('M4', 240), machineWith(), material, { cellMm: 0.1 });
    const { a, rows } = compareForecasts(unknown, unknown);
    expect(a.cutMargin).toBeNull();
    const told = (of: typeof rows) =>
      of.filter(({ name }) => /cut-through|comes through/.test(name)).map((row) => row.a);
    expect(told(rows)).toEqual(['thickness not known', 'thickness not known']);
    // With one and no cut in it, that is what is said.
    expect(told(compareForecasts(proportional, proportional).rows)).toEqual(['no cut in it', 'no cut in it']);
  });
});

test('every kind of finding has a name in plain words', () => {
  for (const kind of FINDING_KINDS) expect(findingName({ kind, operation: null }), kind).toMatch(/^[a-z ]+$/);
});
