import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import type { Server } from 'node:http';
import { tmpdir } from 'node:os';
import { join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { BrowserContextOptions, Locator, Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { build } from 'vite';
import { afterAll, beforeAll, expect } from 'vitest';
import { broughtDemo } from '../../src/cli/commands/view.ts';
import { type BroughtJob, withJobs } from '../../src/cli/viewer/page.ts';
import { serveFiles } from '../../src/cli/viewer/serve.ts';
import { demoJobs } from '../../src/demo/index.ts';
import type { ForTheConsole } from '../../viewer/console.ts';
import { expectPicture } from '../picture/snapshot.ts';
import { openChromium } from '../support/chromium.ts';

/**
 * The viewer as people meet it: built afresh from its source, served by our own server, in a real Chromium
 * with software WebGL.
 */
interface World {
  /** Where it was built. */
  readonly folder: string;
  /** A page with these jobs in it, as `charcast view` serves them; without any, the demo. */
  readonly open: (options?: OpenOptions) => Promise<Page>;
  readonly close: () => Promise<void>;
}

interface OpenOptions extends BrowserContextOptions {
  readonly jobs?: readonly BroughtJob[];
  readonly at?: string;
}

const CONFIG = fileURLToPath(new URL('../../viewer/vite.config.ts', import.meta.url));

const BUILT = fileURLToPath(new URL('../../dist/viewer/', import.meta.url));

/** Builds one of the two forms of the viewer as people get it, not as a test runner would. */
async function buildViewer(mode: 'production' | 'page', outDir: string): Promise<void> {
  const { NODE_ENV } = process.env;
  process.env.NODE_ENV = 'production';
  try {
    await build({
      configFile: CONFIG,
      mode,
      logLevel: 'error',
      build: { outDir, emptyOutDir: mode !== 'page' },
    });
  } finally {
    process.env.NODE_ENV = NODE_ENV;
  }
}

/** What `charcast view` serves and saves: from `npm ci`, or made now where a tree has not been built. */
export async function needBuiltViewer(): Promise<void> {
  if (!existsSync(join(BUILT, 'index.html'))) await buildViewer('production', BUILT);
  if (!existsSync(join(BUILT, 'page.html'))) await buildViewer('page', BUILT);
}

/**
 * A world for the tests of one file, closed after the last of them: by then nothing may have gone wrong in any
 * page, errors nobody caught and what the page's policy refused among them.
 */
export function useWorld(): Pick<World, 'folder' | 'open'> {
  const faults: string[] = [];
  let world: World | undefined;
  beforeAll(async () => {
    world = await openWorld(faults);
  }, SLOW);
  afterAll(async () => {
    await world?.close();
    expect(faults).toEqual([]);
  });
  return {
    get folder() {
      return world!.folder;
    },
    open: (options) => world!.open(options),
  };
}

async function openWorld(faults: string[]): Promise<World> {
  const folder = mkdtempSync(join(tmpdir(), 'charcast-viewer-'));
  await buildViewer('production', folder);
  const files = new Map(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name))
      .map(
        (name) =>
          [`/${relative(folder, name).split(sep).join('/')}`, readFileSync(name)] as [string, Uint8Array],
      ),
  );
  const index = new TextDecoder().decode(files.get('/index.html'));
  const servers: Server[] = [];
  const serve = async (jobs: readonly BroughtJob[]): Promise<string> => {
    const own = new Map(files).set('/index.html', new TextEncoder().encode(withJobs(index, jobs)));
    const { server, url } = await serveFiles(own, 0);
    servers.push(server);
    return url;
  };
  const url = await serve([]);
  const browser = await openChromium();
  return {
    folder,
    async open({ jobs, at, ...options } = {}) {
      const context = await browser.newContext({
        viewport: { width: 1024, height: 640 },
        locale: 'en-GB',
        reducedMotion: 'reduce',
        ...options,
      });
      const page = await context.newPage();
      page.setDefaultTimeout(60_000);
      page.on('pageerror', (error) => faults.push(error.message));
      page.on('console', (said) => {
        if (said.type() === 'error') faults.push(said.text());
      });
      await page.goto(at ?? (jobs ? await serve(jobs) : url));
      return page;
    },
    async close() {
      await browser.close();
      for (const server of servers) {
        server.closeAllConnections();
        server.close();
      }
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

declare const charcast: ForTheConsole;

/** Until the fine forecast is on screen and nothing moves any more. */
export async function settle(page: Page): Promise<void> {
  await page.waitForFunction(() => charcast.settled);
  await still(page);
}

/** Until nothing is being drawn, twice in a row. */
export async function still(page: Page): Promise<void> {
  for (let quiet = 0, before = -1; quiet < 2; ) {
    await page.waitForFunction(() => charcast.idle);
    const now = await page.evaluate(() => charcast.frames);
    quiet = now === before ? quiet + 1 : 0;
    before = now;
    await page.waitForTimeout(60);
  }
}

export const reportOn = (page: Page) => page.evaluate(() => charcast.report!);
export const framesOn = (page: Page) => page.evaluate(() => charcast.frames);
export const firstPictureMsOn = (page: Page) => page.evaluate(() => charcast.firstPictureMs);

/** The wood as it stands on screen. */
export const shot = (page: Page): Promise<Buffer> => page.locator('.stage canvas').screenshot();

/** The demo's first try in cells half as large again: the same page, sooner. */
export const quickDemo = async (): Promise<BroughtJob[]> => [
  { ...(await broughtDemo(demoJobs[0]!)), cellMm: 0.06 },
];

/** A job of our own: a small square, then the same one again for a cut. */
export const SQUARE = `; a square
G21 G90
M3 S0
G0 X10 Y10
G1 X30 S300 F1200
Y25
X10
Y10
M5
M4 S0
G1 X30 S1000 F400
Y25
X10
Y10
M5
M2
`;

/** What a person reads there, with line breaks as they see them. */
// biome-ignore lint/performance/useDomNodeTextContent: text as laid out is what is asked for
export const said = (at: Locator): Promise<string> => at.innerText();

/** Drops files on the page, as from a file manager. */
export const drop = (of: Page, files: Record<string, string>) =>
  of.evaluate((contents) => {
    const dataTransfer = new DataTransfer();
    for (const [name, text] of Object.entries(contents)) dataTransfer.items.add(new File([text], name));
    document.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
  }, files);

export const totals = (of: Page) => said(of.locator('.totals'));
export const clock = (of: Page) => said(of.locator('.clock b'));
export const go = (of: Page, place: string) => of.getByRole('button', { name: place, exact: true }).click();

/** A browser’s own rasteriser may differ a little from machine to machine. */
const BROWSER = { threshold: 0.06, forgiven: 0.01 };
export const expectStage = (png: Buffer, name: string) => {
  const { width, height, data } = PNG.sync.read(png);
  expectPicture(name, { width, height, data: new Uint8ClampedArray(data) }, BROWSER);
};

/** A software renderer on a busy machine takes its time; nothing in the tests waits without need. */
export const SLOW = 120_000;
