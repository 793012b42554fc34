import { readdirSync, readFileSync } from 'node:fs';
import { type Browser, type BrowserServer, chromium as driver, type Page } from 'playwright-core';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { readStock } from '../../src/cli/stock.ts';
import { hostedFiles } from '../../src/cli/viewer/files.ts';
import { withJobs } from '../../src/cli/viewer/page.ts';
import { serveFiles } from '../../src/cli/viewer/serve.ts';
import type { BroughtJob } from '../../src/page/brought-job.ts';
import type { ForTheConsole } from '../../viewer/console.ts';
import { serveChromium } from '../support/chromium.ts';
import { greyRaster, TIMED_MACHINE } from './jobs.ts';

declare const charcast: ForTheConsole;

const SIZE = { width: 1280, height: 720 };
const PLAYED_MS = 5000;
const DRAGS = 5;
const LARGE = [100_000, 1_000_000];

/** What the page does in headless Chromium with software WebGL; the viewer must have been built. */
export interface PageTimes {
  /** From the beginning of the demo's loads to its first picture, and to the fine one, ms. */
  readonly firstPicture: number[];
  readonly fine: number[];
  /** The demo played at 1280 × 720: frames per second, and processor time of all of the browser for each, ms. */
  readonly playedFps: number;
  readonly playedCpuMs: number;
  /** From the end of playing to a still picture with all its detail, ms. */
  readonly atRestMs: number;
  readonly large: readonly LargeJob[];
}

const DRAGGED = ['power', 'speed'] as const;
type Dragged = (typeof DRAGGED)[number];

interface LargeJob {
  readonly lines: number;
  /** From a step of a number (in the first sentence) to the first frame that shows it, ms; the median. */
  readonly changeMs: Readonly<Record<Dragged, number>>;
  /** Processor time of all of the browser for that, ms; the median. */
  readonly changeCpuMs: Readonly<Record<Dragged, number>>;
  /** What the page's process holds once the fine picture is there, MB. */
  readonly holdsMb: number;
}

export async function pageTimesMs(runs: number, isQuick: boolean): Promise<PageTimes> {
  const server = await serveChromium();
  const browser = await driver.connect(server.wsEndpoint());
  try {
    const firstPicture: number[] = [];
    const fine: number[] = [];
    for (let run = 0; run < runs; run++) {
      const own = await opened(browser, null);
      firstPicture.push(await own.page.evaluate(() => charcast.firstPictureMs));
      fine.push(await own.page.evaluate(() => performance.now()));
      await own.close();
    }
    const played = await playing(browser, server);
    const large: LargeJob[] = [];
    for (const lines of isQuick ? LARGE.slice(0, 1) : LARGE)
      large.push(await changing(browser, server, lines));
    return { firstPicture, fine, ...played, large };
  } finally {
    await browser.close();
    await server.close();
  }
}

async function opened(browser: Browser, job: BroughtJob | null) {
  const files = new Map(hostedFiles());
  if (job) {
    const index = new TextDecoder().decode(files.get('/index.html'));
    files.set('/index.html', new TextEncoder().encode(withJobs(index, [job])));
  }
  const { server, url } = await serveFiles(files, 0);
  const context = await browser.newContext({ viewport: SIZE });
  const page = await context.newPage();
  await page.goto(url);
  await page.waitForFunction(() => charcast.settled, null, { timeout: 300_000 });
  const close = async () => {
    await context.close();
    server.closeAllConnections();
    server.close();
  };
  return { page, close };
}

const idle = (page: Page) => page.waitForFunction(() => charcast.idle, null, { timeout: 60_000 });
const counted = (page: Page) => page.evaluate(() => [charcast.frames, performance.now()] as const);

async function playing(browser: Browser, server: BrowserServer) {
  const { page, close } = await opened(browser, null);
  await idle(page);
  await page.keyboard.press('Home');
  await page.keyboard.press(' ');
  await page.waitForTimeout(1000);
  const cpuBefore = processorMs(server);
  const [from, fromMs] = await counted(page);
  await page.waitForTimeout(PLAYED_MS);
  const [to, toMs] = await counted(page);
  const cpuMs = processorMs(server) - cpuBefore;
  await page.keyboard.press(' ');
  const stopped = await page.evaluate(() => performance.now());
  await idle(page);
  const atRestMs = (await page.evaluate(() => performance.now())) - stopped;
  await close();
  return { playedFps: (1000 * (to - from)) / (toMs - fromMs), playedCpuMs: cpuMs / (to - from), atRestMs };
}

async function changing(browser: Browser, server: BrowserServer, lines: number): Promise<LargeJob> {
  const { page, close } = await opened(browser, rasterOf(lines));
  await idle(page);
  const holdsMb = heldMb(server);
  const medians = (values: number[]) => values.slice(1).sort((a, b) => a - b)[DRAGS >> 1]!;
  const changeMs = { power: 0, speed: 0 };
  const changeCpuMs = { power: 0, speed: 0 };
  for (const dragged of DRAGGED) {
    const times: number[] = [];
    const cpuTimes: number[] = [];
    // The first change begins what the following ones go on from.
    for (let k = 0; k <= DRAGS; k++) {
      const cpuBefore = processorMs(server);
      times.push(await page.evaluate<number>(stepOf(dragged)));
      cpuTimes.push(processorMs(server) - cpuBefore);
      await page.waitForFunction(() => charcast.settled, null, { timeout: 300_000 });
      await idle(page);
    }
    changeMs[dragged] = medians(times);
    changeCpuMs[dragged] = medians(cpuTimes);
  }
  await close();
  return { lines, changeMs, changeCpuMs, holdsMb };
}

/**
 * Steps the first such number on the page by one and waits for the first frame that shows it, ms. As text: what runs the
 * script puts names of its own into functions, which the page does not know.
 */
const stepOf = (dragged: Dragged): string => `new Promise((resolve) => {
  const field = document.querySelector('.operation input[aria-label*="${dragged}" i]');
  const before = charcast.shown;
  const fromMs = performance.now();
  field.focus();
  field.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowUp', bubbles: true, cancelable: true }));
  let frames = -1;
  (function look() {
    if (charcast.shown !== before && frames < 0) frames = charcast.frames;
    if (frames >= 0 && charcast.frames > frames) resolve(performance.now() - fromMs);
    else requestAnimationFrame(look);
  })();
})`;

const rasterOf = (lines: number): BroughtJob => {
  const { name, text, stock } = greyRaster(lines);
  return {
    name,
    title: name,
    about: '',
    text,
    machine: TIMED_MACHINE,
    material: shippedMaterials['poplar plywood']!,
    stock: readStock(stock),
    cellMm: null,
    notes: [],
  };
};

/** The browser's processes, and of which kind each is (Linux). */
function processes(server: BrowserServer): { readonly id: string; readonly kind: string }[] {
  const parents = new Map<number, number>();
  for (const name of readdirSync('/proc'))
    if (/^\d+$/.test(name)) parents.set(Number(name), Number(fieldsOf(name)[1] ?? 0));
  const root = server.process().pid!;
  const isOurs = (id: number): boolean => id === root || (parents.has(id) && isOurs(parents.get(id)!));
  return [...parents.keys()].filter(isOurs).map((id) => ({
    id: String(id),
    kind: /--type=([a-z]+)/.exec(readOr(`/proc/${id}/cmdline`))?.[1] ?? 'browser',
  }));
}

const readOr = (path: string): string => {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return '';
  }
};

/** What stands behind a process's name in its line of state: state, parent, … */
const fieldsOf = (id: string): string[] => {
  const text = readOr(`/proc/${id}/stat`);
  return text.slice(text.lastIndexOf(')') + 2).split(' ');
};

const MS_PER_TICK = 10;

const processorMs = (server: BrowserServer): number =>
  processes(server).reduce((sum, { id }) => {
    const fields = fieldsOf(id);
    return sum + MS_PER_TICK * (Number(fields[11] ?? 0) + Number(fields[12] ?? 0));
  }, 0);

const heldMb = (server: BrowserServer): number =>
  Math.max(
    ...processes(server)
      .filter(({ kind }) => kind === 'renderer')
      .map(({ id }) => Number(/VmRSS:\s+(\d+)/.exec(readOr(`/proc/${id}/status`))?.[1] ?? 0) / 1024),
  );
