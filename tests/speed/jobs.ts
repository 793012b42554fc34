import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { below, seeded } from '../support/random.ts';

export const TIMED_MACHINE: Machine = readMachine({
  name: 'timed machine',
  max_speed_mm_s: [200, 200, 10],
  acceleration_mm_s2: [3000, 3000, 50],
  laser: { optical_power_w: 10 },
  spot: { width_mm: [0.15, 0.15] },
});

/** Jobs of any size, the same for the same seed, as a person's program would write them. */
export interface TimedJob {
  readonly name: string;
  readonly text: string;
  readonly stock: string;
}

const n = (value: number): string => String(Number(value.toFixed(4)));

/**
 * A grey picture as a raster: rows 0.1 mm apart in turn to the right and to the left, 0.1 mm steps with their
 * own S, overscan at both ends. A square picture of about `moves` moves.
 */
export function greyRaster(moves: number, seed = 1): TimedJob {
  const random = seeded(seed);
  const side = Math.max(8, Math.round(Math.sqrt(moves)));
  const step = 0.1;
  const size = side * step;
  const lines = ['G21', 'G90', 'M4 S0', 'G0 X5 Y5', 'G1 F6000'];
  for (let row = 0; row < side; row++) {
    const right = row % 2 === 0;
    const y = 5 + row * step;
    lines.push(`X${n(right ? 5 : 9 + size)} Y${n(y)} S0`);
    for (let k = 0; k <= side; k++) {
      const x = 7 + (right ? k : side - k) * step;
      const grey = k === 0 ? 0 : 100 + below(random, 700);
      lines.push(`G1 X${n(x)} S${grey}`);
    }
    lines.push(`X${n(right ? 9 + size : 5)} S0`);
  }
  lines.push('M5', '');
  const board = Math.ceil(size + 14);
  return { name: `grey raster, ${moves} moves`, text: lines.join('\n'), stock: `${board}x${board}x4@0,0` };
}

/** One long curve of tiny moves in all directions: a wavering spiral. */
export function longCurve(moves: number): TimedJob {
  const lines = ['G21 G90', 'M3 S0', 'G0 X60 Y60', 'G1 F1800 S400'];
  for (let k = 1; k <= moves; k++) {
    const turn = 0.79 * Math.sqrt(k); // even steps of 0.05 mm on turns 1 mm apart
    const radius = 0.16 * turn * (1 + 0.02 * Math.sin(7 * turn)) + 1;
    lines.push(`X${n(60 + radius * Math.cos(turn))} Y${n(60 + radius * Math.sin(turn))}`);
  }
  lines.push('M5', '');
  return { name: `curve, ${moves} moves`, text: lines.join('\n'), stock: '120x120x4@0,0' };
}

/** Outlines full of arcs: rows of scalloped rings. */
export function arcOutlines(rings: number): TimedJob {
  const lines = ['G21 G90', 'M4 S0'];
  const across = Math.ceil(Math.sqrt(rings));
  for (let k = 0; k < rings; k++) {
    const x = 10 + (k % across) * 12;
    const y = 10 + Math.floor(k / across) * 12;
    lines.push(`G0 X${n(x - 4)} Y${n(y - 4)}`, 'G1 F900 S900');
    for (const [dx, dy] of [
      [2, 0],
      [0, 2],
      [-2, 0],
      [0, -2],
    ] as const) {
      for (let s = 0; s < 4; s++) lines.push(`G91 G2 X${dx} Y${dy} R1.2`);
    }
    lines.push('G90 S0');
  }
  lines.push('M5', '');
  const board = across * 12 + 20;
  return { name: `arcs, ${rings * 16} of them`, text: lines.join('\n'), stock: `${board}x${board}x4@0,0` };
}
