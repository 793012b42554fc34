import { describe, expect, test } from 'vitest';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { penUpNote } from '../../src/findings/evidence/pen-up.ts';
import { type ForecastOptions, forecast, forecastProgram } from '../../src/forecast.ts';
import { bench, board, type Pair, poplar, ROUGH, told } from './pairs.ts';

/** Trouble in other dress than the pairs', and what looks like trouble and is none. */

const run = (text: string, machine: Pair['machine'] = {}, options: ForecastOptions = {}) =>
  forecast(`G21 G90\n${text}\n`, bench(machine), poplar, { ...ROUGH, ...options });
const kindsOf = (text: string, machine: Pair['machine'] = {}, options: ForecastOptions = {}) =>
  run(text, machine, options).findings.map(({ kind, severity }) => `${severity} ${kind}`);

describe('dark ends of rows', () => {
  const serpentine = (mode: string) =>
    `${mode} S500\nG0 X10 Y10\n${Array.from({ length: 30 }, (_, k) => `G1 X${k % 2 ? 10 : 40} F3000\nY${(10.1 + k / 10).toFixed(1)}`).join('\n')}\nM5`;

  test('a serpentine whose steps burn as well', () => {
    const { findings } = run(serpentine('M3'));
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-row-end']);
    expect(findings[0]!.measure.count).toBe(60);
    expect(kindsOf(serpentine('M4'))).toEqual([]);
  });

  test('rows along y need what the slower axis needs', () => {
    const rows = Array.from(
      { length: 30 },
      (_, k) =>
        `${k ? 'G1' : 'G0'} X${(20 + k / 20).toFixed(2)} Y${k % 2 ? 40 : 10} S0\nG1 Y${k % 2 ? 10 : 40} S400 F3000`,
    );
    const { findings } = run(`M3 S0\n${rows.join('\n')}\nM5`, { acceleration_mm_s2: [500, 250, 50] });
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-row-end']);
    expect(findings[0]!.measure.needed_mm).toBe(5); // 50²/(2·250)
  });

  test('where the bed leaves no room for the overscan, it says how to make some', () => {
    const rows = Array.from(
      { length: 20 },
      (_, k) =>
        `${k ? 'G1' : 'G0'} X${k % 2 ? 31 : 1} Y${(10 + k / 10).toFixed(1)} S0\nG1 X${k % 2 ? 1 : 31} S500 F3000`,
    );
    const { findings } = run(`M3 S0\n${rows.join('\n')}\nM5`);
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-row-end']);
    expect(findings[0]!.remedy).toMatch(/Move the job 1\.7 mm to the right; it fits the bed then\.$/);
  });

  test('on a ground that is black already they dig deep', () => {
    const rows = (over: number) =>
      Array.from({ length: 20 }, (_, k) => {
        const [a, b] = k % 2 ? [40, 10] : [10, 40];
        const on = Math.sign(b - a) * over;
        return `${k ? 'G1' : 'G0'} X${a - on} Y${(10 + k / 10).toFixed(1)} S0\nG1 X${a} F3000\nX${b} S1000\nX${b + on} S0`;
      }).join('\n');
    // How deep a fill goes hangs on how fine the firings are counted.
    const nine = [{ laser: { optical_power_w: 9 } }, { cellMm: 0.04 }] as const;
    const { findings } = run(`M3 S0\n${rows(0)}\nM5`, ...nine);
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-row-end']);
    expect(findings[0]!.message).toMatch(
      /mm deep \(2\.2 to 3\.5\) instead of 0\.56 mm \(0\.(39|4\d*) to 0\.7\d\)/,
    );
    expect(kindsOf(`M3 S0\n${rows(3)}\nM5`, ...nine)).toEqual([]);
  });
});

describe('dark corners', () => {
  const cornersOf = (text: string) =>
    run(`M3 S0\n${text}\nM5`, {}, { stock: board(3, 50, 40) }).findings.filter(
      ({ kind }) => kind === 'dark-corner',
    );

  test.each([0.5, 1, 2])(
    'a small circle of %d mm has none, though the head is slow where its line begins',
    (r) => {
      const circle = `G0 X${20 + r} Y20\nG2 X${20 - r} Y20 I${-r} J0 S300 F1200\nG2 X${20 + r} Y20 I${r} J0`;
      expect(cornersOf(circle).map(told)).toEqual([]);
    },
  );

  test('one soon after a line begins, or before it ends, is told where it brakes the head', () => {
    const corner = (from: string, to: string) => `G0 ${from}\nG1 X20 Y20 S300 F1200\n${to}`;
    for (const text of [corner('X19.4 Y20', 'X20 Y35'), corner('X20 Y35', 'X19.4 Y20')]) {
      const found = cornersOf(text);
      expect(
        found.map(({ atMm }) => atMm),
        text,
      ).toEqual([[20, 20]]);
      expect(found[0]!.measure.count, text).toBe(1);
    }
  });

  const zigzag = (mode: string, s: number, feed = 1200) =>
    `${mode} S0\nG0 X4 Y10\nG1 X8 F${feed}\nX30 S${s}\nY30\nX10 Y20\nX2 Y16 S0\nM5`;

  test('a cut line that is black all along has none: it cannot get blacker', () => {
    expect(kindsOf(zigzag('M3', 1000, 300))).toEqual([]);
  });

  test('nor has a line so faint that its corners leave no mark either: it is told as such', () => {
    expect(kindsOf(zigzag('M3', 8))).toEqual(['warning no-mark']);
  });

  const engraved = (s: number, feed: number): string => {
    const ground = Array.from({ length: 241 }, (_, k) => {
      const [a, b] = k % 2 ? [36, 4] : [4, 36];
      const y = (8 + k / 10).toFixed(1);
      return `${k ? 'G1' : 'G0'} X${a - Math.sign(b - a) * 3} Y${y} S0\nG1 X${a} F3000\nX${b} S900\nX${b + Math.sign(b - a) * 3} S0`;
    });
    return `M4 S0\n${ground.join('\n')}\nM5\n${zigzag('M3', s, feed)}`;
  };

  test('on an engraved ground as dark as the corner they do not show', () => {
    expect(kindsOf(zigzag('M3', 60, 600))).toEqual(['warning dark-corner']);
    expect(kindsOf(engraved(60, 600))).toEqual([]);
  });

  test('but where they dig into it, that is felt, from a fifth of a millimetre on', () => {
    // 0.19 and 0.21 mm deeper.
    expect(kindsOf(engraved(110, 900))).toEqual([]);
    expect(kindsOf(engraved(125, 900))).toEqual(['warning dark-corner']);
    const { findings } = run(engraved(150, 1200));
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-corner']);
    expect(findings[0]!.message).toMatch(/corners burn deep: .* mm deep \(0\.54 to 1\) instead of /);
  });

  test('a beam that follows speed too late burns them as well, and a lower speed is the remedy', () => {
    const late = { laser: { rise_time_ms: 12 } };
    const { findings, program } = run(zigzag('M4', 200, 2000), late);
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-corner']);
    expect(findings[0]!.remedy).toMatch(/follows the head late/);
    const slower = changeProgram(program, parseChanges(findings[0]!.advice!.change), bench(late));
    expect(forecastProgram(slower, bench(late), poplar).findings.map(told)).toEqual([]);
  });

  test('where M4 burns like M3, the remedy is a lower speed', () => {
    const machine = { laser: { m4_power: 'constant' as const } };
    const { findings, program } = run(zigzag('M4', 250), machine);
    expect(findings.map(({ kind }) => kind)).toEqual(['dark-corner']);
    expect(findings[0]!.advice!.change).toMatch(/^1: speed \d+, power [\d.]+%$/);
    const slower = changeProgram(program, parseChanges(findings[0]!.advice!.change), bench(machine));
    expect(forecastProgram(slower, bench(machine), poplar).findings.map(told)).toEqual([]);
  });
});

describe('standing still', () => {
  test('a pause with the beam on is a stop; with it off, or with proportional power, nothing', () => {
    const job = (mode: string, before: string) =>
      `${mode} S0\nG0 X3 Y10\nG1 X5 F1200\nX20 S300\nX25 S0\n${before}\nM0\nG1 X30 S0\nM5`;
    expect(kindsOf(job('M3', 'S300'))).toEqual(['stop beam-on-at-rest']);
    expect(kindsOf(job('M3', 'S0'))).toEqual([]);
    expect(kindsOf(job('M4', 'S300'))).toEqual([]);
  });

  test('a dwell too faint to mark is none', () => {
    const job = (s: number) => `M3 S0\nG0 X3 Y10\nG1 X5 F1200\nX20 S300\nX25 S0\nS${s}\nG4 P0.01\nX30 S0\nM5`;
    expect(kindsOf(job(1))).toEqual([]);
    expect(kindsOf(job(300))).toEqual(['warning beam-on-at-rest']);
  });

  test('an end with the beam armed but dark is a warning, not a stop', () => {
    expect(kindsOf('M4 S300\nG0 X5 Y10\nG1 X35 F1200')).toEqual(['warning beam-left-on']);
  });
});

describe('burned twice', () => {
  const square = (x: number) => `G0 X${x} Y5\nG1 X${x + 20} S300 F1200\nY25\nX${x}\nY5`;

  test('one straight move, and one in short moves, is burned once however long it is', () => {
    const wide = { work_area_mm: [4000, 4000] as [number, number] };
    // Over 2.76 by 2.76 m the map's cells are 2 mm wide: the way meets each of them more than once.
    expect(kindsOf('M4 S500\nG1 X2760 Y2755 F6000\nM5', wide, { cellMm: 5 })).not.toContain(
      'warning burned-twice',
    );
    const short = Array.from({ length: 276 }, (_, k) => `X${10 * (k + 1)} Y${(9.99 * (k + 1)).toFixed(2)}`);
    expect(kindsOf(`M4 S500\nG1 F6000\n${short.join('\n')}\nM5`, wide, { cellMm: 5 })).not.toContain(
      'warning burned-twice',
    );
  });

  test('one of three shapes stands in the file twice', () => {
    const { findings } = run(`M4 S0\n${[5, 5, 30, 55].map(square).join('\n')}\nM5`);
    expect(findings.map(({ kind }) => kind)).toEqual(['burned-twice']);
    expect(findings[0]!.measure.overlap_mm).toBeGreaterThan(78);
    expect(findings[0]!.line).toBeGreaterThanOrEqual(8);
  });

  test('passes are meant, but not more than any board needs where its thickness was not said', () => {
    const line = (passes: number, s: number) =>
      `M4 S${s}\nG0 X5 Y10\nG1 X25 F3000\n${'X5\nX25\n'
        .repeat(passes)
        .split('\n')
        .slice(0, passes - 1)
        .join('\n')}\nM5`;
    expect(kindsOf(line(20, 200))).not.toContain('warning burned-twice');
    expect(kindsOf(line(21, 200))).toContain('warning burned-twice');
    const deep = run(line(20, 1000).replace('F3000', 'F60')).findings.find(
      ({ kind }) => kind === 'burned-twice',
    )!;
    expect(deep.measure.count).toBe(20);
    expect(deep.measure.depth_mm).toBeGreaterThan(20);
    expect(deep.message).toMatch(/^The same path is burned 20 times, .* How thick the board is was not said/);
    const { findings } = run(
      line(300, 1000).replaceAll('X25', 'X9'),
      {},
      { stock: { widthMm: 40, heightMm: 40, thicknessMm: 3, xMm: 0, yMm: 0 } },
    );
    expect(findings.map(({ kind }) => kind)).not.toContain('burned-twice');
    expect(findings.map(({ kind }) => kind)).toContain('more-than-needed');
  });

  test('passes are meant, all the same or more here than there', () => {
    expect(kindsOf(`M4 S0\n${[5, 5, 30, 30].map(square).join('\n')}\nM5`)).toEqual([]);
    expect(kindsOf(`M4 S0\n${[5, 5, 30, 30, 30].map(square).join('\n')}\nM5`)).toEqual([]);
  });

  test('crossings and touching corners are none', () => {
    const star = 'G0 X5 Y5\nG1 X35 Y35 S300 F1200\nG0 X35 Y5 S0\nG1 X5 Y35 S300\nG0 X5 Y20 S0\nG1 X35 S300';
    expect(kindsOf(`M4 S0\n${star}\nM5`)).toEqual([]);
  });

  test('a line scored by one operation and again by another', () => {
    const { findings } = run(
      `M4 S0\n${square(5)}\nG0 X40 Y5 S0\nG1 X60 S250 F1000\nG0 X5 Y5 S0\nG1 X25 S250\nM5`,
    );
    expect(findings.map(({ kind, operation }) => [kind, operation])).toEqual([['burned-twice', 2]]);
    expect(findings[0]!.measure.with_operation).toBe(1);
  });

  test('a scored line that is cut later is none: it is black then anyway', () => {
    const cut = 'G0 X5 Y5 S0\nG1 X25 S1000 F200\nY25\nX5\nY5';
    expect(kindsOf(`M4 S0\n${square(5)}\n${cut}\nM5`)).toEqual([]);
  });
});

describe('cutting', () => {
  const outline = (s: number, feed: number, passes = 1) =>
    `M4 S0\nG0 X5 Y5\n${'G1 X45\nY35\nX5\nY5\n'.repeat(passes).replace('X45', `X45 S${s} F${feed}`)}M5`;
  const on = (thicknessMm: number): ForecastOptions => ({ stock: board(thicknessMm, 50, 40) });

  test('no feed is named that short strokes do not let the head come up to', () => {
    const slots = [5, 10, 15].map((x) => `G0 X${x} Y5 S0\nG1 Y9 S1000 F300\nX${x + 1}\nY5\nX${x}`);
    const { findings } = run(
      `M4 S0\n${slots.join('\n')}\nM5`,
      { acceleration_mm_s2: [100, 100, 50] },
      on(0.5),
    );
    const finding = findings.find(({ kind }) => kind === 'more-than-needed')!;
    // From rest to rest over 4 mm at 100 mm/s²: √(100 · 4) = 20 mm/s.
    expect(finding.measure.feed_mm_min).toBeGreaterThan(1100);
    expect(finding.measure.feed_mm_min).toBeLessThan(1250);
  });

  test('a frame scored on a thick board is not meant to cut', () => {
    expect(kindsOf(outline(400, 1200), {}, on(4))).toEqual([]);
  });

  test('nor is one scored at full power in passing', () => {
    expect(kindsOf(outline(1000, 2400), {}, on(4))).toEqual([]);
  });

  test('without a thickness nothing is said', () => {
    expect(kindsOf(outline(1000, 600), {}, { stock: { ...board(4, 50, 40), thicknessMm: null } })).toEqual(
      [],
    );
  });

  test('the slowest outline at full power around everything is, however shallow it stays', () => {
    const inside = 'M4 S0\nG0 X15 Y15\nG1 X35 S300 F2400\nM5\n';
    const { findings } = run(inside + outline(1000, 900), {}, on(6));
    expect(findings.map(({ kind, operation }) => [kind, operation])).toEqual([['not-through', 2]]);
    // Too many passes at that speed: the speed comes down as well.
    expect(findings[0]!.advice!.change).toMatch(/^2: speed \d+, passes 4$/);
  });

  test.each([
    [3, 300],
    [4, 240],
    [6, 200],
    [4, 900],
    [8, 300],
  ])('what is advised cuts: %d mm at %d mm/min', (thicknessMm, feed) => {
    const { findings, program } = run(outline(1000, feed), {}, on(thicknessMm));
    expect(findings.map(({ kind }) => kind)).toEqual(['not-through']);
    const machine = bench();
    const changed = changeProgram(program, parseChanges(findings[0]!.advice!.change), machine);
    const after = forecastProgram(changed, machine, poplar, on(thicknessMm));
    expect(after.findings.map(told)).toEqual([]);
  });

  test('passes that are slower than 30 mm/min all together come with a caution, faster ones without', () => {
    const remedyOn = (thicknessMm: number) =>
      run(outline(1000, 300), {}, on(thicknessMm)).findings.find(({ kind }) => kind === 'not-through')!
        .remedy;
    expect(remedyOn(9)).toMatch(/Burn it .* But all passes together are then slower than 30 mm\/min/);
    expect(remedyOn(3)).not.toMatch(/slower than/);
  });

  test('stock beyond what any focused beam reaches is told so, with nothing to press', () => {
    const { findings } = run(outline(1000, 30), {}, on(60));
    expect(findings.map(({ kind }) => kind)).toEqual(['not-through']);
    expect(findings[0]!.advice).toBeNull();
    expect(findings[0]!.remedy).toMatch(
      /^Not even 4 passes at 30 mm\/min bring this beam through 60 mm on 19 of 20 such boards; slower, wood chars/,
    );
    expect(findings[0]!.measure.passes_needed).toBe('none');
  });

  test('a hole cut before the outline is in order; after it, it comes too late', () => {
    const hole = 'G0 X20 Y20 S0\nG2 X20 Y20 I3 S1000 F200\nG2 X20 Y20 I3\nG2 X20 Y20 I3\nG2 X20 Y20 I3\n';
    const around = `${outline(1000, 200, 4).replace('M5', '')}`;
    const [first, last] = [`M4 S0\n${hole}${around}M5`, `${around}${hole}M5`];
    expect(kindsOf(first, {}, on(3))).toEqual([]);
    expect(kindsOf(last, {}, on(3))).toEqual(['stop cut-before-engraved']);
  });
});

describe('Z as a pen', () => {
  const noteOf = (text: string) => penUpNote(run(text).program);

  test('up for travel and down to burn is told, with how it was understood', () => {
    const strokes = [5, 15, 25].map((y) => `G0 Z3\nG0 X5 Y${y}\nG1 Z0 F300\nG1 X35 F1200`);
    const text = `M3 S300\n${strokes.join('\n')}\nG0 Z3\nM5`;
    expect(noteOf(text)).toMatch(
      /^Z goes up for travel and down to burn \(first in line 3, between 3 and 0 mm\)/,
    );
    expect(noteOf(text)).toMatch(/The beam is on while it goes down 3 times/);
    expect(run(text).notes.filter((note) => note.startsWith('Z goes up')).length).toBe(1);
  });

  test('no Z, one height, passes that step down, and slopes are something else', () => {
    expect(noteOf('M4 S300\nG0 X5 Y5\nG1 X35 F1200\nM5')).toBeNull();
    expect(noteOf('M4 S300\nG0 Z2\nG0 X5 Y5\nG1 X35 F1200\nG0 X5 Y9\nG1 X35\nM5')).toBeNull();
    expect(
      noteOf('M4 S300\nG0 X5 Y5\nG1 X35 F1200\nG0 Z-1\nG0 X5\nG1 X35\nG0 Z-2\nG0 X5\nG1 X35\nM5'),
    ).toBeNull();
    expect(noteOf('M4 S300\nG0 X5 Y5\nG1 X35 Z1 F300\nG1 X5 Z0\nG1 X35 Z1\nM5')).toBeNull();
  });
});

test('a starved job whose proportional power never passes the threshold has whole numbers', () => {
  const { findings } = forecast(
    'G21\nM4 S30 F1200\nG0 X1\nG1 X2\nX3\nX4\nM5\n',
    bench({
      max_speed_mm_s: [0.2, 0.2, 0.2],
      link: { baud: 10, ack_bytes: 4, lines_per_second: null },
      laser: { threshold_fraction: 0.02 },
    }),
    poplar,
  );
  const starved = findings.find(({ kind }) => kind === 'starved');
  expect(starved?.measure.times_straight).toBe(1);
});

describe('millimetres and inches', () => {
  /** Of a rectangle only two corners burn: that is all of its size. */
  const job = (unit: string, s: number) =>
    `${unit} M4 S0\nG0 X${s} Y${s}\nG1 X${1.1 * s} S300 F1200\nX${4 * s} S0\nY${2.9 * s}\nY${3 * s} S300\nX${s} S0\nY${s}\nM5`;
  const found = (text: string, kind: string) =>
    run(text, { work_area_mm: [400, 300] }, { cellMm: 10 }).findings.find((each) => each.kind === kind);

  test('a job in inches that is too large for the bed, but would fit in millimetres', () => {
    expect(found(job('G20', 20), 'off-bed')!.remedy).toMatch(
      /^The job is in inches \(G20\)\. Were its numbers meant in millimetres\? Then write G21 instead; it spans 80 × 60 mm so and fits the bed/,
    );
    // Too large either way, or in millimetres already.
    expect(found(job('G20', 120), 'off-bed')!.remedy).toMatch(/^It does not fit: .* Make it smaller\.$/);
    expect(found(job('G21', 140), 'off-bed')!.remedy).toMatch(/^It does not fit: the job is 420 × 280 mm/);
    expect(found(job('G21', 120), 'off-bed')!.remedy).toMatch(
      /^Move the job 80 mm to the left and 60 mm forward;/,
    );
    expect(found(job('G20', 2), 'off-bed')).toBeUndefined();
  });

  test('a tiny job may be in inches, and that is asked; not where it is larger, in inches, or one line', () => {
    expect(found(job('G21', 1.6), 'wrong-size')).toMatchObject({
      severity: 'note',
      message:
        'The whole burn measures 4.8 × 3.2 mm. Were its numbers meant in inches? It would be 122 × 81.3 mm then.',
    });
    expect(found(job('G21', 1.7), 'wrong-size')).toBeUndefined();
    expect(found(job('G20', 0.05), 'wrong-size')).toBeUndefined();
    expect(found('M4 S0\nG0 X1 Y1\nG1 X4 S300 F1200\nM5', 'wrong-size')).toBeUndefined();
    // In inches it would not fit the bed.
    expect(found(job('G21', 1.6).replace('G0', 'G92 X-50\nG0'), 'wrong-size')).toBeUndefined();
  });
});

test('a machine too slow for its light is not told to go faster than it can', () => {
  const slow: Pair['machine'] = { max_speed_mm_s: [0.1, 0.1, 0.1] };
  const creep = run('M3 S1000\nG0 X5 Y10\nG1 X9 F600\nM5', slow).findings.find(
    ({ kind }) => kind === 'may-ignite',
  )!;
  expect(creep.remedy).toMatch(
    /^The machine cannot go fast enough for so much light: burn it with less power\./,
  );
  expect(creep.advice).toBeNull();
});

test('what closes gaps is a power that can be set, however faint the beam is', () => {
  const faint: Pair['machine'] = { laser: { optical_power_w: 1e-6, threshold_fraction: 1e-9 } };
  const { findings } = run('M4 S10 F600\nG0 X1\nG1 X0 Y0\nZ1', faint, { stock: board(3), cellMm: 0.5 });
  for (const { advice } of findings) if (advice) parseChanges(advice.change);
  expect(findings.some(({ kind }) => kind === 'faint-corner')).toBe(true);
});

test('where a part of the power is none of the machine’s few levels, a remedy has its numbers all the same (found by fuzzing)', () => {
  const coarse: Pair['machine'] = {
    max_speed_mm_s: [0.001, 0.001, 0.001],
    laser: { optical_power_w: 1e-6, s_max: 1, power_levels: 11 },
  };
  const found = run('M4 S500\nG0 X5 Y5\nG1 X5.5 F600\nM5', coarse).findings.find(
    ({ kind }) => kind === 'no-mark',
  )!;
  expect(found.remedy).toMatch(/^Burn it at 0\.\d+ mm\/min|^Burn it with [1-9]/);
  expect(found.measure.needed_feed_mm_min).toBeGreaterThan(0);
});

describe('the way back onto the bed', () => {
  const wide = { work_area_mm: [400, 400] as [number, number] };
  const outline = (x: number, y: number, end = '') =>
    `M4 S0\nG0 X${x} Y${y}\nG1 X${x + 50} S100 F1200\nY${y + 30}\nX${x}\nY${y}\nM5\n${end}`;
  const found = (text: string, options?: ForecastOptions) =>
    run(text, wide, { cellMm: 0.5, ...options }).findings.find(({ kind }) => kind === 'off-bed')!;

  test('is told of what the job sends the head to, not of where it stands before', () => {
    const { remedy, measure } = found(outline(370, -5));
    expect(remedy).toBe('Move the job 20 mm to the left and 5 mm back; it fits the bed then.');
    expect(measure.shift_mm).toEqual([-20, 5]);
    expect(found(outline(370.5, -380)).remedy).toContain('20.5 mm to the left and 380 mm back');
    expect(found(`${outline(370, 5)}${outline(-1, 5)}`).remedy).toMatch(
      /^It does not fit: the job is 421 × 30 mm/,
    );
  });

  test('leaves the origin be that the head comes home to, and then no shift of all that is written is told', () => {
    const { remedy, measure } = found(outline(370, 5, 'G0 X0 Y0\n'));
    expect(remedy).toBe('Move the job 20 mm to the left; it fits the bed then.');
    expect(measure).not.toHaveProperty('shift_mm');
    expect(found(outline(-10, 5, 'G0 X0 Y0\n')).measure.shift_mm).toEqual([10, 0]);
    // Unless it burns from there, or to there.
    for (const line of [
      'G1 X421 Y10 S100 F1200',
      'G0 X421 Y10\nG1 X0 Y0 S100 F1200',
      'G0 X5 Y5\nG0 X0 Y0\nG1 X421 Y10 S100 F1200',
    ])
      expect(found(`M4 S0\n${line}\nM5`).remedy).toMatch(/^It does not fit: the job is 421 × 10 mm/);
    // A run-up that begins at x 0 is no way home.
    expect(found('M4 S0\nG0 X0 Y20\nG1 X5 F1200\nX405 S100\nM5').remedy).toMatch(
      /^It does not fit: the job is 405 × 0 mm/,
    );
  });

  test('leads onto the board at once where that lies partly off the bed too', () => {
    const stock = board(3, 60, 40);
    const { remedy, measure } = found(outline(-10, -5), { stock });
    expect(remedy).toBe(
      'Move the job 11.5 mm to the right and 6.5 mm back; it fits the bed and the board then.',
    );
    const there = outline(-10 + 11.5, -5 + 6.5);
    expect(measure.shift_mm).toEqual([11.5, 6.5]);
    expect(run(there, wide, { stock }).findings.map(({ kind }) => kind)).not.toContain('off-stock');
    expect(found(there, { stock })).toBeUndefined();
    // Where the board itself lies beyond the bed, no way of the job mends it.
    expect(found(outline(380, 5), { stock: { ...stock, xMm: 385 } }).remedy).toContain(
      'itself lies partly beyond the bed',
    );
  });
});
