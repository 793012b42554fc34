import { describe, expect, test } from 'vitest';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { gatherEvidence, looksDifferent } from '../../src/findings/evidence/evidence.ts';
import { runUp } from '../../src/findings/evidence/run-up.ts';
import { forecast, toldOf } from '../../src/forecast.ts';
import { bench, board, poplar } from './pairs.ts';
import { line, rows } from './small-jobs.ts';

/** From which difference on two places look or feel different, and what is said of a cut near its limits. */

const evidenceOf = (job: string, thicknessMm: number | null) =>
  gatherEvidence(
    toldOf(
      forecast(job, bench(), poplar, {
        cellMm: 0.1,
        cool: true,
        ...(thicknessMm === null ? {} : { stock: board(thicknessMm) }),
      }),
    ),
  );
const DWELL_S = 0.005;
const came = (doseJPerMm2: number) => ({ doseJPerMm2, dwellS: DWELL_S });

describe('two places of an operation', () => {
  const evidence = evidenceOf(rows(Array(40).fill(500), 1500, 3), 6);
  const [each] = evidence.operations;
  const differ = (there: number, usual: number) => looksDifferent(evidence, each!, came(there), came(usual));
  /** The dose that looks so far, in ΔE*ab, from a faint brown. */
  const doseAway = (difference: number): number => {
    let [low, high] = [0.4, 2];
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (evidence.eye.difference(middle, DWELL_S, 0.4, DWELL_S) < difference) low = middle;
      else high = middle;
    }
    return low;
  };

  // Allegretti et al. 2009: a large difference begins at 6.
  test('look different from a ΔE*ab of 6 on', () => {
    expect([differ(doseAway(5.8), 0.4), differ(doseAway(6.2), 0.4)]).toEqual([false, true]);
  });

  test('feel different from a fifth of a millimetre of depth on, though both are black', () => {
    const at = (mm: number) => evidence.wood.doseForDepth(mm, DWELL_S, 0);
    expect(evidence.eye.difference(at(2.21), DWELL_S, at(2), DWELL_S)).toBeLessThan(1);
    expect([differ(at(2.19), at(2)), differ(at(2.21), at(2))]).toEqual([false, true]);
  });
});

test('without a board a line deeper than a millimetre is taken for a cut, whose depth is no fault', () => {
  const evidence = evidenceOf(line({ s: 500, feed: 1500 }), null);
  const [each] = evidence.operations;
  const differ = (usualMm: number) => {
    const at = (mm: number) => evidence.wood.doseForDepth(mm, DWELL_S, 0);
    return looksDifferent(evidence, each!, came(at(usualMm + 0.4)), came(at(usualMm)));
  };
  expect([differ(0.95), differ(1.05)]).toEqual([true, false]);
});

test('overscan is the way up to speed, 7 % more, to the next tenth above', () => {
  // v²/2a.
  expect(runUp(50, 500)).toEqual({ neededMm: 2.5, overscanMm: 2.7 });
  expect(runUp(100, 500)).toEqual({ neededMm: 10, overscanMm: 10.7 });
});

describe('a cut in a sentence', () => {
  const cut = {
    operation: 1,
    assumed: false,
    through: true,
    uncutShare: 0,
    besideShare: 0,
    shallowestMm: 3,
    thicknessMm: 3,
    margin: 0.2,
    chanceThrough: 0.6,
    passesForSure: 4,
    because: [],
    withSwatch: [1, 0] as const,
    sure: 0.95,
    passes: 3,
  };
  const partly = { ...cut, through: false, shallowestMm: 1, margin: -0.4 };

  test('comes through only just below half a per cent to spare', () => {
    expect(cutSentence({ ...cut, margin: 0.0045 })).toMatch(/only just/);
    expect(cutSentence({ ...cut, margin: 0.0055 })).toMatch(/with 1 % of dose to spare/);
    expect(cutSentence({ ...cut, margin: 3.9 })).toMatch(/with 390 % of dose to spare/);
    expect(cutSentence({ ...cut, margin: 2432.93 })).toMatch(
      /everywhere, with 2434 times the dose it needs\./,
    );
  });

  test('comes through nearly nowhere from 98 % on', () => {
    expect(cutSentence({ ...partly, uncutShare: 0.975 })).toMatch(/along 97\.5 % of its path/);
    expect(cutSentence({ ...partly, uncutShare: 0.985 })).toMatch(/nearly nowhere/);
    expect(cutSentence({ ...partly, uncutShare: 1 })).toMatch(/does not cut through:/);
  });
});
