import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { depositStepMm, startDeposit } from '../../src/dose/deposit.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { integrate } from '../../src/grid.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { moveLimits } from '../../src/motion/limits.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { TOLERANCES } from './tolerances.ts';

interface Case {
  name: string;
  gcode: string;
  duration_s: number;
  energy_j: number;
  first_moves: Record<
    'line' | 'length_mm' | 'nominal_mm_s' | 'acceleration_mm_s2' | 'entry_mm_s' | 'peak_mm_s' | 'exit_mm_s',
    number
  >[];
  grid: { x0_mm: number; y0_mm: number; cell_mm: number; nx: number; ny: number };
  dose_j_mm2: { i: number; j: number; dose: number }[];
  grid_energy_j: number;
}

/**
 * Worked by an independent brute-force reference: time stepping, spot averaged over each cell with erf, double
 * precision. `tolerances.ts` says how closely all agrees.
 */
const { machine: profile, cases } = JSON.parse(
  readFileSync(new URL('../fixtures/motion-cases.json', import.meta.url), 'utf8'),
) as { machine: unknown; cases: Case[] };
const machine = readMachine(profile);

describe.each(cases)('worked case $name', (worked) => {
  const program = readProgram(worked.gcode, {
    arcToleranceMm: machine.arc_tolerance_mm,
    dwellUnit: machine.dwell_unit,
  });
  const motion = planMotion(program, machine);
  const { x0_mm, y0_mm, cell_mm, nx, ny } = worked.grid;
  const deposit = startDeposit(machine.spot, { x0Mm: x0_mm, y0Mm: y0_mm, cellMm: cell_mm, nx, ny });
  walkBeam(motion, machine, depositStepMm(machine.spot), deposit);
  const dose = deposit.finish();

  test('duration', () => {
    expect(Math.abs(motion.durationS / worked.duration_s - 1)).toBeLessThan(TOLERANCES.duration.relative);
  });

  test('the first moves, number by number', () => {
    const limits = moveLimits(program.moves, machine);
    worked.first_moves.forEach((move, i) => {
      expect(program.moves.line[i]).toBe(move.line);
      expect(motion.lengthMm[i]).toBeCloseTo(move.length_mm, 4);
      expect(limits.nominalMmPerS[i]).toBeCloseTo(move.nominal_mm_s, 4);
      expect(motion.accelMmPerS2[i]).toBeCloseTo(move.acceleration_mm_s2, 3);
      expect(motion.entryMmPerS[i]).toBeCloseTo(move.entry_mm_s, 4);
      expect(motion.peakMmPerS[i]).toBeCloseTo(move.peak_mm_s, 4);
      expect(motion.entryMmPerS[i + 1]).toBeCloseTo(move.exit_mm_s, 4);
    });
  });

  test('energy, emitted and on the grid', () => {
    expect(Math.abs(dose.energyJ / worked.energy_j - 1)).toBeLessThan(TOLERANCES.energy.relative);
    expect(Math.abs(integrate(dose.grid) / worked.grid_energy_j - 1)).toBeLessThan(
      TOLERANCES.energy.relative,
    );
  });

  test('dose at sampled cells', () => {
    const largest = Math.max(...worked.dose_j_mm2.map((cell) => cell.dose));
    for (const cell of worked.dose_j_mm2) {
      expect(Math.abs(dose.grid.data[cell.j * nx + cell.i]! - cell.dose)).toBeLessThan(
        TOLERANCES.dose.relative * largest,
      );
    }
  });
});
