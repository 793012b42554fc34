import { expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { machineWith } from '../support/machines.ts';
import { seeded } from '../support/random.ts';
import { poplar, ROUGH, told } from './pairs.ts';

/** Random jobs set up as they should be: no finding, whatever the machine, the size and the speed. */

interface Bench {
  readonly machine: ReturnType<typeof machineWith>;
  readonly random: () => number;
}

function randomBench(seed: number): Bench {
  const random = seeded(seed);
  const accel = 400 + 2600 * random();
  const width = 0.08 + 0.15 * random();
  const machine = machineWith({
    work_area_mm: [400, 400],
    max_speed_mm_s: [200, 150, 10],
    acceleration_mm_s2: [accel, accel * (0.7 + 0.3 * random()), 50],
    cornering:
      random() < 0.5
        ? { rule: 'junction-deviation', deviation_mm: 0.01 + 0.03 * random() }
        : { rule: 'speed-step', step_mm_s: 3 + 10 * random() },
    lookahead_moves: random() < 0.5 ? null : 32,
    laser: { optical_power_w: 2 + 10 * random(), s_max: random() < 0.5 ? 1000 : 255 },
    spot: { width_mm: [width, width * (0.8 + 0.8 * random())] },
  });
  return { machine, random };
}

/** A filled rectangle, there and back, with overscan enough and rows that run together. */
function raster({ machine, random }: Bench): string {
  const { s_max, optical_power_w: watts } = machine.laser;
  const constant = random() < 0.5;
  const [left, low] = [60 + 20 * random(), 20 + 20 * random()];
  const [wide, high] = [15 + 25 * random(), 3 + 3 * random()];
  const spacing = 0.2 * machine.spot.width_mm[1] + 0.25 * machine.spot.width_mm[1] * random();
  const share = 0.1 + 0.8 * random();
  // From a light tan to a dark brown; speeds up to what the machine can do.
  const wantedJPerMm2 = 0.25 + 0.8 * random();
  const speed = Math.min(120, (watts * share) / (wantedJPerMm2 * spacing));
  const over = (1.1 * speed ** 2) / (2 * machine.acceleration_mm_s2[0]) + 0.1;
  const lines = [`G21 G90`, `${constant ? 'M3' : 'M4'} S0`];
  for (let y = low, k = 0; y < low + high; y += spacing, k++) {
    const [a, b] = k % 2 ? [left + wide, left] : [left, left + wide];
    const on = Math.sign(b - a) * over;
    const at = (x: number) => x.toFixed(3);
    lines.push(`${k ? 'G1' : 'G0'} X${at(a - on)} Y${at(y)} S0`, `G1 X${at(a)} F${(speed * 60).toFixed(2)}`);
    lines.push(`X${at(b)} S${(share * s_max).toFixed(1)}`, `X${at(b + on)} S0`);
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

/** Polygons, squares and circles scored with proportional power, each in its own place. */
function outlines({ machine, random }: Bench): string {
  const { s_max } = machine.laser;
  const feed = 600 + 1200 * random();
  const lines = ['G21 G90', 'M4 S0'];
  for (let k = 0; k < 12; k++) {
    const [x, y] = [20 + (k % 4) * 26, 20 + Math.floor(k / 4) * 26];
    const radius = 5 + 7 * random();
    const corners = k % 3 === 0 ? 180 : 3 + Math.floor(6 * random());
    const turn = random() * 7;
    const at = (n: number) => {
      const angle = turn + (2 * Math.PI * n) / corners;
      return `X${(x + radius * Math.cos(angle)).toFixed(3)} Y${(y + radius * Math.sin(angle)).toFixed(3)}`;
    };
    lines.push(`G0 ${at(0)}`);
    for (let n = 1; n <= corners; n++)
      lines.push(`G1 ${at(n)} S${(0.4 * s_max).toFixed(0)} F${feed.toFixed(0)}`);
  }
  return `${lines.join('\n')}\nM5\nM2\n`;
}

test.each([
  ['rasters', raster, 40],
  ['outlines', outlines, 10],
] as const)('well-made %s have no finding', (_, make, count) => {
  for (let seed = 1; seed <= count; seed++) {
    const bench = randomBench(seed);
    const { findings } = forecast(make(bench), bench.machine, poplar, ROUGH);
    expect(findings.map(told), `seed ${seed}`).toEqual([]);
  }
});
