import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import LongFirst from './tests/support/long-first.ts';
import { plainExports } from './tests/support/plain-exports.ts';

const path = (relative: string) => fileURLToPath(new URL(relative, import.meta.url));

/**
 * gcode-parser's one module also holds file and stream helpers, so it imports Node's `fs`, `events`,
 * `timers` and `stream`. We call only its line reader; the library is bundled with those four stubbed,
 * so that the same `dist/index.js` runs in Node and in a browser.
 */
export const nodeStubs = ['fs', 'events', 'timers', 'stream'].map((find) => ({
  find: new RegExp(`^${find}$`),
  replacement: path('./src/program/node-stubs.ts'),
}));

export default defineConfig(({ command }) => ({
  resolve: { alias: nodeStubs },
  plugins: [plainExports],
  build: {
    target: 'es2023',
    outDir: 'dist',
    minify: false,
    sourcemap: true,
    ssr: true,
    // Their licences ask that they go with the code that is bundled.
    license: { fileName: 'licences-of-bundled-code.md' },
    rollupOptions: {
      input: { index: path('./src/index.ts'), cli: path('./src/cli/main.ts') },
      output: { format: 'es', entryFileNames: '[name].js', chunkFileNames: 'shared-[name].js' },
    },
  },
  ssr: {
    // All is bundled but what brings its own machine code or streams: the command begins in two thirds of the time.
    external: ['@resvg/resvg-js', 'pngjs'],
    // Tests bundle only what Node cannot load as it stands, and the page's own.
    noExternal: command === 'build' ? true : ['gcode-parser', 'preact', 'preact-render-to-string'],
  },
  test: {
    include: ['tests/**/*.test.ts'],
    // On a busy machine all takes its time; only what hangs takes this long.
    testTimeout: 60_000,
    // While one file waits for its page, others can compute: one more than there are cores.
    maxWorkers: availableParallelism() + 1,
    // Files share what is loaded and compiled already, which is a third of the processor's time of a plain file.
    isolate: false,
    // Much is made and thrown away at once: with room for it the processor clears away a tenth less, and looks through
    // all that stays half as often. There are more workers than cores already: threads of their own that help them to
    // clear away and to compile only wait for each other, an eighth of the processor's time. And what objects look like is
    // remembered when the last of a forecast is gone: with it the code would go that was compiled for the next.
    execArgv: [
      '--max-semi-space-size=64',
      '--heap-growing-percent=1000',
      '--single-threaded',
      '--retain-maps-for-n-gc=1000',
    ],
    sequence: { sequencer: LongFirst },
    setupFiles: ['tests/support/same-cases.ts'],
    // What is waited for may take its time on a busy machine; where it comes at once, nothing is waited.
    expect: { poll: { timeout: 45_000, interval: 30 } },
    globalSetup: ['tests/support/one-browser.ts'],
    reporters: ['default', 'tests/support/slowest-files.ts'],
  },
}));
