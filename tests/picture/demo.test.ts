import { describe, expect, test } from 'vitest';
import { adjustText } from '../../src/change/adjust-text.ts';
import { settle } from '../../src/change/advised.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import { forecast } from '../../src/forecast.ts';
import { burnPicture } from '../../src/picture/burn-picture.ts';
import { dosePicture } from '../../src/picture/dose-picture.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { demoForecast, demoJob } from '../support/demo-forecasts.ts';
import { expectPicture } from './snapshot.ts';

/** The demo's pictures, whole road and all; the README shows them. */
describe.each(['marker', 'marker-careful'] as const)('the demo’s %s', (name) => {
  test('burns and is dosed as its snapshots show', async () => {
    const job = demoJob(name);
    const made = await demoForecast(name);
    const options = {
      stock: made.board,
      stockThicknessMm: job.stock.thicknessMm,
      title: job.title,
      longSidePx: 1000,
    };
    const tonePath = tonePathOf(made.material);
    expectPicture(`demo-${name}`, burnPicture(made.burn, { ...options, tonePath }, drawSvg));
    expectPicture(`demo-${name}-dose`, dosePicture(made.dose.grid, options, drawSvg));
  });
});

/** What `charcast adjust --advised` makes of the first try: the README shows the two side by side. */
test('the first try with its advised changes burns as its snapshot shows, and nothing is left to find', async () => {
  const job = demoJob('marker');
  const before = await demoForecast('marker');
  const { machine, material } = before;
  expect(new Set(before.findings.map(({ kind }) => kind)).size).toBeGreaterThanOrEqual(3);
  const { changes } = settle(before, (tried) => forecastChanged(before, tried));
  const after = forecast(adjustText(await job.readText(), changes, machine), machine, material, {
    stock: job.stock,
  });
  expect(after.findings).toEqual([]);
  const options = {
    stock: after.board,
    stockThicknessMm: job.stock.thicknessMm,
    title: 'Basil marker, as advised',
    longSidePx: 1000,
  };
  expectPicture(
    'demo-marker-advised',
    burnPicture(after.burn, { ...options, tonePath: tonePathOf(material) }, drawSvg),
  );
});
