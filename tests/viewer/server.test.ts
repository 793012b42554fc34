import { request, type Server } from 'node:http';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { withJobs } from '../../src/cli/viewer/page.ts';
import { serveFiles } from '../../src/cli/viewer/serve.ts';

/** Refusals against pages elsewhere: common practice against DNS rebinding (no one source). */

let server: Server;
let port: number;

beforeAll(async () => {
  const files = new Map([
    ['/index.html', new TextEncoder().encode('<!doctype html><head></head>')],
    ['/assets/a.js', new TextEncoder().encode('1')],
  ]);
  const served = await serveFiles(files, 0);
  server = served.server;
  port = Number(new URL(served.url).port);
});
afterAll(() => {
  server.close();
});

/** A request exactly as given: no client tidies its path or its Host. */
const ask = (path: string, host = `127.0.0.1:${port}`, method = 'GET') =>
  new Promise<{ status: number; headers: Record<string, unknown>; body: string }>((resolve, reject) => {
    const asked = request({ host: '127.0.0.1', port, path, method, headers: { host } }, (answer) => {
      let body = '';
      answer.setEncoding('utf8');
      answer.on('data', (part: string) => {
        body += part;
      });
      answer.on('end', () => resolve({ status: answer.statusCode!, headers: answer.headers, body }));
    });
    asked.on('error', reject);
    asked.end();
  });

test('listens on 127.0.0.1 alone', () => {
  expect(server.address()).toMatchObject({ address: '127.0.0.1' });
});

test('serves its files with their types, and the page at the root', async () => {
  expect(await ask('/')).toMatchObject({
    status: 200,
    headers: { 'content-type': 'text/html; charset=utf-8' },
  });
  expect(await ask('/assets/a.js?x=1', `localhost:${port}`)).toMatchObject({
    status: 200,
    headers: { 'content-type': 'text/javascript; charset=utf-8', 'x-content-type-options': 'nosniff' },
    body: '1',
  });
  expect((await ask('/', undefined, 'HEAD')).body).toBe('');
});

test('browsers keep what is named by its content, and nothing else', async () => {
  const kept = async (path: string, method = 'GET') =>
    (await ask(path, undefined, method)).headers['cache-control'];
  expect(await kept('/assets/a.js')).toMatch(/immutable/);
  for (const path of ['/', '/index.html', '/assets/b.js', '/a.js']) expect(await kept(path)).toBe('no-store');
  expect(await kept('/assets/a.js', 'POST')).toBe('no-store');
});

test.each(['evil.example', `evil.example:${9}`, '127.0.0.1', '127.0.0.1:1', '[::1]'])(
  'refuses the Host %s',
  async (host) => {
    expect(await ask('/', host)).toMatchObject({
      status: 403,
      body: 'This viewer answers only to this machine.\n',
    });
  },
);

test.each([
  '/../package.json',
  '/..%2fpackage.json',
  '/assets/',
  '/assets',
  '/assets/../index.html',
  '//etc/passwd',
  '/%00',
])('has nothing at %s', async (path) => {
  expect(await ask(path)).toMatchObject({ status: 404, body: 'There is no such file here.\n' });
});

test('only reads', async () => {
  expect((await ask('/', undefined, 'POST')).status).toBe(405);
});

test('names no outside host in its policy, and cannot be framed', async () => {
  const policy = String((await ask('/')).headers['content-security-policy']);
  expect(policy).toContain("default-src 'none'");
  expect(policy).toContain("frame-ancestors 'none'");
  expect(policy).not.toMatch(/https?:|\*|unsafe/);
});

test('a taken port is told in one sentence', async () => {
  await expect(serveFiles(new Map(), port)).rejects.toThrow(`found port ${port} in use; expected a free one`);
});

test('no text of a job can end the block it is put into', () => {
  const job = {
    name: '</script><script>alert(1)</script>.nc',
    title: '<!-- ',
    about: '',
    text: ';</script>\u2028\nG0 X1',
    machine: {} as never,
    material: {} as never,
    stock: null,
    cellMm: null,
    notes: [],
  };
  const html = withJobs('<head></head><body></body>', [job]);
  expect(html.match(/<\/script>/g)).toHaveLength(1);
  expect(html).not.toContain('<!--');
  const json = /id="charcast-jobs">(.*)<\/script>/s.exec(html)![1]!;
  expect(JSON.parse(json)).toEqual([job]);
});
