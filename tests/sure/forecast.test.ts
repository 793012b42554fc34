import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { demoJobs } from '../../src/demo/index.ts';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { reportOf } from '../../src/report.ts';
import { square } from '../findings/small-jobs.ts';
import { cutsThere } from '../outcome/workshop.ts';
import { benchGantry } from '../support/demo-machines.ts';
import { seeded } from '../support/random.ts';
import { benchKnownTo, boardKnownTo, DECIDING, exactWood, multiple, woodLike } from './exact.ts';

const poplar = shippedMaterials['poplar plywood']!;
const coarse = { cellMm: 0.2 };

const cutOf = ({ cuts }: Pick<Forecast, 'cuts'>) => {
  expect(cuts).toHaveLength(1);
  return cuts[0]!;
};

describe('against whole forecasts', () => {
  // Latin hypercube: of each thing every fortieth once, in an order of chance, so that 40 forecasts tell about 0.05.
  const COUNT = 40;
  const random = seeded(7);
  const column = (): number[] => {
    const order = Array.from({ length: COUNT }, (_, k) => ({ k, at: random() })).sort((a, b) => a.at - b.at);
    return order.map(({ k }) => normalAt((k + 0.5) / COUNT));
  };
  /** Middle of a slice by bisection of Φ, here by the sum of its density. */
  const middles = (() => {
    const at: number[] = [];
    let sum = 0;
    for (let z = -6; z < 6; z += 1e-3) {
      sum += (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * 1e-3;
      while (at.length < COUNT && (at.length + 0.5) / COUNT <= sum) at.push(z);
    }
    return at;
  })();
  const normalAt = (part: number) => middles[Math.round(part * COUNT - 0.5)]!;

  test.each([
    ['light', 560],
    ['middling', 640],
    ['strong', 760],
  ])('machines, woods and boards drawn about a %s cut come through as often as is said', (_, s) => {
    const machine = benchKnownTo(10, 10);
    const job = square({ s, feed: 300, side: 8, passes: 3 });
    const said = cutOf(forecast(job, machine, poplar, { stock: boardKnownTo(null), ...coarse }));
    const columns = Array.from({ length: DECIDING.length + 4 }, column);
    let through = 0;
    for (let k = 0; k < COUNT; k++) {
      const [power, width, thick, ...wood] = columns.map((each) => each[k]!);
      const { laser, spot } = machine;
      const [x, y] = spot.width_mm;
      const w = multiple(0.1, width!);
      const drawn = readMachine({
        ...machine,
        laser: { ...laser, optical_power_w: laser.optical_power_w * multiple(0.1, power!) },
        spot: { ...spot, width_mm: [x * w, y * w] },
      });
      const stock = { ...boardKnownTo(null), thicknessMm: 4 * multiple(0.03, thick!) };
      const [cut] = cutsThere(
        job,
        { machine: drawn, material: woodLike(poplar, wood), stock },
        coarse.cellMm,
      );
      if (cut?.through) through++;
    }
    expect(said.chanceThrough).toBeGreaterThan(0.05);
    expect(said.chanceThrough).toBeLessThan(0.97);
    expect(Math.abs(through / COUNT - said.chanceThrough)).toBeLessThan(0.1);
  });
});

test('an exact machine, wood and board come through for sure or not at all, as the verdict says', () => {
  const machine = benchKnownTo(0, 0);
  for (const cool of [true, false]) {
    for (const passes of [1, 2, 3, 4, 5, 6]) {
      const job = square({ s: 800, feed: 600, side: 8, passes });
      const options = { stock: boardKnownTo(0), cool, ...coarse };
      const { through, chanceThrough, passesForSure } = cutOf(forecast(job, machine, exactWood(), options));
      expect(chanceThrough).toBe(through ? 1 : 0);
      expect(passesForSure! <= passes).toBe(through);
    }
  }
});

describe('the demo’s marker', async () => {
  const { stock, readText } = demoJobs.find(({ name }) => name === 'marker')!;
  // Its cut alone: what is engraved before comes nowhere near it.
  const text = adjustText(await readText(), parseChanges('1: skip; 2: skip'), benchGantry);
  const settings = { stock, cellMm: 0.3 };
  const base = forecast(text, benchGantry, poplar, settings);
  const n = cutOf(base).operation;
  const changedTo = (change: string, from = base) =>
    cutOf(forecastChanged(from, parseChanges(`${n}: ${change}`), { cellMm: 0.3 }));
  const seven = changedTo('passes 7');
  const withLaser = (laser: Partial<Machine['laser']>) =>
    readMachine({ ...benchGantry, laser: { ...benchGantry.laser, ...laser } });

  // An independent calculation gave these chances for machine ± 10 % power, ± 10 % spot and ± 3 % thickness, where
  // 7 passes have 6 % of dose to spare. It took doses from cells; on its path a line gets more, and 7 passes have a
  // fifth to spare. So the power is brought down until the margins are the same.
  test('comes through as often as an independent calculation says, at the same margins', () => {
    const watts = (benchGantry.laser.optical_power_w * 1.06) / (1 + seven.margin);
    const weaker = forecast(text, withLaser({ optical_power_w: watts }), poplar, settings);
    for (const [passes, chance] of [
      [6, 0.3],
      [7, 0.57],
      [8, 0.78],
      [9, 0.91],
      [10, 0.96],
    ] as const) {
      const cut = changedTo(`passes ${passes}`, weaker);
      if (passes === 7) expect(cut.margin).toBeCloseTo(0.06, 1);
      expect(Math.abs(cut.chanceThrough - chance)).toBeLessThan(0.08);
    }
  });

  test('its passes for sure are what they say, and are told with every number of passes', () => {
    const sure = cutOf(base).passesForSure!;
    expect(changedTo(`passes ${sure}`).chanceThrough).toBeGreaterThanOrEqual(0.95);
    const less = changedTo(`passes ${sure - 1}`);
    expect(less.chanceThrough).toBeLessThan(0.95);
    expect(less.passesForSure).toBe(sure);
  });

  test('more power is never less sure', () => {
    const chances = [70, 80, 90, 100].map(
      (percent) => changedTo(`passes 8, power ${percent}%`).chanceThrough,
    );
    expect(chances).toEqual([...chances].sort((a, b) => a - b));
    expect(chances[0]).toBeLessThan(chances[3]! - 0.3);
  });

  test('is told in the report and in words', () => {
    expect(cutSentence(seven)).toMatch(
      /^Operation 1 .*\. It comes through on about \d of 10 such boards; \d+ passes make it 19 of 20\.$/,
    );
    const [told] = reportOf(base).cuts;
    expect(told).toMatchObject({ passes_for_sure: cutOf(base).passesForSure });
    expect(told!.chance_through).toBeCloseTo(cutOf(base).chanceThrough, 3);
  });

  test('what counts as sure can be set, and what-ifs keep it', () => {
    const lenient = forecast(text, benchGantry, poplar, { ...settings, sure: 0.5 });
    expect(cutOf(lenient).passesForSure).toBeLessThan(cutOf(base).passesForSure!);
    const changed = changedTo('passes 3', lenient);
    expect(changed.sure).toBe(0.5);
    expect(cutSentence(changed)).toMatch(/ passes make it 5 of 10\.$/);
  });
});
