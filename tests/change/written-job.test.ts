import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import type { Change } from '../../src/change/change.ts';
import { changesWords, parseChanges } from '../../src/change/grammar.ts';
import { linesOf, readLines } from '../../src/change/line-table.ts';
import { forecastChanged, startWhatIf } from '../../src/change/what-if.ts';
import { changeLines, writeChanged } from '../../src/change/write-changed.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { InputError } from '../../src/errors.ts';
import { type Forecast, forecast, readOptions } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import type { Operation } from '../../src/program/program.ts';
import { doseApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { below, seeded } from '../support/random.ts';
import { randomChanges, randomJob } from './random-jobs.ts';
import { demoText, read } from './support.ts';

/** Forecasting the written file gives what the what-if gave. */

const wood = shippedMaterials['poplar plywood']!;
const withoutWords = (text: string, words: RegExp) => text.replace(words, '').replace(/[ \t]+/g, '');

/** A text in pieces of whole lines, some of them empty. */
function cutAtLines(text: string, seed: number): string[] {
  const random = seeded(seed);
  const ends = Array.from(text.matchAll(/\r\n|\r|\n/g), ({ index, 0: end }) => index + end.length);
  const cuts = [0, ...ends.filter(() => random() < 0.3), text.length];
  const pieces = cuts.slice(1).map((to, k) => text.slice(cuts[k], to));
  if (below(random, 2) === 0) pieces.splice(below(random, pieces.length), 0, '');
  return pieces;
}

const kinds = ({ findings }: Forecast) => Array.from(new Set(findings.map(({ kind }) => kind))).sort();
/** What findings are told about; a written file may group the same moves otherwise. */
const grouping = ({ program }: Forecast) =>
  program.operations.map(({ kind, powerMode, passes, firstMove, lastMove }: Operation) => [
    kind,
    powerMode,
    passes,
    firstMove,
    lastMove,
  ]);

/** An adjusted text, or the sentence that refuses it. */
function adjusted(
  text: string,
  changes: readonly Change[],
  machine: Forecast['machine'],
): string | InputError {
  try {
    return adjustText(text, changes, machine);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

describe('jobs at random', () => {
  test('written as asked or refused in a sentence, and seldom refused', () => {
    const machine = machineWith({ lookahead_moves: 16 });
    let written = 0;
    let refused = 0;
    for (let seed = 1; seed <= 300; seed++) {
      const { text } = randomJob(seed);
      const changes = randomChanges(read(text), seed + 99);
      const changed = adjusted(text, changes, machine);
      if (changed instanceof InputError) {
        expect(changed.sentence, `seed ${seed}`).toMatch(/^found .+; expected .+/);
        expect(changed.sentence, `seed ${seed}`).not.toMatch(/could not be rewritten/);
        refused++;
      } else written++;
    }
    expect(written).toBeGreaterThan(280);
    expect(refused).toBeLessThan(12);
  });

  test('in pieces of whole lines as in one, wherever they are cut', () => {
    const machine = machineWith({ lookahead_moves: 16 });
    let written = 0;
    for (let seed = 1; seed <= 150; seed++) {
      const { text } = randomJob(seed);
      const changes = randomChanges(read(text), seed + 99);
      const whole = adjusted(text, changes, machine);
      if (whole instanceof InputError) continue;
      const pieces = cutAtLines(text, seed);
      const made: string[] = [];
      const table = readLines(pieces, readOptions(machine));
      writeChanged(pieces, table, changeLines(table, changes, machine), machine, (each) => made.push(each));
      expect(made.join(''), `seed ${seed}`).toBe(whole);
      written++;
    }
    expect(written).toBeGreaterThan(130);
  });

  test('a text that is another by now, or is cut within lines, is not taken for the job', () => {
    const text = 'G21 G90\nM4 S500\nG1 X5 F600\nM5\n';
    const table = readLines([text.slice(0, 8), text.slice(8)], readOptions(machineWith({})));
    expect(() => linesOf(table, [text])).toThrow(
      /found a job that changed while it was read; expected one that/,
    );
    expect(() => linesOf(table, [text.slice(0, 8), `${text.slice(8)} `])).toThrow(InputError);
    expect(() => readLines([text.slice(0, 10), text.slice(10)], readOptions(machineWith({})))).toThrow(
      /invalid text: pieces cut within lines/,
    );
  });

  test('only S words change with power, only F words with speed', () => {
    const machine = machineWith({ lookahead_moves: 16 });
    for (let seed = 1; seed <= 120; seed++) {
      const { text, dialect } = randomJob(seed);
      if (dialect.numbers === 'checked') continue;
      const power = adjustText(text, parseChanges('all: power 37 %'), machine);
      expect(withoutWords(power, /S[\d.]+/gi), `seed ${seed}`).toBe(withoutWords(text, /S[\d.]+/gi));
      const speed = adjustText(text, parseChanges('all: speed 777'), machine);
      expect(withoutWords(speed, /F[\d.]+/gi), `seed ${seed}`).toBe(withoutWords(text, /F[\d.]+/gi));
    }
  });

  test('asking for what is there changes no byte, and asking twice is asking once', () => {
    const machine = machineWith({ lookahead_moves: 16 });
    let asked = 0;
    for (let seed = 1; seed <= 120; seed++) {
      const { text, dialect } = randomJob(seed);
      if (dialect.inches) continue;
      const same = read(text).operations.map(
        ({ n, feedMmPerS, powerMode, passes, sMax }): Change => ({
          operation: n,
          speedMmPerS: feedMmPerS,
          powerMode,
          passes,
          powerFraction: sMax / machine.laser.s_max,
        }),
      );
      expect(adjustText(text, same, machine), `seed ${seed}`).toBe(text);

      const changes = randomChanges(read(text), seed);
      const once = adjusted(text, changes, machine);
      if (once instanceof InputError || read(once).operations.length !== read(text).operations.length)
        continue;
      // Passes that are rows too change which row is which.
      if (changes.some(({ passes, rowOrder }) => passes !== undefined && rowOrder !== undefined)) continue;
      asked++;
      const withoutPasses = changes.map(({ passes: _, ...rest }) => rest);
      expect(adjustText(once, withoutPasses, machine), `seed ${seed}`).toBe(once);
    }
    expect(asked).toBeGreaterThan(40);
  });

  test.each([
    ['a plain machine', {}],
    ['power levels and a threshold', { power_levels: 255, threshold_fraction: 0.03 }],
    ['a beam that stays on in rapids', { fires_on_rapids: true }],
    ['a beam that comes late', { rise_time_ms: 0.2, beam_delay_ms: 0.1 }],
  ])('forecast alike: %s', (_, laser) => {
    const machine = machineWith({
      lookahead_moves: 16,
      laser: { optical_power_w: 8, ...laser },
      spot: { width_mm: [0.3, 0.4] },
    });
    const options = { cellMm: 0.197 };
    let compared = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const { text, dialect } = randomJob(seed);
      const changes = randomChanges(read(text), 7 * seed);
      const changed = adjusted(text, changes, machine);
      if (changes.length === 0 || changed instanceof InputError) continue;
      const what = `seed ${seed}: ${changesWords(changes)}`;
      const whatIf = forecastChanged(forecast(text, machine, wood, options), changes, options);
      const ofFile = forecast(changed, machine, wood, options);
      // Shades are rounded to a hundred-thousandth of full scale; inches have no end of digits, and a rounded
      // one may tip a power level.
      expect(doseApart(whatIf, ofFile), what).toBeLessThan(dialect.inches ? 3e-3 : 2e-5);
      expect(Math.abs(whatIf.dose.energyJ / ofFile.dose.energyJ - 1), what).toBeLessThan(
        dialect.inches ? 1e-4 : 1e-5,
      );
      expect(Math.abs(whatIf.motion.durationS / ofFile.motion.durationS - 1), what).toBeLessThan(1e-7);
      expect(whatIf.burnMm, what).toBeCloseTo(ofFile.burnMm, 4);
      if (JSON.stringify(grouping(whatIf)) === JSON.stringify(grouping(ofFile)) && !dialect.inches) {
        expect(kinds(whatIf), what).toEqual(kinds(ofFile));
      }
      compared++;
    }
    expect(compared).toBeGreaterThan(25);
  });
});

describe('the demo', () => {
  const cases = [
    ['marker', 'bench-gantry', '1: proportional, overscan 4.2 mm; 3: passes 5, speed 240'],
    ['marker', 'bench-gantry', '1: power 45 %; 2: power 30 %'],
    ['marker-careful', 'bench-gantry', '1: one direction, overscan 3 mm, power 70 %; 3: passes 3'],
    ['sign', 'workshop-gantry', '1: power 50 %, speed 4800; 2: constant; 3: passes 2'],
  ] as const;
  test.each(cases)('%s on the %s, %s', (job, gantry, words) => {
    const text = demoText(job);
    const own = readMachine(demoMachines[gantry]);
    // The lag is left out for the sake of time; the link for what it cannot know, see below.
    const machine = { ...own, link: null, laser: { ...own.laser, rise_time_ms: 0 } };
    const options = { cellMm: 0.21, stock: { widthMm: 130, heightMm: 32, thicknessMm: 4, xMm: 0, yMm: 0 } };
    const changes = parseChanges(words);
    const whatIf = startWhatIf(forecast(text, machine, wood, options), { cellMm: options.cellMm }).forecast(
      changes,
    );
    const ofFile = forecast(adjustText(text, changes, machine), machine, wood, options);
    expect(doseApart(whatIf, ofFile)).toBeLessThan(2e-5);
    expect(whatIf.motion.durationS).toBeCloseTo(ofFile.motion.durationS, 6);
    expect(whatIf.program.operations.map(({ passes }) => passes)).toEqual(
      ofFile.program.operations.map(({ passes }) => passes),
    );
    expect(kinds(whatIf)).toEqual(kinds(ofFile));
  });
});
