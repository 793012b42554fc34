import { expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { cutSentence } from '../../src/findings/evidence/cut-forecast.ts';
import { forecast } from '../../src/forecast.ts';
import { learn } from '../../src/outcome/learn.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { tellBurn } from '../../src/outcome/tell.ts';
import { jointOf } from '../../src/sure/together.ts';
import { machineWith } from '../support/machines.ts';

/** A burn told of, as command line and page both tell it. */

const wood = shippedMaterials['poplar plywood']!;
const machine = machineWith({ spot: { width_mm: [0.15, 0.15] } });
const stock = { widthMm: 30, heightMm: 20, thicknessMm: 3, xMm: 0, yMm: 0 };
const job = 'G21 G90\nM3 S0\nG0 X3 Y12\nG1 X27 S1000 F400\nM5\nM2\n';
const burn = { date: '2026-05-01', job: 'job.nc', jobHash: 'abc' };
const options = { name: 'my wood', machineName: null, picture: null, cellMm: 0.25 };

test('the wood gets its name, the entry says what was learned and told, and each cut is forecast anew', () => {
  const made = forecast(job, machine, wood, { stock, cellMm: 0.25 });
  const told = readSaid('2.6 mm');
  const { material, entry, cuts, sentence } = tellBurn(made, told, burn, options);
  expect(material).toEqual({ ...learn(made, told, burn).material, name: 'my wood' });
  expect(sentence).toMatch(/^Learned: /);
  expect(entry).toMatchObject({
    job: 'job.nc',
    job_hash: 'abc',
    learned_as: 'my wood',
    machine: machine.name,
  });
  expect(entry.operations.map(({ n, said, depth_mm }) => [n, said, depth_mm])).toEqual([[1, '2.6 mm', 2.6]]);
  const now = forecast(job, machine, material, { stock, cellMm: 0.25 });
  expect(cuts).toEqual(now.cuts.map(cutSentence));
  expect(cuts).toHaveLength(1);
  expect(cuts[0]).toMatch(/^Operation 1, taken for a cut, /);
});

test('a machine that is kept under another name goes together with the wood that was learned with it', () => {
  const made = forecast(job, machine, wood, { stock, cellMm: 0.25 });
  const both = tellBurn(made, readSaid('2.6 mm'), burn, { ...options, machineName: 'mine' });
  expect(both.machine.name).toBe('mine');
  expect(both.machine.laser.optical_power_w).toBeLessThan(machine.laser.optical_power_w);
  // Only with its own machine does a wood know how its numbers and the machine's hang together.
  expect(jointOf(both.material, both.machine)!.names).toContain('optical_power');
  expect(jointOf(both.material, machine)!.names).not.toContain('optical_power');
});

test('the same told of the same job on one day is said to count twice', () => {
  const made = forecast(job, machine, wood, { stock, cellMm: 0.25 });
  const { material, remarks } = tellBurn(made, readSaid('2.6 mm'), burn, options);
  expect(remarks.join(' ')).not.toMatch(/counts twice/);
  const again = forecast(job, machine, material, { stock, cellMm: 0.25 });
  expect(tellBurn(again, readSaid('2.6 mm'), burn, options).remarks.join(' ')).toMatch(/counts twice/);
  const other = { ...burn, jobHash: 'abd' };
  expect(tellBurn(again, readSaid('2.6 mm'), other, options).remarks.join(' ')).not.toMatch(/counts twice/);
});

test('what is too far off to be believed is not said to go with the profiles', () => {
  const made = forecast(job, machine, wood, { stock, cellMm: 0.25 });
  const { sentence, isContradictory } = tellBurn(made, readSaid('0.3 mm'), burn, options);
  expect(isContradictory).toBe(true);
  expect(sentence).toMatch(/^Nothing was learned: what was told is too far/);
});

test('and forecasts then stay as they were, and it is said what the profile keeps', () => {
  const made = forecast(job, machine, wood, { stock, cellMm: 0.25 });
  const both = tellBurn(made, readSaid('0.3 mm'), burn, { ...options, machineName: machine.name });
  expect(both.cuts).toEqual([]);
  expect(both.remarks.join(' ')).toMatch(
    /No number is learned .* only notes what was told, .* half as sure\./,
  );
  expect(both.material.learned!.doubt).toBeGreaterThan(1);
  expect(both.machine.laser.optical_power_w).toBeCloseTo(machine.laser.optical_power_w, 6);
  const after = forecast(job, both.machine, both.material, { stock, cellMm: 0.25 });
  expect(made.cuts[0]!.chanceThrough).toBeGreaterThan(0);
  expect(after.cuts).toEqual(made.cuts);
  expect(after.engravings).toEqual(made.engravings);
});

test('a fill that came out in the very tone its forecast states teaches nothing of the wood’s middle', () => {
  const rows = Array.from({ length: 30 }, (_, k) => {
    const [from, to, way] = k % 2 === 0 ? [5, 25, 1] : [25, 5, -1];
    return `G0 X${from! - 3 * way!} Y${(5 + k * 0.13).toFixed(2)}\nG1 X${from} F3000 S0\nX${to} S400\nX${to! + 3 * way!} S0\n`;
  });
  const fine = forecast(`G21 G90\nM4 S0\n${rows.join('')}M5\nM2\n`, machine, wood, { cellMm: 0.05 });
  const { tone } = fine.engravings[0]!;
  expect(tone).toBeGreaterThan(0.2);
  expect(tone).toBeLessThan(0.7);
  // Rows 0.13 mm apart under a spot of 0.15 mm get a third more on their path than a fill on the mean.
  const told = tellBurn(fine, readSaid(`tone ${(100 * tone).toFixed(1)}%`), burn, options);
  const ratio = told.material.full_char_j_mm2.value / wood.full_char_j_mm2.value;
  expect(Math.abs(Math.log(ratio))).toBeLessThan(0.03);
  const seen = tellBurn(fine, readSaid('as forecast'), burn, options).entry.operations[0]!;
  expect(seen.tone).toBeCloseTo(tone, 2);
});
