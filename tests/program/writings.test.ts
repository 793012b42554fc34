import fc from 'fast-check';
import { expect, test } from 'vitest';
import { checksumOf } from '../../src/program/checksum.ts';
import { POWER_OFF, type Program } from '../../src/program/program.ts';
import { read } from './reading.ts';

/** One job, written as different controllers want it: whatever the writing, the same moves come out. */

interface Step {
  rapid: boolean;
  xMm: number;
  yMm: number;
  s: number;
  feedMmPerMin: number;
  dwellMs: number;
}

interface Writing {
  inches: boolean;
  incremental: boolean;
  /** Leave out words that are in force already. */
  terse: boolean;
  lowerCase: boolean;
  blank: string;
  lineEnd: string;
  numbered: boolean;
  comments: boolean;
  dwellUnit: 's' | 'ms';
  power: 'M3' | 'inline' | 'M106';
  mark: string;
}

const thousandths = (max: number) => fc.nat({ max: max * 1000 }).map((n) => n / 1000);
const step: fc.Arbitrary<Step> = fc.record({
  rapid: fc.boolean(),
  xMm: thousandths(200),
  yMm: thousandths(200),
  s: fc.nat(255),
  feedMmPerMin: fc.integer({ min: 1, max: 60 }).map((n) => n * 100),
  dwellMs: fc.constantFrom(0, 0, 0, 250),
});
const writing: fc.Arbitrary<Writing> = fc.record({
  inches: fc.boolean(),
  incremental: fc.boolean(),
  terse: fc.boolean(),
  lowerCase: fc.boolean(),
  blank: fc.constantFrom('', ' ', '\t '),
  lineEnd: fc.constantFrom('\n', '\r\n', '\r'),
  numbered: fc.boolean(),
  comments: fc.boolean(),
  dwellUnit: fc.constantFrom('s' as const, 'ms' as const),
  power: fc.constantFrom('M3' as const, 'inline' as const, 'M106' as const),
  mark: fc.constantFrom('', '\uFEFF', '\u00EF\u00BB\u00BF'),
});

/** Writes a job; every length has enough decimals to come back within a millionth of a millimetre. */
function write(steps: readonly Step[], how: Writing): string {
  const length = (mm: number) => (how.inches ? (mm / 25.4).toFixed(9) : mm.toFixed(6));
  const lines: string[][] = [
    [how.inches ? 'G20' : 'G21', how.incremental ? 'G91' : 'G90'],
    ...(how.power === 'M106' ? [] : [['M3', 'S0']]),
  ];
  const force = { motion: '', feed: -1, s: -1 };
  let [x, y] = [0, 0];
  for (const { rapid, xMm, yMm, s, feedMmPerMin, dwellMs } of steps) {
    if (how.power === 'M106' && (!how.terse || force.s !== s))
      lines.push(s === 0 ? ['M107'] : ['M106', `S${s}`]);
    if (how.power === 'M3' && (!how.terse || force.s !== s)) lines.push([`S${s}`]);
    if (dwellMs > 0) lines.push(['G4', `P${how.dwellUnit === 'ms' ? dwellMs : dwellMs / 1000}`]);
    const words: string[] = [];
    const motion = rapid ? 'G0' : 'G1';
    if (!how.terse || force.motion !== motion) words.push(motion);
    words.push(`X${length(how.incremental ? xMm - x : xMm)}`, `Y${length(how.incremental ? yMm - y : yMm)}`);
    if (!how.terse || force.feed !== feedMmPerMin) words.push(`F${length(feedMmPerMin)}`);
    if (how.power === 'inline' && (!how.terse || force.s !== s)) words.push(`S${s}`);
    lines.push(words);
    Object.assign(force, { motion, feed: feedMmPerMin, s });
    [x, y] = [xMm, yMm];
  }
  const text = lines.map((words, k) => {
    let line = words.join(how.blank);
    if (how.lowerCase) line = line.toLowerCase();
    if (how.numbered) {
      line = `N${k + 1}${how.blank}${line}`;
      line += `*${checksumOf(line)}`;
    }
    return how.comments ? `${line}${how.blank}(step ${k}; X99)` : line;
  });
  return how.mark + text.join(how.lineEnd) + how.lineEnd;
}

test('property: one job in any two writings comes out the same', () => {
  fc.assert(
    fc.property(fc.array(step, { minLength: 1, maxLength: 12 }), writing, writing, (steps, one, other) => {
      fc.pre(steps.some(({ xMm, yMm }) => xMm + yMm > 0));
      const [a, b] = [one, other].map((how) => read(write(steps, how), { dwellUnit: how.dwellUnit }));
      expectSame(a!, b!);
    }),
    { numRuns: 500 },
  );
});

function expectSame(a: Program, b: Program): void {
  expect(a.moves.count).toBe(b.moves.count);
  for (let k = 0; k < a.moves.count; k++) {
    for (const name of ['xMm', 'yMm', 'feedMmPerS'] as const) {
      expect(a.moves[name][k]).toBeCloseTo(b.moves[name][k]!, 5);
    }
    expect(a.moves.rapid[k]).toBe(b.moves.rapid[k]);
    expect(beam(a, k)).toBe(beam(b, k));
  }
  const dwells = ({ stops }: Program) =>
    Array.from({ length: stops.count }, (_, k) => [stops.beforeMove[k]!, stops.dwellS[k]!]).filter(
      ([, s]) => s! > 0,
    );
  expect(dwells(a)).toEqual(dwells(b));
}

/** What the beam is commanded to; M3 S0 and M107 are the same darkness. */
const beam = ({ moves }: Program, k: number): string =>
  moves.powerMode[k] === POWER_OFF || moves.s[k] === 0 ? 'off' : `mode ${moves.powerMode[k]}, S${moves.s[k]}`;
