import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { commandLine, needBuiltViewer, SQUARE } from './world.ts';

const work = mkdtempSync(join(tmpdir(), 'charcast-view-command-'));
const MAIN = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));

beforeAll(needBuiltViewer, 60_000);
afterAll(() => rmSync(work, { recursive: true, force: true }));

test('serves the job until Ctrl-C, then ends calmly', async () => {
  const job = join(work, 'square.nc');
  writeFileSync(job, SQUARE);
  const child = spawn(process.execPath, ['--import', 'tsx', MAIN, 'view', job, '--no-open'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
  let said = '';
  const url = await new Promise<string>((resolve) => {
    child.stdout.on('data', (part: Buffer) => {
      said += part.toString();
      const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(said);
      if (found) resolve(found[0]);
    });
  });
  expect(said).toContain('for this machine only');
  const html = await (await fetch(url)).text();
  expect(html).toContain('id="charcast-jobs"');
  expect(html).toContain('; a square');
  child.kill('SIGINT');
  expect(await ended).toBe(0);
}, 60_000);

test('the demo’s viewer waits at a terminal only: a script goes on', async () => {
  const { isTTY } = process.stdout;
  process.stdout.isTTY = false;
  try {
    const { code, said } = await commandLine('demo', 'marker', '--view', '--out', join(work, 'out'));
    expect(code).toBe(0);
    expect(said).toContain('npx charcast view');
  } finally {
    process.stdout.isTTY = isTTY;
  }
}, 60_000);

test.each([
  [['view', 'no-such.nc', '--save', 'x.html'], 'no-such.nc: found no such file'],
  [['view', '--save', 'x.nc'], 'found --save x.nc; expected a name that ends in .html'],
  [['view', '--port', 'x'], 'expected a port from 0 to 65535'],
])('refuses %s in a sentence', async (words, sentence) => {
  const { code, said } = await commandLine(...words);
  expect(code).toBe(2);
  expect(said).toContain(sentence);
});

test('a job that cannot be read is refused by its line', async () => {
  const job = join(work, 'bad.nc');
  writeFileSync(job, 'G21 G90\nG1 X10 S100\n');
  const { code, said } = await commandLine('view', job, '--save', join(work, 'bad.html'));
  expect(code).toBe(2);
  expect(said).toMatch(/bad\.nc, line 2: found .*feed/);
});

test('a page is never written over its job', async () => {
  const job = join(work, 'job.html');
  writeFileSync(job, SQUARE);
  const { code, said } = await commandLine('view', job, '--save', job);
  expect(code).toBe(2);
  expect(said).toContain('found an output that would overwrite an input');
});
