import { test } from 'vitest';
import { shippedMaterials } from '/work/main/src/burn/shipped.ts';
import { readStock } from '/work/main/src/cli/stock.ts';
import { forecast } from '/work/main/src/forecast.ts';
import { readMachine } from '/work/main/src/machine/profile.ts';
import { greyRaster } from '/work/main/tests/bench/jobs.ts';

test('m', () => {
  for (const laser of [{}, { rise_time_ms: 0.05 }, { power_levels: 255, threshold_fraction: 0.03 }])
    for (const n of [1e5, 2e5, 1e6]) {
      const job = greyRaster(n);
      const machine = readMachine({
        laser: { optical_power_w: 8, ...laser },
        spot: { width_mm: [0.15, 0.15] },
      });
      for (let k = 0; k < 2; k++) {
        const f = forecast(job.text, machine, shippedMaterials['poplar plywood']!, {
          stock: readStock(job.stock),
          cellMm: 0.05,
        });
        console.log(JSON.stringify(laser), n, f.dose.grid.nx * f.dose.grid.ny, JSON.stringify(f.timingMs));
      }
    }
}, 100000);
