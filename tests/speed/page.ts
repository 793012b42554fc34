import { hostedFiles } from '../../src/cli/viewer/files.ts';
import { serveFiles } from '../../src/cli/viewer/serve.ts';
import type { ForTheConsole } from '../../viewer/console.ts';
import { openChromium } from '../support/chromium.ts';

declare const charcast: ForTheConsole;

/**
 * How long the page takes with the demo, from the beginning of its load, ms: to the first picture of the burn, and
 * to the fine one. In headless Chromium with software WebGL; the viewer must have been built.
 */
export async function pageTimesMs(runs: number): Promise<{ firstPicture: number[]; fine: number[] }> {
  const { server, url } = await serveFiles(hostedFiles(), 0);
  const browser = await openChromium();
  const firstPicture: number[] = [];
  const fine: number[] = [];
  for (let run = 0; run < runs; run++) {
    const context = await browser.newContext({ viewport: { width: 1280, height: 720 } });
    const page = await context.newPage();
    await page.goto(url);
    await page.waitForFunction(() => charcast.settled, null, { timeout: 120_000 });
    firstPicture.push(await page.evaluate(() => charcast.firstPictureMs));
    fine.push(await page.evaluate(() => performance.now()));
    await context.close();
  }
  await browser.close();
  server.closeAllConnections();
  server.close();
  return { firstPicture, fine };
}
