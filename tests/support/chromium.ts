import chromium from '@sparticuz/chromium';
import { type Browser, type BrowserServer, chromium as driver, type LaunchOptions } from 'playwright-core';

/**
 * A headless Chromium that comes from the package registry alone, with software WebGL and no network of its own. What
 * its package switches off of the rules for pages is left on: a page from disk must work by those it meets at people's.
 */
const options = async (): Promise<LaunchOptions> => ({
  executablePath: await chromium.executablePath(),
  args: [
    ...chromium.args.filter(
      (flag) =>
        !/^--(use-gl|use-angle|headless|single-process|no-zygote)/.test(flag) &&
        !/web-security|insecure-content|isolation/i.test(flag),
    ),
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

/** One for whoever asks. Close it when done. */
export const openChromium = async (): Promise<Browser> => driver.launch(await options());

/**
 * What saves time where nobody measures it. Only what WebGL draws is drawn by the graphics card, which is software here:
 * to put the page around it together that way too takes twice the processor's time. No page lives long: the last and
 * dearest step of compiling its scripts is left out, and it has room from the beginning. Nor do threads of its own help
 * to compile and to clear away: on two cores they only wait for each other.
 */
export const FOR_SHORT_VISITS = [
  '--disable-gpu-compositing',
  '--js-flags=--no-turbofan --initial-heap-size=512 --single-threaded',
];

/** One for many, who connect to it by its address; as people have it, but for these flags. Close it when done. */
export const serveChromium = async (flags: readonly string[] = []): Promise<BrowserServer> => {
  const { args = [], ...rest } = await options();
  return driver.launchServer({ ...rest, args: [...args, ...flags] });
};
