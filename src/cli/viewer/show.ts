import { spawn } from 'node:child_process';
import type { BroughtJob } from '../../page/brought-job.ts';
import type { Terminal } from '../context.ts';
import { hostedFiles } from './files.ts';
import { withJobs } from './page.ts';
import { serveFiles } from './serve.ts';

interface ShowOptions {
  /** 0: any free port. */
  readonly port: number;
  /** Ask the system to open its browser, where there is one. */
  readonly open: boolean;
}

/** Serves the viewer with these jobs in it until the person presses Ctrl-C. */
export async function showViewer(
  jobs: readonly BroughtJob[],
  { port, open }: ShowOptions,
  terminal: Terminal,
): Promise<void> {
  const files = new Map(hostedFiles());
  const index = new TextDecoder().decode(files.get('/index.html'));
  files.set('/index.html', new TextEncoder().encode(withJobs(index, jobs)));
  const { server, url } = await serveFiles(files, port);
  terminal.out(`\nThe viewer is at ${url} (for this machine only). Press Ctrl-C to end it.`);
  if (open) openBrowser(url);
  await new Promise<void>((resolve) => {
    const end = () => {
      process.off('SIGINT', end);
      process.off('SIGTERM', end);
      server.close(() => resolve());
      server.closeAllConnections();
    };
    process.on('SIGINT', end);
    process.on('SIGTERM', end);
  });
}

/** Best effort: whoever sees no browser has the address. */
function openBrowser(url: string): void {
  const [command, ...words] =
    process.platform === 'darwin'
      ? ['open', url]
      : process.platform === 'win32'
        ? ['explorer.exe', url]
        : ['xdg-open', url];
  if (process.platform === 'linux' && !process.env.DISPLAY && !process.env.WAYLAND_DISPLAY) return;
  const child = spawn(command!, words, { stdio: 'ignore', detached: true });
  child.on('error', () => {});
  child.unref();
}
