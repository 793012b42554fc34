import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';
import { build, type Rollup } from 'vite';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { reportOf } from '../../src/report.ts';
import { nodeStubs } from '../../vite.config.ts';
import { demoForecast, demoJob } from '../support/demo-forecasts.ts';
import { connectChromium } from '../support/one-browser.ts';

const path = (relative: string) => fileURLToPath(new URL(relative, import.meta.url));

/** The library as a browser gets it: one script, nothing of Node in it, that leaves `charcast` on the page. */
async function browserScript(): Promise<string> {
  const built = (await build({
    configFile: false,
    logLevel: 'error',
    resolve: { alias: nodeStubs },
    build: {
      write: false,
      minify: true, // comments of libraries speak of Node
      target: 'es2023',
      lib: { entry: path('../../src/index.ts'), formats: ['iife'], name: 'charcast' },
    },
  })) as Rollup.RollupOutput[];
  return built[0]!.output[0].code;
}

/** Position-weighted sum of a grid: tells any two different grids apart. */
const checksum = (data: ArrayLike<number>): number => {
  let sum = 0;
  for (let k = 0; k < data.length; k++) sum += data[k]! * (1 + (k % 1009));
  return sum;
};

describe('the same numbers in a browser', () => {
  let browser: Browser;
  let script = '';
  beforeAll(async () => {
    [browser, script] = await Promise.all([connectChromium(), browserScript()]);
  }, 60_000);
  afterAll(() => browser?.close());

  test('the bundle asks for nothing of Node', () => {
    expect(script).not.toMatch(/require\(|from ['"](node:)?(fs|stream|events|timers)['"]/);
  });

  test('the demo’s marker, forecast in Chromium, equals Node number for number', async () => {
    const text = await demoJob('marker').readText();
    const here = await demoForecast('marker');
    const { machine, material, stock } = here;

    const page = await browser.newPage();
    await page.setContent('<!doctype html><title>charcast</title>');
    await page.addScriptTag({ content: script });
    const there = await page.evaluate(
      ({ text, machine, material, stock, checksumSource }) => {
        const { charcast } = globalThis as unknown as { charcast: typeof import('../../src/index.ts') };
        const made = charcast.forecast(text, machine, material, { stock });
        const check = new Function(`return ${checksumSource}`)() as (data: ArrayLike<number>) => number;
        return {
          report: charcast.reportOf(made),
          dose: check(made.dose.grid.data),
          tone: check(made.burn.tone),
          depth: check(made.burn.depthMm),
        };
      },
      { text, machine, material, stock, checksumSource: checksum.toString() },
    );
    await page.close();
    const { timing_ms: _there, ...reportThere } = there.report;
    const { timing_ms: _here, ...reportHere } = JSON.parse(JSON.stringify(reportOf(here)));
    expect(reportThere).toEqual(reportHere);
    // The two engines may round exp and sqrt's neighbours differently in the last bit.
    expect(there.dose / checksum(here.dose.grid.data)).toBeCloseTo(1, 9);
    expect(there.tone / checksum(here.burn.tone)).toBeCloseTo(1, 6);
    expect(there.depth / checksum(here.burn.depthMm)).toBeCloseTo(1, 6);
  }, 60_000);
});
