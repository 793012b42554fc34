import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, test } from 'vitest';

/** The package as others use it. `npm ci` has built it; these tests read what it built. */
const root = fileURLToPath(new URL('../..', import.meta.url));
// A folder inside the clone, so that `charcast` resolves to this package by its own name.
const folder = mkdtempSync(join(root, 'node_modules', '.charcast-use-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const USE = `import { forecast, readMachine, shippedMaterials } from 'charcast';
const machine = readMachine({ laser: { optical_power_w: 5 } });
const made = forecast('G21\\nM3 S500\\nG1 X10 F600\\nM5\\n', machine, shippedMaterials['basswood']!);
const seconds: number = made.motion.durationS;
console.log(seconds.toFixed(3), made.dose.energyJ.toFixed(3));
`;

test('import { forecast } from "charcast" works in Node', () => {
  expect(existsSync(join(root, 'dist/index.js'))).toBe(true);
  const said = execFileSync(
    'node',
    ['--input-type=module', '-e', USE.replace('!', '').replace(': number', '')],
    { cwd: root, encoding: 'utf8' },
  );
  // 10 mm at 10 mm/s and 500 mm/s²: L/v + v/a = 1.02 s at 2.5 W.
  expect(said.trim()).toBe('1.020 2.550');
});

test.each(['bundler', 'nodenext'])('its types are found (module resolution: %s)', (resolution) => {
  const file = join(folder, 'use.mts');
  writeFileSync(file, USE);
  const options = [
    '--noEmit',
    '--strict',
    '--target',
    'es2023',
    '--moduleResolution',
    resolution,
    '--module',
    resolution === 'bundler' ? 'esnext' : 'nodenext',
    '--types',
    'node',
    '--skipLibCheck',
    '--ignoreConfig',
  ];
  const tsc = join(root, 'node_modules/.bin/tsc');
  expect(() =>
    execFileSync(tsc, [...options, file], { cwd: root, encoding: 'utf8', stdio: 'pipe' }),
  ).not.toThrow();
});

test('the command runs from what was built', () => {
  const said = execFileSync('node', [join(root, 'dist/cli.js'), '--help'], { encoding: 'utf8' });
  expect(said).toMatch(/Usage: charcast/);
});
