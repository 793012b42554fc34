import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { summaryOf } from '../../src/cli/summary.ts';
import { engravedPlace } from '../../src/findings/evidence/engravings.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { dwellUnderSpotS } from '../../src/findings/evidence/spot-widths.ts';
import { type Forecast, type ForecastOptions, forecast, toldOf } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { leftOver } from '../../src/parts/left-over.ts';
import { machineWith } from '../support/machines.ts';
import { board, told } from './pairs.ts';
import { END, HEAD } from './small-jobs.ts';

/** What is said of a job goes by what the forecast makes of it, and by what the machine can do. */

const basswood = shippedMaterials.basswood!;

/** A 10 W gantry with a small spot. */
const tenWatts = (limits: Parameters<typeof machineWith>[0] = {}): Machine =>
  machineWith({
    laser: { optical_power_w: 10, s_max: 1000 },
    spot: { width_mm: [0.08, 0.12] },
    ...limits,
  });

const forecastOn = (job: string, machine = tenWatts(), options: ForecastOptions = {}): Forecast =>
  forecast(job, machine, basswood, options);

const findingOf = ({ findings }: Forecast, kind: string) => findings.find((each) => each.kind === kind);

/** Thirty rows to and fro without overscan, a tenth of a millimetre apart, from (10, 10). */
function bareRows(lengthMm: number, words: string, apartMm = 0.1): string {
  const rows = Array.from({ length: 30 }, (_, k) => {
    const y = (10 + k * apartMm).toFixed(3);
    const [from, to] = k % 2 === 0 ? [10, 10 + lengthMm] : [10 + lengthMm, 10];
    return `G0 X${from} Y${y} S0\nG1 X${to} Y${y} ${words}\n`;
  });
  return `${HEAD}M3 S0\n${rows.join('')}${END}`;
}

/** The mean tone of the cells whose middles lie in a box. */
function meanTone({ burn, dose: { grid } }: Forecast, [x0, y0, x1, y1]: readonly number[]): number {
  let sum = 0;
  let count = 0;
  for (let k = 0; k < grid.data.length; k++) {
    const x = grid.x0Mm + ((k % grid.nx) + 0.5) * grid.cellMm;
    const y = grid.y0Mm + (Math.floor(k / grid.nx) + 0.5) * grid.cellMm;
    if (x < x0! || x > x1! || y < y0! || y > y1!) continue;
    sum += burn.tone[k]!;
    count++;
  }
  return sum / count;
}

describe('rows that never come up to their feed', () => {
  const machine = tenWatts({ acceleration_mm_s2: [1000, 1000, 50] });
  const made = forecastOn(bareRows(3, 'S250 F3000'), machine);

  test('are told as darker where the fill is, though the rows themselves are black either way', () => {
    const finding = findingOf(made, 'below-speed')!;
    // From rest to rest v²/2a at either end gets twice the dose on the mean: (2 · 2 · 1.25 + 0.5) / 3 = 1.83.
    expect(finding.measure.times_straight).toBeGreaterThan(1.5);
    expect(finding.measure.times_straight).toBeLessThan(1.84);
    expect(finding, told(finding)).toMatchObject({
      severity: 'warning',
      // The speed at which they have the look they have, told below: proportional power alone would make them paler.
      advice: { change: '1: speed 2350, proportional' },
    });
    expect(finding.message).toContain('times the dose of its feed');
  });

  test('are told by the place that half of their way is slower than', () => {
    const evidence = gatherEvidence(toldOf(made));
    const place = engravedPlace(evidence, evidence.operations[0]!);
    // Of 3 mm from rest to rest at 1000 mm/s² half lies within 0.75 mm of an end: √(2 · 1000 · 0.75) = 38.7 mm/s. The head
    // turns between rows without quite coming to rest, so it is a little faster.
    const times = dwellUnderSpotS(machine.spot, Math.sqrt(1500), 0) / place.dwellS;
    expect(times).toBeGreaterThan(1);
    expect(times).toBeLessThan(1.02);
  });

  test('come out as dark as their place is in the forecast', () => {
    const box = [10, 10, 13, 12.9];
    expect(meanTone(made, box)).toBeCloseTo(0.76, 1);
    expect(Math.abs(made.engravings[0]!.tone - meanTone(made, box))).toBeLessThan(0.1);
  });
});

describe('a beam that stays on one spot', () => {
  const WAY = 'M3 S1000\nG0 X10 Y10\nG1 X20 F600\n';
  const severityOf = (between: string, s = 1000, before = WAY): string | undefined => {
    const job = `${HEAD}${before.replace('S1000', `S${s}`)}${between}\nX30 F600\n${END}`;
    return findingOf(forecastOn(job), 'beam-on-at-rest')?.severity;
  };

  // 0.75 mm at 3 mm/s, at 500 mm/s²: 0.25 s and 6 ms.
  test.each([
    ['in the midst of a line', 1000, WAY, 'stop'],
    ['faint', 0.1, WAY, undefined],
    ['where a stroke begins', 300, 'M3 S1000\nG0 X10 Y10\nG1 F600\n', 'warning'],
  ])('%s is judged alike, whether the head rests or goes up', (_where, s, before, severity) => {
    expect(severityOf('G4 P0.25\nG1', s, before)).toBe(severity);
    expect(severityOf('G1 Z0.75 F180\nG1', s, before)).toBe(severity);
  });

  test('is told in its own words where the head goes up or down, and once where it rests besides', () => {
    const finding = (between: string) =>
      findingOf(forecastOn(`${HEAD}${WAY}${between}\nX30 F600\n${END}`), 'beam-on-at-rest')!;
    const up = finding('G1 Z0.75 F180');
    expect(up).toMatchObject({ line: 5, atMm: [20, 10], advice: null });
    expect(up.message).toMatch(
      /^The head goes up or down over one spot with the beam on once, for up to 0\.3 s/,
    );
    expect(up.remedy).toMatch(/^Switch the beam off \(S0 or M5\) while the head goes up or down on line 5,/);
    const both = finding('G1 Z0.75 F180\nX25 F600\nG4 P0.25');
    expect(both.message).toMatch(/^The head stands still, or goes up or down over one spot, .* at 2 places,/);
    expect(both.measure.count).toBe(2);
  });
});

describe('a job that burns dots alone, each where the head rests', () => {
  const dots = (...at: readonly (readonly [number, number])[]): string =>
    `${HEAD}M3 S0\nG1 F1000\n${at.map(([x, y]) => `G1 X${x} Y${y} S0\nS1000\nG4 P2\n`).join('')}${END}`;
  const stock = { ...board(3, 60, 40) };
  const made = forecastOn(dots([10, 10], [30, 20]), tenWatts(), { stock });
  const textOf = (each: Forecast) => summaryOf(each, 'dots.nc').replace(/\s+/g, ' ');

  test('measures as far as they lie apart, and leaves the rest of the board', () => {
    expect(made.burnBounds).toEqual({ minXMm: 10, minYMm: 10, maxXMm: 30, maxYMm: 20 });
    const { areaMm2, rectangle, clearanceMm } = leftOver(made)!;
    expect(clearanceMm).toBe(10);
    expect(areaMm2).toBeLessThan(60 * 40 - 2);
    // 1.5 mm and half a spot off the farther dot.
    expect(rectangle).toEqual({ minXMm: expect.closeTo(31.56, 2), minYMm: 0, maxXMm: 60, maxYMm: 40 });
  });

  test('is not said to burn nothing', () => {
    expect(textOf(made)).toContain('The burn measures 20 × 10 mm from x 10, y 10 mm');
    expect(textOf(made)).toContain('No line is burned, only 2 dots where the head stands with the beam on.');
    expect(textOf(forecastOn(dots([10, 10])))).toContain('It burns one spot, at x 10, y 10 mm.');
    expect(findingOf(made, 'beam-never-on')).toBeUndefined();
  });

  test('goes no deeper than the board is thick', () => {
    const finding = findingOf(made, 'beam-on-at-rest')!;
    expect(finding.message).toContain(
      'It drills right through the board of 3 mm and may set the wood alight.',
    );
    expect(finding.measure).toMatchObject({ depth_mm: 3, depth_low_mm: 3, depth_high_mm: 3 });
  });

  test('is told of where a dot lies beside the board, by its line, or near its edge', () => {
    const beside = forecastOn(dots([10, 10], [61, 20]), tenWatts(), { stock });
    expect(findingOf(beside, 'off-stock')).toMatchObject({ line: 9, atMm: [61, 20] });
    const near = forecastOn(dots([10, 10], [59.5, 20]), tenWatts(), { stock });
    expect(findingOf(near, 'near-edge')).toMatchObject({ severity: 'note', atMm: [59.5, 20] });
  });

  test('is dark under proportional power, also as a change', () => {
    const text = dots([30, 20]).replace('G4 P2', 'G4 P2\nG1 X10 Y5 F600');
    const changed = forecastChanged(forecastOn(text), parseChanges('1: proportional'));
    expect(changed.burnBounds).toEqual({ minXMm: 10, minYMm: 5, maxXMm: 30, maxYMm: 20 });
    expect(findingOf(changed, 'beam-on-at-rest')).toBeUndefined();
  });
});

describe('a whole job at 15 mm/min, 15 mm/s perhaps', () => {
  const job = `${HEAD}M3 S0\nG0 X10 Y10\nG1 X40 S1000 F15\nY30\n${END}`;
  const creeps = (thicknessMm: number | null) =>
    findingOf(
      forecastOn(job, tenWatts(), { stock: thicknessMm === null ? null : board(thicknessMm) }),
      'may-ignite',
    )!;

  // Less than half a second on a spot: 0.12 mm at 0.25 mm/s.
  test.each([3, null])('loses the piece, on a board of %s mm', (thicknessMm) => {
    const finding = creeps(thicknessMm);
    expect(finding).toMatchObject({ severity: 'stop', advice: { change: '1: speed 900' } });
    expect(finding.measure.longest_s).toBeLessThan(0.5);
    expect(finding.message).toMatch(/Slower than 30 mm\/min wood chars and flares more than it is cut\.$/);
    expect(finding.remedy).toMatch(/^F is in mm\/min: if 15 mm\/s was meant, write F900\./);
  });

  test('is no slip, but a warning, where the cut takes that much', () => {
    expect(creeps(15)).toMatchObject({ severity: 'warning', advice: null });
    expect(creeps(15).remedy).toMatch(
      /^Burn it at 30 mm\/min or faster, in as many passes as it takes then;/,
    );
  });
});

describe('a remedy that asks for more speed', () => {
  const remedyOf = (job: string, kind: string, options: ForecastOptions = {}, limits = {}): string =>
    findingOf(forecastOn(job, tenWatts({ max_speed_mm_s: [100, 100, 10], ...limits }), options), kind)!
      .remedy;

  // Rows 0.1 mm apart are to lie 0.055 mm apart: 1.8 times 50 mm/s takes 8.3 mm of way at 500 mm/s².
  test('asks for less power where rows are too short for it, or the machine too slow', () => {
    const less =
      /0\.055 mm apart or closer\. At 0\.055 mm, 1[3-6](\.\d)? % power keeps the tone: this machine does not come up/;
    expect(remedyOf(bareRows(3, 'S250 F3000'), 'stripes')).toMatch(less);
    // 91 mm/s are reached on 3.5 of 20 mm, and nine tenths of them on 6.7.
    expect(remedyOf(bareRows(20, 'S250 F3000'), 'stripes')).toMatch(less);
    const more = /0\.055 mm apart or closer\. At 0\.055 mm, 1\.[5-9]\d? times the speed keeps the tone\.$/;
    expect(remedyOf(bareRows(40, 'S250 F3000'), 'stripes')).toMatch(more);
    const slow = { max_speed_mm_s: [70, 70, 10] };
    expect(remedyOf(bareRows(40, 'S250 F3000'), 'stripes', {}, slow)).toMatch(less);
    // Proportional power gives the tone at any speed of the head.
    expect(remedyOf(bareRows(3, 'S250 F3000').replace('M3', 'M4'), 'stripes')).toMatch(more);
  });

  test('also where an engraving goes too deep', () => {
    const deep = (lengthMm: number) =>
      remedyOf(bareRows(lengthMm, 'S600 F2400', 0.06), 'too-deep', { stock: board(3) });
    expect(deep(40)).toMatch(/^Engrave at \d+ mm\/min/);
    expect(deep(3)).toMatch(/^Engrave with [\d.]+ % power/);
  });
});

test('a picture of short dots is told with what it drills, and that it may be meant', () => {
  const dots = Array.from(
    { length: 12 },
    (_, k) => `G1 X${10 + k} Y10 S0\nS600\nG4 P${(0.002 * (k + 1)).toFixed(3)}\n`,
  ).join('');
  const finding = findingOf(forecastOn(`${HEAD}G1 F3000\nM3 S0\n${dots}${END}`), 'beam-on-at-rest')!;
  expect(finding.severity).toBe('warning');
  expect(finding.message).toMatch(
    /at 12 places, for up to 24 ms: a burned dot, .* It drills about [\d.]+ mm deep/,
  );
  expect(finding.message).not.toContain('alight');
  const less =
    /^Where dots are meant, a shorter dwell or a lower S drills less: on line (\d+) P([\d.]+) with the same S, or S([\d.]+) with .* Else switch the beam off \(S0 or M5\) before the dwells on lines 6, 9, /;
  const [, line, p, s] = less.exec(finding.remedy)!;
  expect(Number(line)).toBe(finding.line);
  // Energy goes by the product of both, so that either alone comes down by the same part.
  expect(Number(p) / 0.024).toBeCloseTo(Number(s) / 600, 2);
  // What is said to be enough drills no further, and needs no change.
  const enough = dots.replaceAll(/P0\.\d+/g, `P${p}`);
  const then = findingOf(forecastOn(`${HEAD}G1 F3000\nM3 S0\n${enough}${END}`), 'beam-on-at-rest')!;
  expect(Number(then.measure.depth_mm)).toBeLessThan(Number(finding.measure.depth_mm) / 3);
  expect(then.message).not.toContain('drills');
});

test('dwells that were meant in milliseconds are told as such, with the setting that says so', () => {
  const dots = [20, 160].map((p, k) => `G1 X${10 + 3 * k} Y10 S0\nS400\nG4 P${p}\n`).join('');
  const remedyIn = (text: string) =>
    findingOf(forecastOn(`${HEAD}G1 F3000\nM3 S0\n${text}${END}`), 'beam-on-at-rest')!.remedy;
  expect(remedyIn(dots)).toMatch(
    /^P was read in seconds\. Were milliseconds meant, for rests of up to 0\.2 s\? Then set dwell_unit of the machine profile to ms, /,
  );
  // Dots of 20 s and of 0.2 s are no job in milliseconds; nor is 1.5 s a dot in them.
  for (const other of [dots.replace('P160', 'P0.16'), dots.replace('P20', 'P1.5'), dots.replaceAll('P', 'S')])
    expect(remedyIn(other)).not.toContain('dwell_unit');
});

test('every line is named on which the beam is to go off, up to a few', () => {
  const dots = (count: number) =>
    Array.from({ length: count }, (_, k) => `G1 X${10 + k} Y10 S0\nS600\nG4 P0.2\n`).join('');
  const remedyOf = (count: number) =>
    findingOf(forecastOn(`${HEAD}G1 F3000\nM3 S0\n${dots(count)}${END}`), 'beam-on-at-rest')!.remedy;
  const first = HEAD.split('\n').length + 4;
  expect(remedyOf(1)).toContain(`before the dwell on line ${first}.`);
  expect(remedyOf(2)).toContain(`before the dwells on lines ${first} and ${first + 3}.`);
  expect(remedyOf(9)).toContain(`${first + 15} and 3 more.`);
});

/** Rows of 30 mm from (20, 10) and, in the same operation, of 2 mm from (60, 10), to and fro at constant power. */
function twoLengths(longRows: number, shortRows: number, overMm = 0): string {
  const lines = [`${HEAD}M3 S0`];
  const add = (count: number, fromMm: number, lengthMm: number): void => {
    for (let row = 0; row < count; row++) {
      const way = row % 2 === 0 ? 1 : -1;
      const from = way === 1 ? fromMm : fromMm + lengthMm;
      lines.push(`G0 X${from - overMm * way} Y${(10 + row / 10).toFixed(1)} S0`);
      if (overMm > 0) lines.push(`G1 X${from} F5000`);
      lines.push(`G1 X${from + lengthMm * way} S250 F5000`);
      if (overMm > 0) lines.push(`X${from + (lengthMm + overMm) * way} S0`);
    }
  };
  add(longRows, 20, 30);
  add(shortRows, 60, 2);
  return `${lines.join('\n')}\n${END}`;
}

describe('rows that never come up to the feed of their operation, beside rows that do', () => {
  const machine = tenWatts({ acceleration_mm_s2: [800, 800, 50] });
  const SHORT = [60, 10, 62, 13.9];
  const LONG = [30, 10, 40, 11.9];
  const uneven = forecastOn(twoLengths(20, 40), machine);
  const found = findingOf(uneven, 'below-speed')!;

  test('are told with what really falls there', () => {
    expect(uneven.program.operations).toHaveLength(1);
    expect(found, told(found)).toMatchObject({ severity: 'warning', operation: 1 });
    expect(found.message).toMatch(
      /never comes up to 5000 mm\/min, in other rows it does: these are 2 mm long/,
    );
    // 40 rows of 2 mm and 20 of 30 mm.
    expect(found.measure.share).toBeCloseTo(80 / 680, 4);
    expect(found.measure.row_mm).toBeCloseTo(2, 9);
    // From rest to rest the mean speed is √(a·L)/2, 20 mm/s; the head is not quite at rest at the ends.
    expect(found.measure.mean_speed_mm_s).toBeGreaterThan(20);
    expect(found.measure.mean_speed_mm_s).toBeLessThan(28);
    expect(Math.abs(Number(found.measure.tone) - meanTone(uneven, SHORT))).toBeLessThan(0.06);
    expect(Math.abs(Number(found.measure.usual_tone) - meanTone(uneven, LONG))).toBeLessThan(0.06);
  });

  test('look like them with what is advised, whether the beam follows the head or not', () => {
    const stays = { ...machine, laser: { ...machine.laser, m4_power: 'constant' } as const };
    for (const bench of [machine, stays]) {
      const asIs = forecastOn(twoLengths(20, 40), bench);
      const before = findingOf(asIs, 'below-speed')!;
      const after = forecastChanged(asIs, parseChanges(before.advice!.change));
      expect(findingOf(after, 'below-speed'), before.remedy).toBeUndefined();
      const difference = meanTone(after, SHORT) - meanTone(after, LONG);
      expect(difference, before.remedy).toBeLessThan(0.12);
      expect(Number(before.measure.tone) - Number(before.measure.usual_tone)).toBeGreaterThan(0.3);
    }
  });

  test('are told of from a tenth of the length on, and not where overscan lets the head come up to it', () => {
    // 54 of 534 mm are more than that, 52 of 532 less.
    expect(findingOf(forecastOn(twoLengths(16, 26), machine), 'below-speed')).toBeUndefined();
    expect(findingOf(forecastOn(twoLengths(16, 27), machine), 'below-speed')?.measure.share).toBeCloseTo(
      54 / 534,
      4,
    );
    expect(findingOf(forecastOn(twoLengths(20, 40, 5), machine), 'below-speed')).toBeUndefined();
  });
});
