import { describe, expect, test } from 'vitest';
import { toneRegion } from '../../src/burn/tone.ts';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { type Forecast, forecast, forecastProgram, readOptions } from '../../src/forecast.ts';
import { readProgram } from '../../src/program/read.ts';
import { type Trial, WOOD } from '../../viewer/learn/gantry.ts';
import {
  cornerTrial,
  cutTrial,
  focusTrial,
  rowEndTrial,
  rowSpacingTrial,
  smallFillTrial,
  tradeOffTrial,
} from '../../viewer/learn/trials.ts';
import {
  cornerWhy,
  cutWhy,
  focusWhy,
  rowEndWhy,
  rowSpacingWhy,
  smallFillWhy,
  tradeOffWhy,
} from '../../viewer/learn/why.ts';

const burn = ({ text, machine, stock, cellMm }: Trial): Forecast =>
  forecast(text, machine, WOOD, { stock, cellMm });

const top = (values: ArrayLike<number>): number =>
  Array.prototype.reduce.call(values, (a, b) => Math.max(a as number, b), 0) as number;

/** All combinations of the values each setting may take. */
function combinations<T extends object>(each: { readonly [K in keyof T]: readonly T[K][] }): T[] {
  let all: Partial<T>[] = [{}];
  for (const [key, values] of Object.entries(each) as [keyof T, readonly T[keyof T][]][])
    all = all.flatMap((one) => values.map((value) => ({ ...one, [key]: value })));
  return all as T[];
}

const MODES = ['constant', 'proportional'] as const;
/** Words that say there is something to see on the wood. */
const A_MARK = /darker|paler|\bchar\b|\btan\b|brown|burns a line|lines are|stripes|is even/;
const NO_MARK = /too (little|weak) for a mark/;

/** At both ends of every control, and between them: the settings, what they burn, and what is said of it. */
const SAID: readonly (readonly [string, readonly { settings: object; made: Forecast; why: string }[]])[] = (
  [
    [
      'corners',
      combinations({ speedMmPerMin: [300, 1800, 6000], accelerationMmPerS2: [50, 300, 5000], mode: MODES }),
      cornerTrial,
      cornerWhy,
    ],
    [
      'row ends',
      combinations({ speedMmPerMin: [600, 3000, 6000], overscanMm: [0, 2, 8], mode: MODES }),
      rowEndTrial,
      rowEndWhy,
    ],
    [
      'slower or stronger',
      combinations({ speedMmPerMin: [300, 3000, 6000], percent: [4, 60, 100] }),
      tradeOffTrial,
      (_: never, made: Forecast) => tradeOffWhy(made),
    ],
    [
      'row spacing',
      combinations({ spacingMm: [0.04, 0.1, 0.15, 0.3, 0.6], spotMm: [0.05, 0.18, 0.5] }),
      rowSpacingTrial,
      rowSpacingWhy,
    ],
    ['small fill', combinations({ sizeMm: [1.5, 9], percent: [60, 100, 110] }), smallFillTrial, smallFillWhy],
    ['focus', combinations({ offMm: [0, 1, 3, 6], percent: [10, 15, 20, 60, 100] }), focusTrial, focusWhy],
    [
      'cut through',
      combinations({ passes: [1, 2, 30], thicknessMm: [1, 4, 8], speedMmPerMin: [60, 300, 1500] }),
      cutTrial,
      cutWhy,
    ],
  ] as [string, object[], (settings: never) => Trial, (settings: never, made: Forecast) => string][]
).map(([name, all, trialOf, whyOf]) => [
  name,
  all.map((settings) => {
    const made = burn(trialOf(settings as never));
    return { settings, made, why: whyOf(settings as never, made) };
  }),
]);

describe('the sentence of why is true of what was burned', () => {
  test.each(SAID)('%s: no mark is claimed where the wood stays bare', (_, all) => {
    for (const { settings, made, why } of all) {
      const at = JSON.stringify(settings);
      expect(why, at).not.toMatch(/NaN|Infinity|undefined|null/);
      expect(why.split('*').length % 2, at).toBe(1);
      if (toneRegion(top(made.burn.tone)) === 'no mark') {
        expect(why, at).toMatch(NO_MARK);
        expect(why, at).not.toMatch(A_MARK);
      } else if (NO_MARK.test(why)) {
        // Only where it says where there is one.
        expect(why, at).toMatch(/but where both sides/);
      }
    }
  });

  // How warm the passes to come will make the wood is not known from fewer of them; in wood that stays warm one may be saved.
  test('the passes it takes are enough on 19 of 20 such boards, one less is not in wood that cools at once', () => {
    const cuts = SAID.find(([name]) => name === 'cut through')![1];
    const keepsNoHeat = { ...WOOD, heat_kept: { ...WOOD.heat_kept, value: 0 } };
    // What was burned before the passes that are told does not matter to them: most cuts are told the same of.
    const chances = new Map<string, number>();
    const chance = (cut: Parameters<typeof cutTrial>[0], wood = WOOD): number => {
      const key = JSON.stringify([cut, wood.heat_kept]);
      if (!chances.has(key)) {
        const { text, machine, stock, cellMm } = cutTrial(cut);
        const program = changeProgram(
          readProgram(text, readOptions(machine)),
          parseChanges('1: cut'),
          machine,
        );
        chances.set(key, forecastProgram(program, machine, wood, { stock, cellMm }).cuts[0]!.chanceThrough);
      }
      return chances.get(key)!;
    };
    let told = 0;
    for (const { settings, why } of cuts) {
      const passes = Number(/it takes (\d+) passes/.exec(why)?.[1] ?? Number.NaN);
      if (Number.isNaN(passes)) continue;
      told++;
      const cut = settings as Parameters<typeof cutTrial>[0];
      expect(chance({ ...cut, passes }), why).toBeGreaterThan(0.94);
      expect(chance({ ...cut, passes: passes - 1 }, keepsNoHeat), why).toBeLessThan(0.96);
    }
    expect(told).toBeGreaterThan(5);
  }, 180_000);

  test('a small fill comes out darker, with less power alike, and with far less lighter', () => {
    const why = (sizeMm: number, percent: number) => {
      const settings = { sizeMm, percent };
      return smallFillWhy(settings, burn(smallFillTrial(settings)));
    };
    expect(why(4, 100)).toMatch(/comes out (darker|dark brown instead of brown|brown instead of tan)/);
    expect(why(4, 87)).toMatch(/With 87 % of the power the small one looks like the long rows/);
    expect(why(4, 60)).toMatch(/comes out lighter/);
    // Along 4 mm at 50 mm/s, out 4 mm and in again, and 0.1 s to turn: 4/50 + 8/50 + 50/500 s.
    expect(why(4, 100)).toMatch(/back after \*0\.34 s\*/);
  });

  test('rows: the numbers go with the spacing, and stripes end where rows run together', () => {
    const why = (spacingMm: number, spotMm = 0.18) => {
      const settings = { spacingMm, spotMm };
      return rowSpacingWhy(settings, burn(rowSpacingTrial(settings)));
    };
    expect(why(0.3)).not.toBe(why(0.6));
    expect(why(0.3)).toMatch(/mm\* of bare wood/);
    expect(why(0.6, 0.05)).toMatch(/mm\* of bare wood/);
    expect(why(0.15)).toMatch(/still show as stripes/);
    for (const [spacing, spot] of [
      [0.1, 0.18],
      [0.04, 0.05],
      [0.04, 0.5],
      [0.25, 0.5],
    ])
      expect(why(spacing!, spot), `${spacing} under ${spot}`).toMatch(/Rows run together/);
  });
});
