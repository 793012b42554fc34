import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import subsetFont from 'subset-font';
import { defineConfig, type Plugin } from 'vite';
import { nodeStubs } from '../vite.config.ts';
import { lighter } from './lighter.ts';
import { packed } from './packed-gcode.ts';

/**
 * The browser application, built twice from the same source: `dist/viewer/` for any static host (relative
 * paths, nothing from outside), and with `--mode page` one self-contained `dist/charcast.html`, which opens
 * from disk with the demo, and into which `charcast view JOB --save` puts a job.
 */
const path = (relative: string) => fileURLToPath(new URL(relative, import.meta.url));

/** The matrices' library brings one file of all it knows, of which nothing can be left out, and beside it its modules. */
const matrices = {
  find: /^ml-matrix$/,
  replacement: fileURLToPath(new URL('src/index.js', import.meta.resolve('ml-matrix'))),
};

/** What the page may do: run its own script, and nothing that comes from or goes to anywhere else. */
const policy = (script: string, style: string): string =>
  [
    "default-src 'none'",
    `script-src ${script}`,
    `style-src ${style}`,
    "img-src 'self' data: blob:",
    "font-src 'self' data:",
    "worker-src 'self' blob:",
    "connect-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');

const withPolicy = (html: string, content: string): string =>
  html.replace('<head>', `<head>\n    <meta http-equiv="Content-Security-Policy" content="${content}" />`);

/** What is written on the page: Latin letters, and signs; what else a job's name may hold is shown in another typeface. */
const LETTERS = [
  [0x20, 0xff],
  [0x2000, 0x22ff],
]
  .flatMap(([from, to]) => Array.from({ length: to! - from! + 1 }, (_, k) => String.fromCodePoint(from! + k)))
  .join('');
/** The weights that the style sheets use. */
const WEIGHTS = { wght: { min: 400, max: 600 } };

/** The style with its typefaces cut down to what is used of them: else they would be a seventh of the file. */
async function withSmallFonts(style: string): Promise<string> {
  const fonts = [...style.matchAll(/data:font\/woff2;base64,([A-Za-z0-9+/=]+)/g)].map(([, data]) => data!);
  let small = style;
  for (const font of fonts) {
    const cut = await subsetFont(Buffer.from(font, 'base64'), LETTERS, {
      targetFormat: 'woff2',
      variationAxes: WEIGHTS,
      // Figures are of one width and on the line as they come; small ones, fractions and joined letters are a fifth more.
      noLayoutClosure: true,
    });
    small = small.replace(font, cut.toString('base64'));
  }
  return small;
}

/** Puts script and styles into the one HTML file, and allows exactly these by their hashes. */
function onePage(): Plugin {
  return {
    name: 'charcast-one-page',
    enforce: 'post',
    async generateBundle(_options, bundle) {
      const html = bundle['index.html'];
      if (html?.type !== 'asset') throw new Error('found no index.html to fill');
      let script = '';
      let style = '';
      for (const [name, part] of Object.entries(bundle)) {
        if (part.type === 'chunk') script += part.code;
        else if (name.endsWith('.css')) style += String(part.source);
        if (name !== 'index.html') delete bundle[name];
      }
      script = `\n${script.replaceAll('</script', '<\\/script')}\n`;
      style = `\n${await withSmallFonts(style)}\n`;
      const hash = (text: string) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;
      const bare = String(html.source)
        .replace(/<script type="module"[^>]*><\/script>/, '')
        .replace(/<link rel="(?:stylesheet|modulepreload)"[^>]*>/g, '');
      html.source = withPolicy(bare, policy(`${hash(script)} blob:`, hash(style)))
        .replace('</head>', () => `<style>${style}</style>\n  </head>`)
        .replace('</body>', () => `<script type="module">${script}</script>\n  </body>`);
      html.fileName = 'charcast.html';
    },
  };
}

/** The one script is page and worker: `one-file.ts` tells which, and no worker is built apart. */
const oneScript: Plugin = {
  name: 'charcast-one-script',
  enforce: 'pre',
  load: (id) => (id.endsWith('?worker') ? 'export default null;' : null),
  transformIndexHtml: { order: 'pre', handler: (html) => html.replace('./main.tsx', './one-file.ts') },
};

/** The demo's jobs, which would else be a fifth of the file. */
const packedDemo: Plugin = {
  name: 'charcast-packed-demo',
  enforce: 'pre',
  load(id) {
    if (!id.endsWith('.nc?raw')) return null;
    const text = packed(readFileSync(id.replace(/\?raw$/, ''), 'utf8'));
    if (text === null) return null;
    return `import { unpacked } from ${JSON.stringify(path('./packed-gcode.ts'))};\nexport default unpacked(${JSON.stringify(text)});`;
  },
};

const hosted: Plugin = {
  name: 'charcast-policy',
  apply: 'build',
  transformIndexHtml: {
    order: 'post',
    handler: (html) => withPolicy(html, policy("'self'", "'self'")),
  },
};

/**
 * A page from disk may start a worker from its own text only if that is a classic script: a module it would have to
 * fetch, and it is of no origin that may fetch anything. So all is in one function, and nothing asks where it lies.
 */
const oneClassic = {
  output: { format: 'iife', codeSplitting: false },
  transform: { define: { 'import.meta': '{}' } },
} as const;

export default defineConfig(({ mode }) => {
  const page = mode === 'page';
  return {
    root: path('.'),
    base: './',
    publicDir: false,
    resolve: { alias: [...nodeStubs, matrices] },
    define: { __ONE_PAGE__: JSON.stringify(page) },
    oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
    build: {
      target: 'es2023',
      outDir: path(page ? '../dist' : '../dist/viewer'),
      emptyOutDir: !page,
      modulePreload: { polyfill: false },
      license: page ? false : { fileName: 'licences-of-bundled-code.md' },
      chunkSizeWarningLimit: 1500,
      ...(page
        ? { assetsInlineLimit: 1e8, cssCodeSplit: false, rollupOptions: oneClassic }
        : { assetsInlineLimit: 0 }),
    },
    worker: { format: 'es', plugins: () => [lighter] },
    plugins: [lighter, ...(page ? [oneScript, packedDemo, onePage()] : [hosted])],
  };
});
