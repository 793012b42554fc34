import { execFile } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { builtViewer } from '../support/one-browser.ts';

/** The package as it would be published: packed, installed in a folder elsewhere, and used there. */
const run = promisify(execFile);
const root = fileURLToPath(new URL('../..', import.meta.url));
const place = mkdtempSync(join(tmpdir(), 'charcast-packed-'));
const elsewhere = join(place, 'elsewhere');
const installed = join(elsewhere, 'node_modules', 'charcast');
afterAll(() => rmSync(place, { recursive: true, force: true }));

/** Runs a program there, and returns what it said. */
const there = async (program: string, ...words: string[]): Promise<string> =>
  (await run(program, words, { cwd: elsewhere })).stdout;

beforeAll(async () => {
  await builtViewer();
  // `npm ci` has built the rest; a tree that was not built does it now.
  if (!existsSync(join(root, 'dist/cli.js')))
    throw new Error('found no dist/cli.js; expected npm ci to have built it');
  await run('npm', ['pack', '--silent', '--ignore-scripts', '--pack-destination', place], { cwd: root });
  mkdirSync(elsewhere);
  writeFileSync(join(elsewhere, 'package.json'), '{ "name": "elsewhere", "private": true }\n');
  const packed = readdirSync(place).find((name) => name.endsWith('.tgz'))!;
  const quiet = ['--ignore-scripts', '--prefer-offline', '--no-audit', '--no-fund'];
  await there('npm', 'install', ...quiet, join('..', packed));
}, 300_000);

describe('the packed package', () => {
  test('runs as a command, from the demo’s files to pictures and a page', async () => {
    const charcast = join('node_modules', '.bin', 'charcast');
    expect(await there(charcast, '--help')).toMatch(/^Usage: charcast/);
    await there(charcast, 'demo', '--write', 'garden');
    const board = ['--stock', '130x32x4', '--cell', '0.25'];
    const job = ['garden/marker-careful.nc', '--machine', 'garden/bench-gantry.json', ...board];
    // Warnings of a forecast are its status, not a fault.
    const said = await there(charcast, 'forecast', ...job, '--out', 'out').catch((error) => {
      expect([error.code, error.stderr]).toEqual([1, '']);
      return error.stdout as string;
    });
    expect(said).toMatch(/marker-careful\.nc, forecast for bench gantry on poplar plywood/);
    expect(readdirSync(join(elsewhere, 'out')).sort()).toEqual([
      'burn.png',
      'dose.npy',
      'dose.png',
      'report.json',
      'warmth.npy',
    ]);
    await there(charcast, 'view', ...job, '--save', 'page.html');
    expect(readFileSync(join(elsewhere, 'page.html'), 'utf8')).toMatch(
      /<script type="application\/json" id="charcast-jobs">/,
    );
  }, 60_000);

  test('is a library, with types that need no package of ours', async () => {
    const use = `import { forecast, readMachine, shippedMaterials } from 'charcast';
const machine = readMachine({ laser: { optical_power_w: 5 } });
const made = forecast('G21\\nM3 S500\\nG1 X10 F600\\nM5\\n', machine, shippedMaterials['basswood']!);
const seconds: number = made.motion.durationS;
console.log(seconds.toFixed(3), made.dose.energyJ.toFixed(3));
`;
    const plain = use.replace(']!', ']').replace(': number', '');
    // 10 mm at 10 mm/s and 500 mm/s²: L/v + v/a = 1.02 s at 2.5 W.
    expect(await there('node', '--input-type=module', '-e', plain)).toBe('1.020 2.550\n');
    writeFileSync(join(elsewhere, 'use.mts'), use);
    const tsc = join(root, 'node_modules', '.bin', 'tsc');
    const options = ['--noEmit', '--strict', '--target', 'es2023', '--ignoreConfig'];
    const node = ['--types', 'node', '--typeRoots', join(root, 'node_modules', '@types')];
    for (const resolution of [
      ['--module', 'nodenext', '--skipDefaultLibCheck'],
      // What the types hold is looked at once.
      ['--module', 'esnext', '--moduleResolution', 'bundler', '--skipLibCheck'],
    ])
      await expect(there(tsc, ...options, ...resolution, ...node, 'use.mts')).resolves.toBe('');
  }, 60_000);

  test('installs what runs, and nothing that is only bundled or for building', () => {
    const { devDependencies, dependencies, ...rest } = JSON.parse(
      readFileSync(join(root, 'package.json'), 'utf8'),
    );
    expect(rest.private).toBeUndefined();
    expect(rest.keywords).toContain('laser');
    for (const name of ['three', 'preact', '@preact/signals', 'uplot', 'gcode-parser'])
      expect(devDependencies).toHaveProperty(name);
    for (const name of Object.keys(devDependencies))
      expect(existsSync(join(elsewhere, 'node_modules', name)), name).toBe(false);
    // Each dependency is asked for by what was built, and all that is asked for is a dependency.
    const dist = join(installed, 'dist');
    const built = readdirSync(dist).filter((name) => name.endsWith('.js'));
    const text = built.map((name) => readFileSync(join(dist, name), 'utf8')).join('\n');
    const asked = new Set(
      Array.from(
        text.matchAll(
          /(?:^import\b[^;'"]*|^export\b[^;'"]*\bfrom |require(?:\$\d+)?\.resolve\()["'`]((?:@[\w-]+\/)?[\w-]+)(?:["'`/])/gm,
        ),
        ([, name]) => name!,
      ),
    );
    // The types name those of one library whose code is bundled.
    expect(readFileSync(join(dist, 'types/machine/profile.d.ts'), 'utf8')).toContain("from 'zod'");
    asked.add('zod');
    expect([...asked].filter((name) => name !== 'node').sort()).toEqual(Object.keys(dependencies).sort());
  });

  test('holds what its documents point to, and the licences of what it bundles', () => {
    for (const name of ['README.md', 'DEVELOPERS.md', 'src/burn/MODEL.md']) {
      const links = Array.from(
        readFileSync(join(installed, name), 'utf8').matchAll(/\]\(([^)#:]+)(?:#[^)]*)?\)/g),
        ([, target]) => target!,
      );
      const missing = links.filter((target) => !existsSync(join(installed, dirname(name), target)));
      expect(missing, name).toEqual([]);
    }
    expect(readFileSync(join(installed, 'dist/licences-of-bundled-code.md'), 'utf8')).toMatch(
      /## gcode-parser/,
    );
    const viewer = readFileSync(join(installed, 'dist/viewer/licences-of-bundled-code.md'), 'utf8');
    for (const name of ['three', 'preact', '@preact/signals', 'uplot'])
      expect(viewer).toContain(`## ${name} - `);
    expect(existsSync(join(installed, 'tests'))).toBe(false);
  });
});
