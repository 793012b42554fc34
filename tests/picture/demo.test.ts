import { describe, test } from 'vitest';
import { labOf } from '../../src/burn/respond.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import { demoJobs, demoMachines } from '../../src/demo/index.ts';
import { forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { burnPicture } from '../../src/picture/burn-picture.ts';
import { dosePicture } from '../../src/picture/dose-picture.ts';
import { sampledTonePath } from '../../src/picture/tone.ts';
import { expectPicture } from './snapshot.ts';

/** The demo's pictures, whole road and all; the README shows them. */
describe.each(['marker', 'marker-careful'])('the demo’s %s', (name) => {
  test('burns and is dosed as its snapshots show', async () => {
    const job = demoJobs.find((each) => each.name === name)!;
    const material = shippedMaterials[job.material]!;
    const made = forecast(await job.readText(), readMachine(demoMachines[job.machine]), material, {
      stock: job.stock,
    });
    const options = {
      stock: made.board,
      stockThicknessMm: job.stock.thicknessMm,
      title: job.title,
      longSidePx: 1000,
    };
    const tonePath = sampledTonePath((tone) => labOf(tone, material));
    expectPicture(`demo-${name}`, burnPicture(made.burn, { ...options, tonePath }, drawSvg));
    expectPicture(`demo-${name}-dose`, dosePicture(made.dose.grid, options, drawSvg));
  });
});
