import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readMaterial } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { explainMachine } from '../../src/explain/explain.ts';
import { forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { checkMotion } from '../../src/motion/motion.ts';
import { reportOf } from '../../src/report.ts';
import { fuzz, oddValue, soundOrRefused, spoiled, timeoutMs } from './fuzzing.ts';
import { anyMachine } from './machines.ts';

const WOOD = shippedMaterials.basswood!;

describe('profiles: a sound one, or one plain sentence', () => {
  test(
    'anything at all',
    () => {
      fuzz(oddValue, (value) => {
        soundOrRefused(() => readMachine(value, 'gantry.json'));
        soundOrRefused(() => readMaterial(value, 'wood.json'));
      });
    },
    timeoutMs(5),
  );

  test(
    'machine profiles with odd fields; those that pass can be explained',
    () => {
      const files = fc.oneof(anyMachine, fc.constantFrom(...Object.values(demoMachines)));
      fuzz(spoiled(files), (value) => {
        const machine = soundOrRefused(() => readMachine(value, 'gantry.json'));
        if (machine) expectWords(explainMachine(machine, value));
      });
    },
    timeoutMs(5),
  );

  test(
    'material profiles with odd fields',
    () => {
      fuzz(
        spoiled(fc.constantFrom(...Object.values(shippedMaterials))),
        (value) => void soundOrRefused(() => readMaterial(value, 'wood.json')),
      );
    },
    timeoutMs(10),
  );
});

describe('whatever machine the schema lets through', () => {
  const SHARE = 0.02;
  const JOB =
    'G21 G90\nM4 S0\nG0 X1 Y1\nG1 X4 S500 F1200\nG2 X6 Y3 I0 J2\nG1 Z-1\nY5 S900\nG4 P0.01\nM3 S300\n' +
    'G1 X2 F60000\nX1.9 S20\nX1.8 S0\nX1.5 S255\nY5.2\nX2 Z2\nM106 S9\nG0 X0 Y0\nM5\n';
  const stock = { widthMm: 8, heightMm: 7, thicknessMm: 3, xMm: 0, yMm: 0 };

  test(
    'a small job is forecast with finite numbers, and no light is lost',
    () => {
      fuzz(
        anyMachine,
        (file) => {
          const machine = readMachine(file);
          const made = forecast(JOB, machine, WOOD, { stock, cellMm: 0.25 });
          checkMotion(made.motion);
          const { grid, energyJ, outsideJ } = made.dose;
          expect(Number.isFinite(made.motion.durationS) && Number.isFinite(energyJ)).toBe(true);
          let landed = 0;
          for (const dose of grid.data) {
            if (!(dose >= 0 && dose < Infinity)) throw new Error(`found a dose of ${dose}`);
            landed += dose * grid.cellMm ** 2;
          }
          // Cells are single precision: a long rest adds to one many times.
          expect(Math.abs(landed + outsideJ - energyJ)).toBeLessThanOrEqual(1e-3 * energyJ + 1e-30);
          expectFinite(reportOf(made));
          expectWords(explainMachine(machine, file));
        },
        SHARE,
      );
    },
    timeoutMs(2000, SHARE),
  );
});

/** Nothing that a person reads is a number that is none. */
function expectWords(explanation: ReturnType<typeof explainMachine>): void {
  for (const { heading, sentences } of explanation.parts) {
    if (heading === 'Notes') continue;
    for (const { text } of sentences) expect(text).not.toMatch(/NaN|Infinity|undefined|null|e[+-]\d/);
  }
}

/** No number in the report is NaN or infinite: JSON would write null for it. */
function expectFinite(value: unknown, at = 'report'): void {
  if (typeof value === 'number' && !Number.isFinite(value)) throw new Error(`found ${value} in ${at}`);
  if (typeof value === 'string' && /NaN|Infinity|undefined/.test(value))
    throw new Error(`found “${value}” in ${at}`);
  if (typeof value !== 'object' || value === null) return;
  for (const [key, inner] of Object.entries(value)) {
    if (at === 'report' && key === 'machine') continue; // whatever the person called it
    expectFinite(inner, `${at}.${key}`);
  }
}
