import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { EXIT } from '../../src/cli/context.ts';
import { run } from '../../src/cli/run.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { readSwatch } from '../../src/swatch/swatch.ts';
import { photoOfMarker } from '../piece/pieces.ts';
import { jpegOf } from '../support/jpeg.ts';
import { builtViewer } from '../support/one-browser.ts';
import { seeded } from '../support/random.ts';
import { base, burnedScene, photoOf, randomCamera } from '../swatch/scene.ts';

/**
 * Every command of the README, typed as it stands, one after the other, in an empty folder. Only the photos of
 * the burned swatch and piece come from elsewhere, as the README says: both are burned and photographed by arithmetic.
 */
const readme = readFileSync(fileURLToPath(new URL('../../README.md', import.meta.url)), 'utf8');
const lines = Array.from(readme.matchAll(/^```sh\n([\s\S]*?)^```/gm), ([, block]) =>
  block!.trim().split('\n'),
).flat();

/** The words of a line as a shell parts them, its comment taken off. */
function wordsOf(line: string): string[] {
  const words = Array.from(line.matchAll(/"([^"]*)"|(#.*)|([^\s"#]+)/g), ([, quoted, comment, plain]) =>
    comment === undefined ? (quoted ?? plain!) : null,
  );
  return words.filter((word) => word !== null);
}

const commands = lines
  .filter((line) => line.startsWith('npx charcast '))
  .map((line) => wordsOf(line).slice(2));

const folder = mkdtempSync(join(tmpdir(), 'charcast-readme-'));
const before = process.cwd();
beforeAll(async () => {
  await builtViewer();
  process.chdir(folder);
}, 300_000);
afterAll(() => {
  process.chdir(before);
  rmSync(folder, { recursive: true, force: true });
});

/** Runs a command as typed; a server is ended, as by Ctrl-C, once it has said where it is. */
async function typed(words: readonly string[]): Promise<{ status: number; out: string; err: string }> {
  let [out, err] = ['', ''];
  const asBefore = new Set(process.listeners('SIGINT'));
  const status = await run(words, {
    wait: () => undefined,
    out: (text) => {
      out += `${text}\n`;
      if (!/The viewer is at/.test(text)) return;
      setTimeout(() => {
        for (const listener of process.listeners('SIGINT')) if (!asBefore.has(listener)) listener('SIGINT');
      });
    },
    err: (text) => {
      err += `${text}\n`;
    },
  });
  return { status, out, err };
}

function photographSwatch(): void {
  const swatch = readSwatch(JSON.parse(readFileSync('swatch.json', 'utf8')));
  const { width_mm, height_mm, thickness_mm, at_mm } = swatch.stock;
  const stock = {
    widthMm: width_mm,
    heightMm: height_mm,
    thicknessMm: thickness_mm,
    xMm: at_mm[0],
    yMm: at_mm[1],
  };
  const scene = burnedScene(swatch, readFileSync('swatch.nc', 'utf8'), stock, 5 / 64);
  const random = seeded(5);
  const seen = photoOf(scene, base, randomCamera(scene, base, random), random);
  writeFileSync('photo.jpg', jpegOf(seen, 92));
}

function photographPiece(): void {
  const own = readMachine(JSON.parse(readFileSync('garden/bench-gantry.json', 'utf8')));
  writeFileSync('piece.jpg', photoOfMarker(readFileSync('garden/marker.nc', 'latin1'), own));
}

describe('the README’s commands', () => {
  test('are all of a kind that is tried here or by npm itself', () => {
    expect(commands.length).toBeGreaterThanOrEqual(12);
    expect(lines.filter((line) => !line.startsWith('npx charcast ') && !line.startsWith('npm '))).toEqual([]);
    const kinds = new Set(commands.map(([kind]) => kind));
    for (const kind of [
      'forecast',
      'adjust',
      'compare',
      'view',
      'chart',
      'suggest',
      'machine',
      'swatch',
      'fit',
      'demo',
    ])
      expect(kinds, kind).toContain(kind);
  });

  test.each(commands.map((words) => [words.join(' '), words] as const))(
    'charcast %s',
    async (_line, words) => {
      if (words[0] === 'fit') photographSwatch();
      if (words.includes('piece.jpg')) photographPiece();
      const { status, out, err } = await typed(words);
      expect(err).toBe('');
      expect([EXIT.calm, EXIT.warned]).toContain(status);
      expect(out).not.toBe('');
      // Whatever file a command names, it has read or written by now.
      const files = words.filter((word) => /\.(nc|json|png|txt|jpg)$/.test(word));
      expect(files.filter((file) => !existsSync(file))).toEqual([]);
    },
    120_000,
  );
});
