import { expect, test } from 'vitest';
import { asksForLight, burnsAtFeed, isLit, isLitAtRest, speedRatio } from '../../src/program/beam-on.ts';
import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL } from '../../src/program/program.ts';

/** Every combination of power mode, S and modal motion, by the words of the standard and the profile's own. */
const beam = { s: [] as number[], powerMode: [] as number[], rapid: [] as number[] };
for (const mode of [POWER_OFF, POWER_CONSTANT, POWER_PROPORTIONAL]) {
  for (const s of [0, 300]) {
    for (const rapid of [0, 1]) {
      beam.powerMode.push(mode);
      beam.s.push(s);
      beam.rapid.push(rapid);
    }
  }
}
const where = (test: (k: number) => boolean): string[] =>
  beam.s.flatMap((s, k) =>
    test(k) ? [`${['M5', 'M3', 'M4'][beam.powerMode[k]!]} S${s} G${1 - beam.rapid[k]!}`] : [],
  );

test('light is asked for by a power mode and an S', () => {
  expect(where((k) => asksForLight(beam, k))).toEqual([
    'M3 S300 G1',
    'M3 S300 G0',
    'M4 S300 G1',
    'M4 S300 G0',
  ]);
});

test('rapids are dark unless the machine fires on them', () => {
  expect(where((k) => isLit(beam, k, false))).toEqual(['M3 S300 G1', 'M4 S300 G1']);
  expect(where((k) => isLit(beam, k, true))).toEqual(where((k) => asksForLight(beam, k)));
  expect(where((k) => burnsAtFeed(beam, k))).toEqual(['M3 S300 G1', 'M4 S300 G1']);
});

test('at rest constant power goes on and proportional power is zero', () => {
  expect(where((k) => isLitAtRest(beam, k, false))).toEqual(['M3 S300 G1']);
  expect(where((k) => isLitAtRest(beam, k, true))).toEqual(['M3 S300 G1', 'M3 S300 G0']);
});

test('proportional power follows the speed, where a feed is known', () => {
  const moves = {
    powerMode: [POWER_CONSTANT, POWER_PROPORTIONAL, POWER_PROPORTIONAL],
    feedMmPerS: [20, 20, 0],
  };
  expect([0, 1, 2].map((k) => speedRatio(moves, k, 5))).toEqual([1, 0.25, 1]);
});
