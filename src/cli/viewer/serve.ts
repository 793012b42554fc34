import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { extname } from 'node:path';
import { InputError } from '../../errors.ts';

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.woff2': 'font/woff2',
};

/** What the page may do; it says the same of itself, but only a header can forbid being framed. */
const POLICY =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self' data:; " +
  "worker-src 'self' blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const HEADERS = {
  'content-security-policy': POLICY,
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-resource-policy': 'same-origin',
  'cross-origin-opener-policy': 'same-origin',
  'cache-control': 'no-store',
};

/** What lies here is named by a hash of what is in it: a worker begun later need not fetch and compile it again. */
const NAMED_BY_CONTENT = /^\/assets\//;
const KEPT = { 'cache-control': 'private, max-age=31536000, immutable' };

/**
 * Serves these files on 127.0.0.1 alone, by exact path and to this machine's browser only: a request that
 * names another host (as a page elsewhere could cause by pointing its name here) is refused.
 * @param port 0: any free one.
 * @throws {InputError} when the port is taken.
 */
export function serveFiles(
  files: ReadonlyMap<string, Uint8Array>,
  port: number,
): Promise<{ server: Server; url: string }> {
  const server = createServer();
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      const sentence =
        error.code === 'EADDRINUSE'
          ? `found port ${port} in use; expected a free one (leave --port out for any)`
          : `found no way to listen on 127.0.0.1 (${error.message}); expected one`;
      reject(new InputError(sentence));
    });
    server.listen(port, '127.0.0.1', () => {
      const address = server.address();
      const used = typeof address === 'object' && address !== null ? address.port : port;
      const hosts = new Set([`127.0.0.1:${used}`, `localhost:${used}`]);
      server.on('request', (request: IncomingMessage, response: ServerResponse) =>
        answer(request, response, files, hosts),
      );
      resolve({ server, url: `http://127.0.0.1:${used}/` });
    });
  });
}

function answer(
  request: IncomingMessage,
  response: ServerResponse,
  files: ReadonlyMap<string, Uint8Array>,
  hosts: ReadonlySet<string>,
): void {
  const refuse = (status: number, words: string) => {
    response.writeHead(status, { ...HEADERS, 'content-type': 'text/plain; charset=utf-8' });
    response.end(`${words}\n`);
  };
  if (!hosts.has(request.headers.host ?? '')) {
    refuse(403, 'This viewer answers only to this machine.');
    return;
  }
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    refuse(405, 'Only reading is possible here.');
    return;
  }
  const asked = (request.url ?? '/').split(/[?#]/, 1)[0]!;
  const path = asked === '/' ? '/index.html' : asked;
  const file = files.get(path);
  if (!file) {
    refuse(404, 'There is no such file here.');
    return;
  }
  response.writeHead(200, {
    ...HEADERS,
    ...(NAMED_BY_CONTENT.test(path) ? KEPT : null),
    'content-type': TYPES[extname(path)] ?? 'application/octet-stream',
    'content-length': file.byteLength,
  });
  response.end(request.method === 'HEAD' ? undefined : file);
}
