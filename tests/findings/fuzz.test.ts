import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import type { Finding } from '../../src/findings/finding.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { meanWidthMm } from '../../src/laser/spot.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { fuzz, RUNS, soundOrRefused, timeoutMs } from '../fuzz/fuzzing.ts';
import { jobText } from '../fuzz/gcode.ts';
import { anyMachine } from '../fuzz/machines.ts';

/** Every finding of any job on any machine can be shown, written down and, where it advises something, applied. */

const SHARE = 0.15;

function expectWhole({ findings, program }: { findings: readonly Finding[]; program: Program }): void {
  for (const finding of findings) {
    const { kind, message, remedy, measure, line, operation, atMm, advice } = finding;
    const told = `${kind}: ${message} ${remedy}`;
    expect(told).not.toMatch(/NaN|undefined|null|Infinity|!|\be[+-]?\d/);
    expect(message).toMatch(/^[^a-z\n][^\n]*\.$/);
    expect(remedy).toMatch(/^[A-Z0-9][^\n]*\.$/);
    expect(told.length).toBeLessThan(900);
    expect(line).toBeGreaterThanOrEqual(0);
    expect(line).toBeLessThanOrEqual(program.lineCount);
    if (operation !== null) expect(program.operations[operation - 1]?.n).toBe(operation);
    for (const value of atMm ?? []) expect(Number.isFinite(value)).toBe(true);
    expect(
      Object.values(measure)
        .flat(2)
        .filter((value) => typeof value === 'number' && !Number.isFinite(value)),
      told,
    ).toEqual([]);
    // What is written down reads back the same: nothing is NaN or infinite.
    expect(JSON.parse(JSON.stringify(finding))).toEqual(finding);
    if (Array.isArray(measure.places)) expect(measure.places.length).toBeLessThanOrEqual(50);
    if (advice) {
      // One operation, or the first of several.
      const changed = parseChanges(advice.change).map((change) => Number(change.operation));
      expect(changed[0]).toBe(advice.operation);
      expect(changed).toEqual([...new Set(changed)].sort((a, b) => a - b));
      expect(changed.at(-1)).toBeLessThanOrEqual(program.operations.length);
    }
  }
}

const someStock = fc.option(
  fc
    .tuple(
      fc.integer({ min: 5, max: 120 }),
      fc.integer({ min: 5, max: 120 }),
      fc.constantFrom(null, 0.5, 3, 18),
    )
    .map(([widthMm, heightMm, thicknessMm]) => ({ widthMm, heightMm, thicknessMm, xMm: 0, yMm: 0 })),
  { nil: null },
);
const someSize = fc.option(
  fc
    .tuple(fc.integer({ min: 1, max: 200 }), fc.integer({ min: 1, max: 200 }))
    .map(([widthMm, heightMm]) => ({ widthMm, heightMm })),
  { nil: null },
);
const wood = fc.constantFrom(...Object.keys(shippedMaterials));

/**
 * Of every hundred jobs a few go as long a way as all others together, in mm or in spots: a short run takes others in their
 * stead.
 */
const [LONG_MM, LONG_SPOTS] = RUNS > 1000 ? [Infinity, Infinity] : [1000, 20_000];

function exceptLong(text: string, machine: Machine): void {
  const program = soundOrRefused(() => readProgram(text, readOptions(machine)));
  const mostMm = Math.min(LONG_MM, LONG_SPOTS * meanWidthMm(machine.spot));
  fc.pre(program === undefined || wayAtFeedMm(program) < mostMm);
}

function wayAtFeedMm({ moves: { count, xMm, yMm, rapid } }: Program): number {
  let mm = 0;
  for (let k = 1; k < count; k++)
    if (!rapid[k]) mm += Math.hypot(xMm[k]! - xMm[k - 1]!, yMm[k]! - yMm[k - 1]!);
  return mm;
}

describe('any job', () => {
  test(
    'on an ordinary machine',
    () => {
      const machine = readMachine({
        laser: { optical_power_w: 5, s_max: 20, fires_on_rapids: true },
        spot: { width_mm: [0.1, 0.15] },
      });
      fuzz(
        fc.tuple(jobText, wood, someStock, someSize),
        ([text, material, stock, expectMm]) => {
          exceptLong(text, machine);
          const made = soundOrRefused(() =>
            forecast(text, machine, shippedMaterials[material]!, { stock, expectMm, cellMm: 0.5 }),
          );
          if (made) expectWhole(made);
        },
        SHARE,
      );
    },
    timeoutMs(40, SHARE),
  );

  test(
    'on any machine',
    () => {
      fuzz(
        fc.tuple(jobText, anyMachine, wood, someStock),
        ([text, file, material, stock]) => {
          const machine = readMachine(file);
          exceptLong(text, machine);
          const made = soundOrRefused(() =>
            forecast(text, machine, shippedMaterials[material]!, {
              stock: stock ?? { widthMm: 50, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 },
              cellMm: 0.5,
            }),
          );
          if (made) expectWhole(made);
        },
        SHARE,
      );
    },
    timeoutMs(60, SHARE),
  );
});
