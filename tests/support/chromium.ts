import chromium from '@sparticuz/chromium';
import { type Browser, chromium as driver } from 'playwright-core';

/**
 * A headless Chromium that comes from the package registry alone, with software WebGL and no network of its
 * own. Close it when done.
 */
export async function openChromium(): Promise<Browser> {
  return driver.launch({
    executablePath: await chromium.executablePath(),
    args: [
      ...chromium.args.filter((flag) => !/^--(use-gl|use-angle|headless|single-process)/.test(flag)),
      '--use-gl=angle',
      '--use-angle=swiftshader',
      '--enable-unsafe-swiftshader',
      '--no-sandbox',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--no-first-run',
    ],
    headless: true,
  });
}
