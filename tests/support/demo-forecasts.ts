import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { DemoJobName } from '../../src/demo/catalogue.ts';
import { type DemoJob, demoJobs } from '../../src/demo/index.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { benchGantry, workshopGantry } from './demo-machines.ts';

export const demoJob = (name: DemoJobName): DemoJob => demoJobs.find((job) => job.name === name)!;

/** The forecasts of the jobs that many tests read; the others are larger. */
const markers: Partial<Record<DemoJobName, Promise<Forecast>>> = {};

/** A job of the demo on its own machine, wood and board, as it stands; for who only reads it. */
export function demoForecast(name: DemoJobName): Promise<Forecast> {
  if (name === 'marker' || name === 'marker-careful') return (markers[name] ??= forecastDemo(name));
  return forecastDemo(name);
}

async function forecastDemo(name: DemoJobName): Promise<Forecast> {
  const { machine, material, stock, readText } = demoJob(name);
  const gantry = machine === 'bench-gantry' ? benchGantry : workshopGantry;
  return forecast(await readText(), gantry, shippedMaterials[material]!, { stock });
}
