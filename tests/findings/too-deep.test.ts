import { describe, expect, test } from 'vitest';
import { linePeakDoseJPerMm2, rasterDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { gaussianRipple } from '../../src/burn/ripple.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { doseOnPath, mostDose } from '../../src/findings/evidence/on-path.ts';
import { type ForecastOptions, forecast, toldOf } from '../../src/forecast.ts';
import { machineWith } from '../support/machines.ts';
import { below, seeded } from '../support/random.ts';
import { board, poplar } from './pairs.ts';
import { END, HEAD } from './small-jobs.ts';

/** What is told of an engraving's depth is what falls on its rows, however the grid's cells lie about them. */

const WIDTH_MM = 0.09;
const APART_MM = 0.1;
const machine = machineWith({
  max_speed_mm_s: [100, 100, 10],
  acceleration_mm_s2: [700, 700, 50],
  laser: { optical_power_w: 10 },
  spot: { width_mm: [WIDTH_MM, WIDTH_MM] },
});
/** A few cells are enough; they are a third of the spot and more. */
const CELLS_MM = [0.03, 0.045, 0.09];

interface Rows {
  readonly s: number;
  readonly shift?: readonly [xMm: number, yMm: number];
  readonly mode?: string;
  readonly overMm?: number;
  readonly apartMm?: number;
}

/** Twenty-four rows of 5 mm to and fro. */
function rows({ s, shift: [dx, dy] = [0, 0], mode = 'M3', overMm = 0, apartMm = APART_MM }: Rows): string {
  const lines = Array.from({ length: 24 }, (_, k) => {
    const [from, to, over] = k % 2 === 0 ? [10, 15, overMm] : [15, 10, -overMm];
    const x = (mm: number) => (mm + dx).toFixed(4);
    return (
      `G0 X${x(from - over)} Y${(10 + dy + k * apartMm).toFixed(4)} S0\n` +
      `G1 X${x(from)} S0 F3000\nG1 X${x(to)} S${s}\nG1 X${x(to + over)} S0\n`
    );
  });
  return `${HEAD}${mode} S0\n${lines.join('')}`;
}

/** As large as the job. */
const stock = board(3, 20, 16);
const told = (job: string, options: ForecastOptions = {}) =>
  forecast(job + END, machine, poplar, { stock, ...options }).findings.find(
    ({ kind }) => kind === 'too-deep',
  );
const numberOf = (job: string, key: string, options: ForecastOptions = {}): number =>
  told(job, { deepestEngraving: 0.02, ...options })!.measure[key] as number;
const depthOf = (job: string, options: ForecastOptions = {}): number => numberOf(job, 'depth_mm', options);

/** Parts of a cell along, across and both. */
const SHIFTS = [
  [0.01, 0],
  [0, 0.004],
  [0, 0.01],
  [0, 0.0155],
  [0.013, 0.007],
  [0.021, 0.027],
] as const;

describe.each([
  ['rows at full speed', { s: 300, mode: 'M4', overMm: 3 }],
  ['rows too short for their feed', { s: 500 }],
  ['rows further apart than the spot', { s: 300, mode: 'M4', overMm: 3, apartMm: 0.16 }],
] satisfies [string, Rows][])('the depth of %s', (_, job) => {
  const there = depthOf(rows(job));

  test('is the same wherever the job lies on the board', () => {
    // Only how warm the wood is, is read from a coarser grid; of 40 shifts none was off by more than 0.0012.
    for (const shift of SHIFTS) {
      expect(Math.abs(depthOf(rows({ ...job, shift })) / there - 1)).toBeLessThan(0.002);
    }
  });

  test('stays on its side of the limit', () => {
    // Half a per cent of the limit on either side.
    const deepestEngraving = there / 3;
    for (const shift of SHIFTS) {
      const at = { ...job, shift };
      expect(told(rows(at), { deepestEngraving: deepestEngraving / 1.005 })).toBeDefined();
      expect(told(rows(at), { deepestEngraving: deepestEngraving * 1.005 })).toBeUndefined();
    }
  });
});

test('more power by a hundredth takes a job over the limit, less keeps it below, wherever it lies', () => {
  const job = { mode: 'M4', overMm: 3 };
  const deepestEngraving = depthOf(rows({ ...job, s: 300 })) / 3;
  for (const shift of SHIFTS) {
    const found = [297, 303].map((s) => told(rows({ ...job, s, shift }), { deepestEngraving }) !== undefined);
    expect(found).toEqual([false, true]);
  }
});

// Without the heat that stays, dose and depth are closed forms.
describe('the depth told is that of the middle of rows', () => {
  const [powerW, mmPerS] = [3, 50];
  const job = { s: 300, mode: 'M4', overMm: 3 };
  const wood = woodAnswer(poplar, beamOf(machine));

  test.each(CELLS_MM)('by Poisson’s summation formula, on cells of %d mm', (cellMm) => {
    const options = { cellMm, cool: true };
    const crest = gaussianRipple(WIDTH_MM, APART_MM).most;
    const doseJPerMm2 = crest * rasterDoseJPerMm2(powerW, mmPerS, APART_MM);
    expect(numberOf(rows(job), 'dose_j_mm2', options) / doseJPerMm2).toBeCloseTo(1, 3);
    const depthMm = wood.depthMm(doseJPerMm2, WIDTH_MM / mmPerS, 0);
    expect(depthOf(rows(job), options) / depthMm).toBeCloseTo(1, 3);
  });

  test('with all that crosses them there', () => {
    const across = `G0 X12.5 Y8\nG1 Y16 S300 F3000\n`;
    const peak = linePeakDoseJPerMm2(powerW, mmPerS, WIDTH_MM);
    const apart = { ...job, apartMm: 0.2 };
    // Rows two spots apart give each other nothing: what falls in their middle, and where the line crosses it.
    const alone = numberOf(rows(apart), 'dose_j_mm2', { cool: true });
    const crossed = numberOf(rows(apart) + across, 'dose_j_mm2', { cool: true });
    expect([alone / peak, crossed / peak].map((times) => times.toFixed(2))).toEqual(['1.00', '2.00']);
  });
});

test('in rows too short for their feed it is told where half of their way is slower, as the operation’s own depth is', () => {
  const job = rows({ s: 500 });
  const { engravings } = forecast(job + END, machine, poplar, { stock });
  expect(depthOf(job) / engravings[0]!.depthMm).toBeCloseTo(1, 1);
});

test('no place on a path gets more than the cells about it leave open', () => {
  const random = seeded(7);
  const oblong = {
    ...machine,
    spot: { ...machine.spot, width_mm: [0.14, WIDTH_MM] satisfies [number, number] },
  };
  for (const cellMm of CELLS_MM) {
    for (let run = 0; run < 12; run++) {
      // Dots, short strokes and longer ones, near each other and far apart.
      const strokes = Array.from({ length: 6 }, () => {
        const [x, y] = [10 + below(random, 300) / 100, 10 + below(random, 300) / 100];
        const [dx, dy] = run % 3 === 0 ? [0.001, 0] : [below(random, 200) / 100, below(random, 100) / 100];
        return `G0 X${x} Y${y}\nG1 X${x + dx} Y${y + dy} S${100 + below(random, 900)} F1200\n`;
      });
      const made = forecast(`${HEAD}M4 S0\n${strokes.join('')}${END}`, oblong, poplar, { cellMm });
      const evidence = gatherEvidence(toldOf(made));
      const { xMm, yMm } = made.program.moves;
      const ends = Array.from(xMm.subarray(0, made.program.moves.count), (x, k) => [x, yMm[k]!] as const);
      doseOnPath(evidence, ends).forEach(({ doseJPerMm2 }, k) => {
        expect(doseJPerMm2).toBeLessThanOrEqual(mostDose(evidence, ...ends[k]!));
      });
    }
  }
});
