import type { Server } from 'node:http';
import { join } from 'node:path';
import type { BrowserContextOptions, Download, Locator, Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { afterAll, beforeAll, expect } from 'vitest';
import { broughtDemo } from '../../src/cli/commands/view.ts';
import { hostedFiles } from '../../src/cli/viewer/files.ts';
import { withJobs } from '../../src/cli/viewer/page.ts';
import { serveFiles } from '../../src/cli/viewer/serve.ts';
import { demoJobs } from '../../src/demo/index.ts';
import type { BroughtJob } from '../../src/page/brought-job.ts';
import type { ForTheConsole } from '../../viewer/console.ts';
import { expectPicture } from '../picture/snapshot.ts';
import { builtViewer, connectChromium } from '../support/one-browser.ts';

/**
 * The viewer as people meet it: built from its source as it is, served by our own server, in a real Chromium
 * with software WebGL, which is the run's own: each file has its pages to itself.
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
  /**
   * Given where somebody looks at the wood: the stage is drawn with this share of the screen's pixels along each side,
   * less than 1 where nobody looks at single pixels, for a graphics card in software pays for each. Left out, all
   * happens as ever, but the card is not told to draw. All else on the page keeps its size.
   */
  readonly fineness?: number;
  /** What goes wrong there is what is asked for. */
  readonly mayFail?: boolean;
  /** Run in the page before anything of its own. */
  readonly before?: () => void;
  /** Files that the page asks for and does not get. */
  readonly refusing?: RegExp;
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

/** The whole application as one file, opened from disk without a network. */
export const fromDisk = (world: Pick<World, 'folder' | 'open'>, options: OpenOptions = {}) =>
  world.open({ offline: true, at: `file://${join(world.folder, '../charcast.html')}`, ...options });

/** Of all that is asked of most pages, a quarter of the pixels along each side show it as well. */
export const COARSE = 0.25;

/**
 * Leaves out what only the eye would miss: run in the page. Frames are begun and ended as ever, but the card is given
 * neither pictures nor shapes nor programs, which on pages that are seen it is.
 */
function unseen(): void {
  const nothing = () => {};
  const { prototype } = WebGL2RenderingContext;
  const pictures = /^(tex(Storage2D|Image2D|SubImage2D|Parameter.)|generateMipmap)$/;
  const programs = /^(shaderSource|compileShader|attachShader|linkProgram|useProgram|uniform.*)$/;
  const shapes = /^(bufferData|clear|draw(Elements|Arrays))$/;
  // With each goes what rests on it: a call that is refused is told in the console, and that to the test.
  for (const name of Object.getOwnPropertyNames(prototype))
    if ([pictures, programs, shapes].some((left) => left.test(name)))
      Object.assign(prototype, { [name]: nothing });
  // A program that was not made has no uniforms to be set; that it was linked is taken for granted.
  Object.assign(prototype, {
    getProgramParameter: (_program: WebGLProgram, what: number) =>
      what === WebGL2RenderingContext.LINK_STATUS ? true : 0,
    getProgramInfoLog: () => '',
    getShaderInfoLog: () => '',
  });
}

/**
 * While things move on a slow card frames come with fewer pixels, and a moment later one with all of them: only that one
 * is looked at, so only that one is drawn. Run in the page.
 */
function unmoved(): void {
  const { prototype } = WebGL2RenderingContext;
  const draw = prototype.drawElements;
  prototype.drawElements = function (...of) {
    const { clientWidth, width } = this.canvas as HTMLCanvasElement;
    if (width + 1 >= clientWidth * devicePixelRatio) draw.apply(this, of);
  };
}

/**
 * From the next frame on the stage of a page that was opened with a fineness has another: all its pixels only where
 * these are looked at, and not on the way there.
 */
export const refine = (page: Page, fineness: number) =>
  page.evaluate((devicePixelRatio) => {
    Object.assign(window, { devicePixelRatio });
  }, fineness);

/** The shapes of the stage are not drawn until `lookAgain`: on the way to a picture of a whole page, all of which is fine. */
export function eyesShut(): void {
  const { prototype } = WebGL2RenderingContext;
  Object.assign(window, { drawAgain: prototype.drawElements });
  prototype.drawElements = () => {};
}

/** From the next frame on the stage of a page that was opened with `before: eyesShut` is drawn. */
export const lookAgain = (page: Page) =>
  page.evaluate(() => {
    WebGL2RenderingContext.prototype.drawElements = (
      window as unknown as { drawAgain: WebGL2RenderingContext['drawElements'] }
    ).drawAgain;
  });

/**
 * Does not tell the page that its card is in software. Such a card's frames come with few pixels first and with all of them
 * a moment later; where nobody looks, and each change is waited for, one frame does. Run in the page.
 */
export function asOnAQuickCard(): void {
  const { prototype } = WebGL2RenderingContext;
  const { getExtension } = prototype;
  Object.assign(prototype, {
    getExtension(
      this: WebGL2RenderingContext,
      name: Parameters<typeof getExtension>[0] | 'WEBGL_debug_renderer_info',
    ) {
      return name === 'WEBGL_debug_renderer_info' ? null : getExtension.call(this, name);
    },
  });
}

/** From here on nobody looks at the wood of a page that was opened to be seen. */
export const lookAway = (page: Page) => page.evaluate(unseen);

async function openWorld(faults: string[]): Promise<World> {
  const [folder, browser] = await Promise.all([builtViewer(), connectChromium()]);
  const files = new Map(hostedFiles());
  const index = new TextDecoder().decode(files.get('/index.html'));
  const servers: Server[] = [];
  const serve = async (jobs: readonly BroughtJob[]): Promise<string> => {
    const own = new Map(files).set('/index.html', new TextEncoder().encode(withJobs(index, jobs)));
    const { server, url } = await serveFiles(own, 0);
    servers.push(server);
    return url;
  };
  const url = await serve([]);
  return {
    folder,
    async open({ jobs, at, fineness, mayFail = false, before, refusing, ...options } = {}) {
      const context = await browser.newContext({
        viewport: { width: 1024, height: 640 },
        locale: 'en-GB',
        reducedMotion: 'reduce',
        ...options,
      });
      const page = await context.newPage();
      page.setDefaultTimeout(60_000);
      if (!mayFail) {
        page.on('pageerror', (error) => faults.push(error.message));
        page.on('console', (said) => {
          if (said.type() === 'error') faults.push(said.text());
        });
      }
      await page.addInitScript(fineness === undefined ? unseen : unmoved);
      if (fineness !== 1)
        await page.addInitScript((ratio) => {
          Object.defineProperty(window, 'devicePixelRatio', { value: ratio, writable: true });
        }, fineness ?? COARSE);
      if (before) await page.addInitScript(before);
      if (refusing) await page.route(refusing, (asked) => asked.abort());
      await page.goto(at ?? (jobs ? await serve(jobs) : url));
      return page;
    },
    async close() {
      await browser.close();
      for (const server of servers) {
        server.closeAllConnections();
        server.close();
      }
    },
  };
}

/** The file that a press hands over. */
export async function saving(by: Locator): Promise<Download> {
  const [file] = await Promise.all([by.page().waitForEvent('download'), by.click()]);
  return file;
}

/** What a page handed over as a file, letter for byte. */
export async function textOf(download: Download): Promise<string> {
  const parts: Buffer[] = [];
  for await (const part of await download.createReadStream()) parts.push(part as Buffer);
  return Buffer.concat(parts).toString('latin1');
}

/** The same of a file in UTF-8, as JSON is. */
export const jsonOf = async (download: Download): Promise<unknown> =>
  JSON.parse(Buffer.from(await textOf(download), 'latin1').toString('utf8'));

declare const charcast: ForTheConsole;

/** A page is looked at so often: to look at each of its frames has it make frames, sixty a second. */
const LOOKING = { polling: 50 };

/** Until the fine forecast is on screen and nothing moves any more. */
export async function settle(page: Page): Promise<void> {
  await page.waitForFunction(() => charcast.settled, null, LOOKING);
  await still(page);
}

/** Until nothing has been drawn, or was about to be, for a few of the browser's own frames. */
export async function still(page: Page): Promise<void> {
  await page.evaluate(
    (mostMs) =>
      new Promise<void>((resolve, reject) => {
        const begunMs = performance.now();
        let before = -1;
        let quiet = 0;
        const look = () => {
          const { idle, frames } = charcast;
          quiet = idle && frames === before ? quiet + 1 : 0;
          before = frames;
          if (quiet === 5) resolve();
          else if (performance.now() - begunMs > mostMs)
            reject(new Error(`found the stage still drawing, frame ${frames}, idle ${idle}`));
          else requestAnimationFrame(look);
        };
        look();
      }),
    STILL_MS,
  );
}

/** A stage that has not come to rest by then never will, ms. */
const STILL_MS = 100_000;

/** Until all that lies on the bench would be there again at the next visit. */
export const kept = (page: Page) => page.waitForFunction(() => charcast.kept, null, LOOKING);

export const reportOn = (page: Page) => page.evaluate(() => charcast.report!);
export const framesOn = (page: Page) => page.evaluate(() => charcast.frames);
export const firstPictureMsOn = (page: Page) => page.evaluate(() => charcast.firstPictureMs);

/** The wood as it stands on screen. */
export const shot = (page: Page): Promise<Buffer> => page.locator('.stage canvas').screenshot();

/** Nothing but the wood is wanted there: marks lie over it at shares of pixels, which the browser may round either way. */
export const hidePins = (page: Page) =>
  page.evaluate(() => {
    document.styleSheets[0]!.insertRule('.pins { display: none }');
  });

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

/** The same so small that its board has few cells: each change of it is forecast once, at once. */
export const SMALL_SQUARE = SQUARE.replaceAll('X30', 'X8')
  .replaceAll('X10', 'X2')
  .replaceAll('Y25', 'Y7')
  .replaceAll('Y10', 'Y2');

/** That square on the demo's machine, wood and board, in wide cells: a page for what does not ask for the demo. */
export const quickSquare = async (): Promise<BroughtJob[]> => [
  { ...(await quickDemo())[0]!, name: 'square.nc', title: 'square.nc', text: SQUARE, cellMm: 0.2 },
];

/** What a person reads there, with line breaks as they see them. */
// biome-ignore lint/performance/useDomNodeTextContent: text as laid out is what is asked for
export const said = (at: Locator): Promise<string> => at.innerText();

/**
 * The demo's first try as small as may be: rows that turn with the beam on, an outline with corners and a cut that does
 * not come through. What stands on the page is of the same kind, and a forecast of it takes a tenth of the time.
 */
export const smallMarker = async (): Promise<BroughtJob[]> => [
  {
    ...(await quickDemo())[0]!,
    title: 'Small marker, first try',
    about: 'A plant marker as a beginner would set it up.',
    text: SMALL_MARKER,
    stock: { widthMm: 48, heightMm: 20, thicknessMm: 4, xMm: 0, yMm: 0 },
    cellMm: 0.1,
  },
];

/** Whoever comes with the demo is here for the first time: this is it, smaller, and its spot so wide that it has few cells. */
export const firstVisit = async (): Promise<BroughtJob[]> => {
  const [marker] = await smallMarker();
  const { machine } = marker!;
  const spot = { ...machine.spot, width_mm: [0.3, 0.3] as [number, number] };
  return [{ ...marker!, title: demoJobs[0]!.title, cellMm: null, machine: { ...machine, spot } }];
};

const closed = (...corners: (readonly [number, number])[]) =>
  [...corners, corners[0]!].map(([x, y]) => `X${x} Y${y}`);

const SMALL_MARKER = [
  '; A small marker, first try',
  'G21 G90',
  'M3 S0',
  'G0 X14 Y8',
  ...Array.from({ length: 36 }, (_, k) => {
    const y = (8 + 0.1 * k).toFixed(2);
    return k % 2 === 0 ? [`G1 X14 Y${y} S0 F3000`, 'X30 S600'] : [`G1 X30 Y${y} S0`, 'X14 S600'];
  }).flat(),
  'M5',
  'M3 S0',
  'G0 X7 Y5',
  ...closed([7, 5], [41, 5], [41, 15], [7, 15]).map((at, k) => (k === 0 ? `G1 ${at} S400 F1200` : at)),
  ...[33, 36].flatMap((x) => [`G0 X${x} Y8`, `G1 X${x + 2} Y9 S400`, `X${x} Y12`, `X${x} Y8`]),
  'M5',
  'M3 S0',
  'G0 X3 Y3',
  ...[1, 2].flatMap(() =>
    closed([3, 3], [45, 3], [45, 17], [3, 17]).map((at, k) => (k === 0 ? `G1 ${at} S1000 F900` : at)),
  ),
  'M5',
  'M2',
  '',
].join('\n');

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
