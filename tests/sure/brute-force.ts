import { readFileSync } from 'node:fs';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { catalogue } from '../../src/demo/catalogue.ts';
import { forecast } from '../../src/forecast.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { fill, square } from '../findings/small-jobs.ts';
import { benchGantry } from '../support/demo-machines.ts';
import { seeded } from '../support/random.ts';
import { benchKnownTo, boardKnownTo, boxMuller, DECIDING, multiple, woodLike } from './exact.ts';

/**
 * Chances and ranges against brute force: whole forecasts with drawn machines, woods and boards (`npx tsx
 * tests/sure/brute-force.ts`; the tests draw fewer). Latin hypercubes, so that 200 forecasts tell chances to about 0.02.
 */
const COUNT = 200;
const poplar = shippedMaterials['poplar plywood']!;
const random = seeded(2026);

/** Of each thing every two-hundredth once, in an order of chance. */
function column(): number[] {
  // Φ⁻¹ by Box and Muller's numbers would leave gaps: slices are taken from many of them, sorted.
  const many = Array.from({ length: 100 * COUNT }, () => boxMuller(1 - random(), random())).sort(
    (a, b) => a - b,
  );
  const slices = Array.from({ length: COUNT }, (_, k) => many[100 * k + 50]!);
  return slices
    .map((value) => ({ value, at: random() }))
    .sort((a, b) => a.at - b.at)
    .map(({ value }) => value);
}

const columns = Array.from({ length: 3 + DECIDING.length + 1 }, column);

function drawn(machine: Machine, k: number) {
  const [power, width, thick, ...wood] = columns.map((each) => each[k]!) as [
    number,
    number,
    number,
    ...number[],
  ];
  const { laser, spot } = machine;
  const [x, y] = spot.width_mm;
  const w = multiple(0.1, width);
  return {
    machine: readMachine({
      ...machine,
      laser: { ...laser, optical_power_w: laser.optical_power_w * multiple(0.1, power) },
      spot: { ...spot, width_mm: [x * w, y * w] },
    }),
    material: woodLike(poplar, wood),
    thickness: multiple(0.03, thick),
  };
}

const quantile = (values: readonly number[], part: number): number =>
  values.toSorted((a, b) => a - b)[Math.floor(part * values.length)]!;

function compare(
  name: string,
  text: string,
  machine: Machine,
  stock: ReturnType<typeof boardKnownTo>,
  cellMm: number,
): void {
  const said = forecast(text, machine, poplar, { stock, cellMm });
  let through = 0;
  const engraved: { tone: number; depthMm: number }[][] = said.engravings.map(() => []);
  for (let k = 0; k < COUNT; k++) {
    const of = drawn(machine, k);
    const board = { ...stock, thicknessMm: stock.thicknessMm * of.thickness };
    // The grid stays as it is, and the operations what they were taken for.
    const made = forecast(text, of.machine, of.material, { stock: board, cellMm });
    if (made.cuts.length > 0 && made.cuts.every((cut) => cut.through)) through++;
    made.engravings.forEach((each) => {
      const at = said.engravings.findIndex(({ operation }) => operation === each.operation);
      if (at >= 0) engraved[at]!.push(each);
    });
  }
  for (const { operation, chanceThrough } of said.cuts)
    console.log(
      `${name}, operation ${operation}: said ${chanceThrough.toFixed(3)}, came through ${(through / COUNT).toFixed(3)}`,
    );
  said.engravings.forEach((each, at) => {
    const mine = engraved[at]!;
    const words = (value: number) => value.toFixed(3);
    const tones = mine.map(({ tone }) => tone);
    const depths = mine.map(({ depthMm }) => depthMm);
    console.log(
      `${name}, operation ${each.operation}: tone said ${words(each.toneLow)} to ${words(each.toneHigh)}, drawn ` +
        `${words(quantile(tones, 0.05))} to ${words(quantile(tones, 0.95))}; depth said ${words(each.depthLowMm)} to ` +
        `${words(each.depthHighMm)} mm, drawn ${words(quantile(depths, 0.05))} to ${words(quantile(depths, 0.95))} mm`,
    );
  });
}

const marker = catalogue.find(({ name }) => name === 'marker')!;
const text = readFileSync(new URL('../../src/demo/jobs/marker.nc', import.meta.url), 'latin1');
for (const s of [560, 640, 700, 760, 850])
  compare(
    `square, S${s}`,
    square({ s, feed: 600, side: 8, passes: 6 }),
    benchKnownTo(10, 10),
    boardKnownTo(null),
    0.2,
  );
/** Warm wood: short rows to and fro, a spot or half of one apart, and a hole burned again before it has cooled. */
for (const [s, apartMm] of [
  [300, 0.1],
  [500, 0.1],
  [700, 0.15],
] as const)
  compare(
    `fill of 4 mm, S${s}, rows ${apartMm} mm apart`,
    fill({ widthMm: 4, heightMm: 6, s, apartMm }),
    benchKnownTo(10, 10),
    boardKnownTo(null),
    0.1,
  );
compare(
  'hole of 3 mm',
  square({ s: 480, feed: 400, side: 3, passes: 7 }),
  benchKnownTo(10, 10),
  boardKnownTo(null),
  0.1,
);
compare('marker', text, benchGantry, { ...marker.stock, thicknessPlusMinusMm: null }, 0.3);
