import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Change } from '../../src/change/change.ts';
import { openJob, textOf } from '../../src/change/open-job.ts';
import { sumsOf } from '../../src/compare/sums.ts';
import { InputError } from '../../src/errors.ts';
import { type Forecast, forecastProgram, readOptions } from '../../src/forecast.ts';
import type { Operation, Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { machineWith } from '../support/machines.ts';
import { below, seeded } from '../support/random.ts';
import { randomChanges, randomJob, randomNest } from './random-jobs.ts';

/** A changed job is forecast alike as the program that was changed and as its text is read again. */

const machine = machineWith({ spot: { width_mm: [0.3, 0.4], rayleigh_mm: 2 } });
const wood = shippedMaterials['poplar plywood']!;
const options = {
  stock: { widthMm: 140, heightMm: 140, thicknessMm: 1.5, xMm: -20, yMm: -20 },
  cellMm: 0.3,
};

/** What is wanted of it at random, and every third operation last. */
const wanted = (program: Program, seed: number): Change[] => {
  const random = seeded(seed);
  return [
    ...randomChanges(program, seed),
    ...program.operations.flatMap(({ n }) =>
      below(random, 3) === 0 ? [{ operation: n, last: true } as const] : [],
    ),
  ];
};

/** Operations without their numbers, in the order burned; what is known of them before the job is read is left out. */
const inOrder = (program: Program) =>
  program.operations
    .toSorted((a, b) => a.firstMove - b.firstMove)
    .map(({ n: _, lines: __, sMaxRead: ___, firstMove, lastMove, feedMmPerS, ...each }: Operation) => ({
      ...each,
      firstMove,
      lastMove,
      feedMmPerS: feedMmPerS.toPrecision(5),
    }));

/** What is told of cuts and engravings, and what is found, in the order burned. */
function told({ program, cuts, engravings, findings }: Forecast) {
  const place = new Map(
    program.operations.toSorted((a, b) => a.firstMove - b.firstMove).map(({ n }, k) => [n, k] as const),
  );
  const plain = <T extends { operation: number }>(all: readonly T[]) =>
    all
      .map((each) => ({ ...each, operation: place.get(each.operation)! }))
      .sort((a, b) => a.operation - b.operation);
  return [
    plain(cuts).map(({ operation, through, shallowestMm, margin, chanceThrough, passesForSure }) => ({
      operation,
      through,
      numbers: [shallowestMm, margin, chanceThrough, passesForSure ?? -1],
    })),
    plain(engravings).map(({ operation, tone, depthMm }) => ({ operation, numbers: [tone, depthMm] })),
    // How a line is written is told of the text alone.
    findings
      .filter(({ kind }) => kind !== 'controller-may-stop')
      .map(({ kind, severity, operation }) =>
        [kind, severity, operation === null ? '' : place.get(operation)!].join(' '),
      )
      .sort(),
  ];
}

/** Alike to a part of 1e-4: feeds are written with so many digits. */
function expectAlike(a: unknown, b: unknown): void {
  const rounded = (all: unknown) =>
    JSON.parse(JSON.stringify(all), (_, value) =>
      typeof value === 'number' ? Number(value.toPrecision(3)) : value,
    );
  expect(rounded(a)).toEqual(rounded(b));
}

/** The same numbers as a comparison tells of both, but for those told of operations, which may be parted otherwise. */
function summed(made: Forecast) {
  const { durationS, beamOnS, energyJ, burnMm, peakJPerMm2, typicalJPerMm2, deepestMm } = sumsOf(made);
  return { durationS, beamOnS, energyJ, burnMm, peakJPerMm2, typicalJPerMm2, deepestMm };
}

/**
 * Forecasts a changed job both ways and expects them alike.
 * @returns how many of its cuts were compared; null where it cannot be changed so.
 */
function comparedCuts(text: string, change: (program: Program) => readonly Change[]): number | null {
  const feed = /--feed (\d+)/.exec(text)?.[1];
  const job = openJob(() => [text], machine, feed === undefined ? null : mmPerMinToMmPerS(Number(feed)));
  let changed: Program;
  let written: string;
  try {
    const plan = job.change(change(job.table.program));
    changed = plan.program;
    written = textOf(job, plan);
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
  const planned = forecastProgram(changed, machine, wood, options);
  const read = forecastProgram(readProgram(written, readOptions(machine)), machine, wood, options);
  expectAlike(summed(planned), summed(read));
  // Neighbours that have come to the same settings are one operation, read again.
  if (JSON.stringify(inOrder(changed)) !== JSON.stringify(inOrder(read.program))) return 0;
  expectAlike(told(planned), told(read));
  return planned.cuts.length;
}

const total = (all: readonly (number | null)[]): number =>
  all.reduce<number>((sum, each) => sum + (each ?? 0), 0);
const seeds = (count: number): number[] => Array.from({ length: count }, (_, k) => k + 1);

test('cuts of several operations, the first of them burned last', () => {
  const square = (at: number, feed: number) =>
    `G0 X${at} Y${at}\nG1 X${at + 10} F${feed}\nY${at + 10}\nX${at}\nY${at}\n`;
  const text = `G21 G90\nM3 S700\n${square(5, 100)}${square(20, 120)}M5\n`;
  expect(comparedCuts(text, () => [{ operation: 1, last: true }])).toBe(2);
  expect(comparedCuts(text, () => [{ operation: 1, last: true, passes: 2 }])).toBe(2);
});

test('jobs at random', () => {
  const cuts = seeds(60).map((seed) =>
    comparedCuts(randomJob(seed).text, (program) => wanted(program, seed)),
  );
  expect(total(cuts)).toBeGreaterThan(20);
}, 120_000);

test('outlines within outlines, burned inside first and twice as often', () => {
  const cuts = seeds(20).map((seed) =>
    comparedCuts(randomNest(seed).text, ({ operations }) =>
      operations.map(({ n, passes }) => ({ operation: n, insideFirst: true, passes: 2 * passes })),
    ),
  );
  expect(total(cuts)).toBeGreaterThan(10);
}, 120_000);

test('jobs that stricter controllers stop at', () => {
  const folder = new URL('../dialects/files/', import.meta.url);
  const names = readdirSync(folder).filter((name) => name.endsWith('.nc'));
  const made = names.flatMap((name) => {
    const text = readFileSync(new URL(name, folder), 'latin1');
    return seeds(3).map((seed) => comparedCuts(text, (program) => wanted(program, seed)));
  });
  expect(made.filter((each) => each !== null).length).toBeGreaterThan(names.length);
}, 120_000);
