import { describe, expect, test } from 'vitest';
import { demoMachines } from '../../src/demo/index.ts';
import { doubtSentence, doubtsOf } from '../../src/explain/doubts.ts';
import { explainMachine } from '../../src/explain/explain.ts';
import { ASSUMED_MACHINE } from '../../src/machine/assumed.ts';
import { type MachineFile, readMachine } from '../../src/machine/profile.ts';
import { machineWith } from '../support/machines.ts';

const with_ = (file: Partial<MachineFile>): string[] =>
  doubtsOf(readMachine({ laser: { optical_power_w: 10 }, ...file }));

/** What machines have: common practice, no source. */
describe('what looks like a slip is asked about', () => {
  test('a usual machine has nothing to be asked', () => {
    const usual = [ASSUMED_MACHINE, ...Object.values(demoMachines)].map((file) => readMachine(file));
    for (const machine of [...usual, machineWith()]) {
      expect(doubtsOf(machine)).toEqual([]);
      expect(doubtSentence(machine)).toBeNull();
    }
    expect(with_({ laser: { optical_power_w: 240, wavelength_nm: 10_600 } })).toEqual([]);
    expect(with_({ max_speed_mm_s: [500 / 60, 500 / 60, 1], acceleration_mm_s2: [10, 10, 10] })).toEqual([]);
  });

  test.each<[string, Partial<MachineFile>, RegExp | null]>([
    ['light just usual', { laser: { optical_power_w: 100 } }, null],
    [
      'electrical power',
      { laser: { optical_power_w: 101 } },
      /^101 W of light \(is that the electrical power\?/,
    ],
    ['mW', { laser: { optical_power_w: 5000 } }, /^5000 W of light \(5 W, given in mW\?\)$/],
    ['kW', { laser: { optical_power_w: 0.01 } }, /^0\.01 W of light \(10 W, given in kW\?\)$/],
    ['a strong tube', { laser: { optical_power_w: 501, wavelength_nm: 10_600 } }, /^501 W of light/],
    ['wide spot just usual', { spot: { width_mm: [2, 0.1] } }, null],
    ['µm', { spot: { width_mm: [80, 100] } }, /^a spot of 80 × 100 mm \(0\.08 × 0\.1 mm, given in µm\?\)$/],
    ['inches', { spot: { width_mm: [0.006, 0.008] } }, /0\.152 × 0\.203 mm, given in inches\?/],
    [
      'one width',
      { spot: { width_mm: [2.1, 0.2] } },
      /^a spot of 2\.1 × 0\.2 mm \(usual are 0\.01 to 2; is the unit right\?\)$/,
    ],
    ['fast just usual', { max_speed_mm_s: [1500, 1500, 10] }, null],
    [
      'mm/min for mm/s',
      { max_speed_mm_s: [6000, 6000, 10] },
      /^a top speed of 6000 mm\/s along x and y \(100 mm\/s, that is mm\/min given as mm\/s\?\)$/,
    ],
    [
      'mm/s for mm/min',
      { max_speed_mm_s: [166 / 60, 50, 10] },
      /^a top speed of 166 mm\/min along x \(166 mm\/s, given as mm\/min\?\)$/,
    ],
    ['slow just usual', { max_speed_mm_s: [8, 8, 1] }, null],
    ['m/s²', { acceleration_mm_s2: [1, 1, 1] }, /1000 mm\/s², given in m\/s²\?/],
    [
      'mm/min²',
      { acceleration_mm_s2: [1.8e6, 500, 50] },
      /^an acceleration of 1800000 mm\/s² along x \(500 mm\/s², given in mm\/min²\?\)$/,
    ],
    ['bed in inches', { work_area_mm: [15.75, 16] }, /400.05 × 406.4 mm, given in inches\?/],
    ['bed in µm', { work_area_mm: [90_000, 90_000] }, /90 × 90 mm, given in µm\?/],
  ])('%s', (_name, file, doubt) => {
    const doubts = with_(file);
    expect(doubts).toHaveLength(doubt === null ? 0 : 1);
    if (doubt) expect(doubts[0]).toMatch(doubt);
  });

  test('both axes are told when they differ, and --check tells all in front', () => {
    const file = { laser: { optical_power_w: 200 }, max_speed_mm_s: [2000, 3000, 5] };
    const machine = readMachine(file);
    expect(doubtsOf(machine)).toHaveLength(3);
    const [first] = explainMachine(machine, file).parts;
    expect(first!.heading).toBe('What looks like a slip');
    expect(first!.sentences.map(({ text }) => text)).toEqual(
      doubtsOf(machine).map((each) => `It has ${each}.`),
    );
    expect(first!.sentences.every(({ isDoubtful }) => isDoubtful)).toBe(true);
    expect(doubtSentence(machine)).toMatch(
      /^Look again at the machine profile: it has 200 W of light .*along y .*\.$/,
    );
  });
});
