import { describe, expect, test } from 'vitest';
import { demoMachines } from '../../src/demo/index.ts';
import { explainMachine } from '../../src/explain/explain.ts';
import { type MachineFile, readMachine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';

/** All sentences of a profile's explanation, one a line. */
const told = (file: object, laser: object = {}): string => {
  const profile = { ...file, laser: { optical_power_w: 8, ...laser } };
  return explainMachine(readMachine(profile), profile)
    .parts.flatMap(({ sentences }) => sentences.map(({ text }) => text))
    .join('\n');
};

describe('what follows from the numbers', () => {
  test('turning round takes v²/2a on each axis', () => {
    expect(told({ max_speed_mm_s: [100, 80, 10], acceleration_mm_s2: [500, 400, 50] })).toMatch(
      /needs 10 mm along x and 8 mm along y/,
    );
  });

  // Corner table of a centripetal rule for hobby controllers (S. Jeon, 2011): 90° at δ = 0.01 mm, a = 500 mm/s²
  // is 208.46 mm/min when one axis alone accelerates; into y out of x both do, so that a is 500·√2 along the
  // change of direction, and 208.46·2^¼ = 247.9.
  test('a right angle by junction deviation', () => {
    const file = {
      acceleration_mm_s2: [500, 500, 50],
      cornering: { rule: 'junction-deviation', deviation_mm: 0.01 },
    };
    expect(told(file)).toMatch(/takes a right angle at 247\.9 mm\/min/);
  });

  test('a right angle by steps of speed is the step itself; a bend of 30° is step/sin 30°', () => {
    expect(told({ cornering: { rule: 'speed-step', step_mm_s: 8 } })).toMatch(
      /takes a right angle at 480 mm\/min and a bend of 30° at 960 mm\/min/,
    );
  });

  test('no deviation: it rests at every corner', () => {
    expect(told({ cornering: { rule: 'junction-deviation', deviation_mm: 0 } })).toMatch(
      /comes to rest at every corner/,
    );
  });

  // N = 16, L = 0.1 mm, a = 500 mm/s²: 38.730 to 39.370 mm/s (v² = 2·a·s over what is known ahead).
  test('what the buffer allows on short moves', () => {
    expect(told({ lookahead_moves: 16 })).toMatch(/no faster than 2324 to 2362 mm\/min/);
    expect(told({ lookahead_moves: 1 })).toMatch(
      /only the move under way: .*no faster than 0 to 424\.3 mm\/min/,
    );
    expect(told({ lookahead_moves: 10_000 })).toMatch(/enough for full speed even in steps of 0\.1 mm/);
    expect(told({ lookahead_moves: null })).toMatch(/knows the whole job ahead/);
  });

  // 115200 baud is 11520 bytes a second: 576 lines of 20 bytes, 57.6 mm/s in steps of 0.1 mm.
  test('what the link allows on short moves', () => {
    const link = { baud: 115200, ack_bytes: 0, lines_per_second: null };
    expect(told({ link })).toMatch(/takes 1\.74 ms, 576 lines a second: .* no faster than 3456 mm\/min/);
    expect(told({ link: { ...link, lines_per_second: 100 } })).toMatch(/100 lines a second: .* 600 mm\/min/);
    expect(told({ link: null })).toMatch(/in time/);
  });

  test('power: levels, threshold, lag and delay', () => {
    const text = told(
      { max_speed_mm_s: [100, 100, 10] },
      { s_max: 1000, power_levels: 255, threshold_fraction: 0.03, rise_time_ms: 0.5, beam_delay_ms: -2 },
    );
    expect(text).toMatch(/255 levels of power: a step is 0\.392 %, or 3\.92 of S/);
    expect(text).toMatch(/Below 3 % of full power \(S30\) it stays dark/);
    expect(text).toMatch(/lag of 0\.5 ms: .* marks by 0\.05 mm/);
    // 2·v·delay
    expect(text).toMatch(/2 ms early: .* lie 0\.4 mm apart/);
  });

  // I₀ = 2P/(π·w²) for a Gaussian of 1/e² radius w; P over area when even.
  test.each([
    ['gaussian', '0.0079 mm²', '2000 W/mm²'],
    ['uniform-ellipse', '0.0079 mm²', '1000 W/mm²'],
    ['uniform-rectangle', '0.01 mm²', '800 W/mm²'],
  ])('area and middle of a %s spot of 0.1 mm at 8 W', (shape, area, intensity) => {
    const text = told({ spot: { shape, width_mm: [0.1, 0.1] } });
    expect(text).toContain(area);
    expect(text).toContain(intensity);
  });

  // z_R = π·w0²/(M²·λ): 450 nm, w0 = 50 µm, M² = 5 gives 3.491 mm; √(1 + (4/3.491)²) = 1.521.
  test('what the Rayleigh length means', () => {
    const text = told({ spot: { width_mm: [0.1, 0.1], rayleigh_mm: 3.491 } });
    expect(text).toMatch(/Up to 1\.6 mm out of focus it stays within a tenth/);
    expect(text).toMatch(/a board of 4 mm, 1\.52 times \(0\.15 mm\)/);
    expect(text).toMatch(/a beam quality M² of 5\.$/m);
  });

  test('a beam better than physics allows is doubted', () => {
    const profile: MachineFile = {
      laser: { optical_power_w: 5 },
      spot: { width_mm: [0.05, 0.05], rayleigh_mm: 20 },
    };
    const doubtful = explainMachine(readMachine(profile), profile)
      .parts.flatMap(({ sentences }) => sentences)
      .filter(({ isDoubtful }) => isDoubtful);
    expect(doubtful).toHaveLength(1);
    expect(doubtful[0]!.text).toMatch(/no beam of 450 nm can be below 1/);
  });
});

describe('the numbers are those of the planner', () => {
  const speedThrough = (steps: Step[], machine: ReturnType<typeof machineWith>, corner: number): number =>
    planMotion(programOf(steps), machine).entryMmPerS[corner]! * 60;

  test.each([
    { rule: 'junction-deviation', deviation_mm: 0.03 } as const,
    { rule: 'speed-step', step_mm_s: 7 } as const,
  ])('a right angle with $rule', (cornering) => {
    const machine = machineWith({
      cornering,
      acceleration_mm_s2: [900, 600, 50],
      max_speed_mm_s: [300, 300, 10],
    });
    const steps = [{ x: 200, feed: 300, power: 'constant' as const }, { y: 200 }];
    const text = explainMachine(machine, machine)
      .parts.flatMap((part) => part.sentences.map((s) => s.text))
      .join('\n');
    const said = Number(/right angle at ([\d.]+) mm\/min/.exec(text)![1]);
    expect(Math.abs(said / speedThrough(steps, machine, 1) - 1)).toBeLessThan(1e-3);
  });
});

describe('what is default is named so', () => {
  test('a bare profile', () => {
    const profile = { laser: { optical_power_w: 5 } };
    const { parts } = explainMachine(readMachine(profile), profile);
    const sentences = parts.flatMap((part) => part.sentences);
    const known = sentences.filter(({ defaults }) => defaults.length === 0);
    expect(known.map(({ text }) => text)).toEqual(['It gives up to 5 W of light.']);
  });

  test('a field that is half given', () => {
    const profile = { laser: { optical_power_w: 5 }, link: { baud: 9600 } };
    const { parts } = explainMachine(readMachine(profile), profile);
    expect(parts.find(({ heading }) => heading === 'The link')!.sentences[0]!.defaults).toEqual([
      'link.ack_bytes',
      'link.lines_per_second',
    ]);
  });

  test('the demo’s machines leave little to default, and nothing of theirs is doubtful', () => {
    for (const profile of Object.values(demoMachines)) {
      const { parts, name } = explainMachine(readMachine(profile), profile);
      const sentences = parts.flatMap((part) => part.sentences);
      expect(name).toMatch(/gantry/);
      expect(sentences.filter(({ isDoubtful }) => isDoubtful)).toEqual([]);
      expect(sentences.filter(({ defaults }) => defaults.length > 0).length).toBeLessThan(5);
      for (const { text } of sentences) expect(text).toMatch(/^[A-Z].*[.]$/);
    }
  });
});
