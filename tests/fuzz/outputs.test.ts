import { execFileSync } from 'node:child_process';
import {
  linkSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { writeFiles } from '../../src/cli/write-files.ts';
import { workplace } from '../support/workplace.ts';
import { fuzz, soundOrRefused, timeoutMs } from './fuzzing.ts';

/** Folders in which all sorts of things stand under the names that are to be written, and beside them. */

const place = workplace();
const NAMES = ['burn.png', 'dose.npy', 'report.json', 'Burn.PNG', 'job.nc'];
const PARTS = ['burn.png', 'dose.npy'].map((name) => `.${name}.${process.pid}.part`);
const KINDS = ['file', 'folder', 'link', 'dangling link', 'link to a folder', 'pipe'] as const;

interface Case {
  readonly there: readonly (readonly [name: string, kind: (typeof KINDS)[number]])[];
  readonly outputs: readonly string[];
  readonly inputs: readonly string[];
  readonly precious: readonly string[];
  /** Which of the outputs breaks off half-written; none where it is too large. */
  readonly breaksOff: number;
  /** Folders below, to be made. */
  readonly below: string;
}

const cases: fc.Arbitrary<Case> = fc.record({
  there: fc.uniqueArray(fc.tuple(fc.constantFrom(...NAMES, ...PARTS, 'new'), fc.constantFrom(...KINDS)), {
    selector: ([name]) => name,
    maxLength: 5,
  }),
  outputs: fc.uniqueArray(fc.constantFrom(...NAMES), { minLength: 1, maxLength: 4 }),
  inputs: fc.uniqueArray(fc.constantFrom(...NAMES, 'elsewhere.nc'), { maxLength: 2 }),
  precious: fc.uniqueArray(fc.constantFrom(...NAMES), { maxLength: 1 }),
  breaksOff: fc.nat({ max: 12 }),
  below: fc.constantFrom('', '', '', 'new', 'new/deeper'),
});

function build(root: string, pipe: string, { there }: Case): void {
  writeFileSync(join(root, 'elsewhere.nc'), 'elsewhere');
  mkdirSync(join(root, 'folder'));
  mkdirSync(join(root, 'aside'));
  for (const [name, kind] of there) {
    const path = join(root, 'folder', name);
    if (kind === 'file') writeFileSync(path, `was ${name}`);
    else if (kind === 'folder') mkdirSync(path);
    else if (kind === 'pipe') linkSync(pipe, path);
    else
      symlinkSync(
        join(root, { link: 'elsewhere.nc', 'dangling link': 'nowhere', 'link to a folder': 'aside' }[kind]),
        path,
      );
  }
}

/** Everything below a folder: its kind, and what it holds or leads to. */
function inventory(folder: string): Record<string, string> {
  const all: Record<string, string> = {};
  for (const name of readdirSync(folder)) {
    const path = join(folder, name);
    const about = lstatSync(path);
    if (about.isSymbolicLink()) all[path] = `link to ${readlinkSync(path)}`;
    else if (about.isDirectory()) Object.assign(all, { [path]: 'folder' }, inventory(path));
    else all[path] = about.isFile() ? `file ${readFileSync(path, 'latin1')}` : 'other';
  }
  return all;
}

describe.runIf(process.platform === 'linux')('outputs', () => {
  test(
    'all are written and nothing else has changed, or it is refused and nothing has',
    () => {
      let written = 0;
      let refused = 0;
      // A pipe under another name is a pipe: one process makes it for all cases.
      const pipe = place.path('pipe');
      execFileSync('mkfifo', [pipe]);
      fuzz(
        cases,
        (each) => {
          const root = mkdtempSync(join(tmpdir(), 'charcast-outputs-'));
          try {
            build(root, pipe, each);
            const before = inventory(root);
            const folder = join(root, 'folder', each.below);
            const files = Object.fromEntries(
              each.outputs.map((name, k) => [
                name,
                (write: (piece: Uint8Array) => void) => {
                  write(Buffer.from('is '));
                  if (k === each.breaksOff) throw Object.assign(new Error('no space'), { code: 'ENOSPC' });
                  write(Buffer.from(name));
                },
              ]),
            );
            const rules = {
              inputs: each.inputs.map((name) => join(root, name === 'elsewhere.nc' ? '' : 'folder', name)),
              precious: Object.fromEntries(
                each.precious.map((name) => [name, 'found a key; expected another name']),
              ),
            };
            const paths = soundOrRefused(() => writeFiles(folder, files, rules));
            const after = inventory(root);
            if (paths === undefined) {
              refused++;
              // Folders that had to be made may stay.
              for (const made of [join(root, 'folder', 'new'), join(root, 'folder', 'new', 'deeper')])
                if (!(made in before) && after[made] === 'folder') delete after[made];
              expect(after).toEqual(before);
              return;
            }
            written++;
            expect(paths).toEqual(each.outputs.map((name) => join(folder, name)));
            for (const [k, path] of paths.entries())
              expect(inventoryOf(path)).toBe(`file is ${each.outputs[k]}`);
            const others = (all: Record<string, string>) =>
              Object.entries(all).filter(
                ([path]) =>
                  !paths.includes(path) &&
                  !path.startsWith(join(root, 'folder', 'new')) &&
                  !path.startsWith(join(root, 'aside')),
              );
            expect(others(after)).toEqual(others(before));
            for (const path of paths) if (path in before) expect(before[path]).toMatch(/^file was /);
          } finally {
            rmSync(root, { recursive: true, force: true });
          }
        },
        0.3,
      );
      expect(written).toBeGreaterThan(30);
      expect(refused).toBeGreaterThan(30);
    },
    timeoutMs(30, 0.3),
  );
});

const inventoryOf = (path: string): string =>
  lstatSync(path).isFile() ? `file ${readFileSync(path, 'latin1')}` : 'other';
