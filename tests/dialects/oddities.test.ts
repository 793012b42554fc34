import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { mmPerMinToMmPerS } from '../../src/units.ts';
import { machineWith } from '../support/machines.ts';
import { seeded } from '../support/random.ts';
import { expectSame } from '../support/same.ts';
import { anyJob, type Job } from './job.ts';
import { ODDITIES, type Oddity } from './oddities.ts';
import { anyDialect, type Dialect, sMaxOf, write } from './writer.ts';

/** `FUZZ_RUNS` makes a long run of each property. */
const RUNS = Math.max(60, Number(process.env.FUZZ_RUNS ?? 0) / 20);

const machine = machineWith({ arc_tolerance_mm: 0.01, laser: { s_max: 1000 } });

/** All that a forecast is made of, as plain data. */
function substance({ moves, stops, operations, pauseLines, endsWithBeamOn }: Program): unknown {
  const column = (values: ArrayLike<number>, count: number): number[] => Array.from(values).slice(0, count);
  const columns = (from: object, count: number): unknown =>
    Object.fromEntries(
      Object.entries(from)
        .filter(([, values]) => ArrayBuffer.isView(values))
        .map(([name, values]) => [name, column(values as unknown as ArrayLike<number>, count)]),
    );
  return [columns(moves, moves.count), columns(stops, stops.count), operations, pauseLines, endsWithBeamOn];
}

function expectSameProgram({ told, spoil }: Oddity, job: Job, dialect: Dialect, seed: number): boolean {
  const options = readOptions(
    machineWith({
      arc_tolerance_mm: 0.02,
      dwell_unit: dialect.dwell === 'P ms' ? 'ms' : 's',
      laser: { s_max: sMaxOf(dialect, job) },
    }),
  );
  const { odd, proper, happened, feedMmPerS = null } = spoil(write(job, dialect), seeded(seed));
  const want = readProgram(proper, options);
  const have = readProgram(odd, { ...options, feedMmPerS });
  expectSame(substance(have), substance(want));
  expect(want.oddities).toEqual([]);
  if (told === null) expect(have.oddities).toEqual([]);
  else if (happened) expect(have.oddities.some(({ found }) => told.test(found)) || noMove(have)).toBe(true);
  return happened;
}

/** A job of nothing but travel has no feed moves. */
const noMove = ({ moves }: Program): boolean =>
  moves.rapid.slice(0, moves.count).every((rapid) => rapid === 1);

describe('a file with an oddity is read as the same file written properly', () => {
  const power = fc.constantFrom('constant' as const, 'proportional' as const);
  // A checksum is over the whole line, so that nothing can be changed in it.
  const dialects = anyDialect.map((dialect) => ({
    ...dialect,
    numbering: dialect.numbering === 'N and checksum' ? ('N' as const) : dialect.numbering,
  }));

  test.each(ODDITIES.map((oddity) => [oddity.name, oddity] as const))(
    'property: %s',
    (_, oddity) => {
      let happened = 0;
      fc.assert(
        fc.property(anyJob(power), dialects, fc.nat(), (job, dialect, seed) => {
          if (expectSameProgram(oddity, job, dialect, seed)) happened++;
        }),
        { numRuns: RUNS, ...(RUNS > 60 ? {} : { seed: 3 }) },
      );
      expect(happened).toBeGreaterThan(RUNS / 6);
    },
    30_000 + RUNS * 100,
  );

  test(
    'property: an arc off its circle is the spiral of the same points, and told',
    () => {
      const arcs = fc.record({
        radius: fc.integer({ min: 20, max: 400 }).map((n) => n / 10),
        off: fc.constantFrom(-1, -0.6, -0.2, 0.2, 0.6, 1),
        from: fc.integer({ min: 0, max: 359 }),
        sweep: fc.integer({ min: 20, max: 340 }),
        clockwise: fc.boolean(),
      });
      fc.assert(
        fc.property(arcs, ({ radius, off, from, sweep, clockwise }) => {
          // Just inside the bound of 0.5 mm or 2 %.
          const end = radius + off * Math.min(0.49, 0.0195 * radius);
          const turn = ((clockwise ? -sweep : sweep) * Math.PI) / 180;
          const start = (from * Math.PI) / 180;
          const at = (part: number): [number, number] => {
            const reach = radius + (end - radius) * part;
            return [100 + reach * Math.cos(start + turn * part), 100 + reach * Math.sin(start + turn * part)];
          };
          const [x0, y0] = at(0);
          const [x1, y1] = at(1);
          const words = (...pairs: [string, number][]): string =>
            pairs.map(([letter, mm]) => letter + mm.toFixed(12)).join(' ');
          const motion = clockwise ? 'G2' : 'G3';
          const text = `G0 ${words(['X', x0], ['Y', y0])}\nF600 ${motion} ${words(['X', x1], ['Y', y1], ['I', 100 - x0], ['J', 100 - y0])}`;
          const program = readProgram(text, readOptions(machine));
          expect(program.oddities).toMatchObject([
            { line: 2, found: expect.stringMatching(/^an arc whose ends are not on one circle/) },
          ]);
          const { xMm, yMm, count } = program.moves;
          for (let k = 1; k < count; k++) {
            const [x, y] = at(k / (count - 1));
            expect(Math.hypot(xMm[k]! - x, yMm[k]! - y)).toBeLessThan(1e-6);
          }
        }),
        { numRuns: RUNS, ...(RUNS > 60 ? {} : { seed: 3 }) },
      );
    },
    30_000 + RUNS * 50,
  );
});

/**
 * Little files of our own, one for each way to be odd, each with its proper twin. The first line, a comment, says
 * what is told of the odd one and by which line; `--feed` if a feed is given beside it.
 */
describe('files by hand forecast as their proper twins', () => {
  const folder = new URL('./files/', import.meta.url);
  const read = (name: string): string => readFileSync(new URL(name, folder), 'latin1');
  const names = readdirSync(folder).filter((name) => name.endsWith('.nc') && !name.endsWith('-proper.nc'));
  const stock = { widthMm: 60, heightMm: 40, thicknessMm: 4, xMm: 0, yMm: 0 };

  test('there is a file for every row', () => expect(names.length).toBeGreaterThanOrEqual(12));

  test.each(names)('%s', (name) => {
    const text = read(name);
    const [, feed, lines] = /^; (?:--feed (\d+), )?told: (.*)/.exec(
      Buffer.from(text, 'latin1').toString('utf8'),
    )!;
    const burn = (job: string, feedMmPerS: number | null) =>
      forecast(job, machineWith(), shippedMaterials['poplar plywood']!, { stock, cellMm: 0.2, feedMmPerS });
    const odd = burn(text, feed === undefined ? null : mmPerMinToMmPerS(Number(feed)));
    const proper = burn(read(name.replace('.nc', '-proper.nc')), null);
    const mayStop = odd.findings.filter(({ kind }) => kind === 'controller-may-stop');
    expect(mayStop.map(({ line, measure }) => `${line} ${measure.found}`).join('; ') || 'nothing').toBe(
      lines!.trim(),
    );
    for (const { severity } of mayStop) expect(severity).toBe('warning');
    // A message is named where a comment is not.
    const others = odd.findings.filter(
      ({ kind, measure }) => kind !== 'controller-may-stop' && measure.word !== 'M117',
    );
    expect(others).toEqual(proper.findings);
    expectSame(odd.burn, proper.burn);
    expect(odd.motion.durationS).toBe(proper.motion.durationS);
  });
});
