import { execFile } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { type Browser, type BrowserServer, chromium as driver } from 'playwright-core';
import { inject } from 'vitest';
import type { TestProject } from 'vitest/node';
import { FOR_SHORT_VISITS, serveChromium } from './chromium.ts';

/**
 * One Chromium and one build of the viewer for all test files of a run, made when the first of them asks: so a run
 * that needs neither waits for neither. Test files live in processes of their own and ask over HTTP.
 */

declare module 'vitest' {
  interface ProvidedContext {
    readonly sharedAt: string;
  }
}

/** Run by the test runner, once, before the first test. */
export default function setup(project: TestProject): Promise<() => Promise<void>> {
  let browser: Promise<BrowserServer> | undefined;
  let viewer: Promise<string> | undefined;
  const answers: Record<string, () => Promise<string>> = {
    '/browser': async () => (await (browser ??= serveChromium(FOR_SHORT_VISITS))).wsEndpoint(),
    '/viewer': () => (viewer ??= buildViewer()),
  };
  const server = createServer((asked, answer) => {
    const found = answers[asked.url ?? ''];
    if (!found) {
      answer.writeHead(404).end();
      return;
    }
    found().then(
      (told) => answer.end(told),
      (error) => answer.writeHead(500).end(String(error)),
    );
  });
  return new Promise((resolve) => {
    server.listen(0, '127.0.0.1', () => {
      project.provide('sharedAt', `http://127.0.0.1:${(server.address() as AddressInfo).port}`);
      resolve(async () => {
        await (await browser)?.close();
        server.closeAllConnections();
        server.close();
      });
    });
  });
}

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** All that the viewer is built from; the folders themselves count, for what is deleted there. */
const SOURCES = ['src', 'viewer', 'package-lock.json', 'tsconfig.json', 'vite.config.ts'];
const BUILT = join(ROOT, 'dist/viewer');
const PAGE = join(ROOT, 'dist/charcast.html');

/** Whether both forms of the viewer are there and younger than all they are built from, as `npm ci` leaves them. */
function isBuilt(): boolean {
  const ages = [join(BUILT, 'index.html'), PAGE].map(
    (file) => statSync(file, { throwIfNoEntry: false })?.mtimeMs,
  );
  const builtMs = Math.min(...ages.map((age) => age ?? 0));
  const youngest = (path: string): number => {
    const at = statSync(path);
    const inside = at.isDirectory() ? readdirSync(path).map((name) => youngest(join(path, name))) : [];
    return Math.max(at.mtimeMs, ...inside);
  };
  return SOURCES.every((source) => youngest(join(ROOT, source)) < builtMs);
}

/**
 * Builds the viewer's two forms where `charcast view` finds them, as people get them, and says where; what is built
 * of the same source already stays. They are built aside and then put in place, for another test may be reading there.
 */
async function buildViewer(): Promise<string> {
  if (isBuilt()) return BUILT;
  mkdirSync(join(ROOT, 'dist'), { recursive: true });
  const work = mkdtempSync(join(ROOT, 'dist/building-'));
  const [made, old] = [join(work, 'made/viewer'), join(work, 'old')];
  const { NODE_ENV: _, ...env } = process.env;
  try {
    for (const mode of ['production', 'page'])
      await promisify(execFile)(
        process.execPath,
        [
          join(ROOT, 'node_modules/vite/bin/vite.js'),
          ...['build', '-c', 'viewer/vite.config.ts', '--mode', mode],
          ...['--outDir', mode === 'page' ? join(work, 'made') : made],
          ...['--logLevel', 'error'],
        ],
        { cwd: ROOT, env },
      );
    if (existsSync(BUILT)) renameSync(BUILT, old);
    renameSync(made, BUILT);
    renameSync(join(work, 'made/charcast.html'), PAGE);
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
  return BUILT;
}

async function ask(what: 'browser' | 'viewer'): Promise<string> {
  const answer = await fetch(`${inject('sharedAt')}/${what}`);
  const told = await answer.text();
  if (!answer.ok) throw new Error(told);
  return told;
}

/** The run's Chromium; closing it ends this connection and its pages alone. */
export const connectChromium = async (): Promise<Browser> => driver.connect(await ask('browser'));

/** The folder of the viewer as it is now, built. */
export const builtViewer = (): Promise<string> => ask('viewer');
