import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, expect, test } from 'vitest';
import { builtViewer } from '../support/one-browser.ts';
import { workplace } from '../support/workplace.ts';
import { SQUARE } from './world.ts';

const place = workplace();
const MAIN = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));

beforeAll(builtViewer, 60_000);

test('serves the job until Ctrl-C, then ends calmly', async () => {
  const job = place.write('square.nc', SQUARE);
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
    const { status, out } = await place.charcast('demo', 'marker', '--view', '--out', place.path('out'));
    expect(status).toBe(0);
    expect(out).toContain('npx charcast view');
  } finally {
    process.stdout.isTTY = isTTY;
  }
}, 60_000);

test.each([
  [['view', 'no-such.nc', '--save', 'x.html'], 'no-such.nc: found no such file'],
  [['view', '--save', 'x.nc'], 'found --save x.nc; expected a name that ends in .html'],
  [['view', '--port', 'x'], 'expected a port from 0 to 65535'],
])('refuses %s in a sentence', async (words, sentence) => {
  const { status, err } = await place.charcast(...words);
  expect(status).toBe(2);
  expect(err).toContain(sentence);
});

test('a job that cannot be read is refused by its line', async () => {
  const job = place.write('bad.nc', 'G21 G90\nG1 X10 S100\n');
  const { status, err } = await place.charcast('view', job, '--save', place.path('bad.html'));
  expect(status).toBe(2);
  expect(err).toMatch(/bad\.nc, line 2: found .*feed/);
});

test('a page is never written over its job', async () => {
  const job = place.write('job.html', SQUARE);
  const { status, err } = await place.charcast('view', job, '--save', job);
  expect(status).toBe(2);
  expect(err).toContain('found an output that would overwrite an input');
});

test('a page carries the profile as it stands in its file, so that it knows what was told', async () => {
  const file = { name: 'given gantry', laser: { optical_power_w: 8 } };
  const job = place.write('told.nc', SQUARE);
  const page = place.path('told.html');
  const { status } = await place.charcast(
    ...['view', job, '--machine', place.write('given.json', JSON.stringify(file)), '--save', page],
  );
  expect(status).toBe(0);
  const [held] = /id="charcast-jobs">(.*?)<\/script>/s.exec(readFileSync(page, 'utf8'))!.slice(1);
  expect(JSON.parse(held!)[0].machineFile).toEqual(file);
}, 60_000);
