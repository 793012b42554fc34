import { execFileSync } from 'node:child_process';
import {
  existsSync,
  linkSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { writeFile, writeFiles } from '../../src/cli/write-files.ts';
import { InputError } from '../../src/errors.ts';
import { workplace } from '../support/workplace.ts';

/** Where outputs go: nothing but a regular file is replaced, nothing that is read is lost, and no half file is left. */

const place = workplace();
const SQUARE = 'G21 G90\nM4 S0\nG0 X10 Y10\nG1 X22 S700 F2400\nG1 Y18\nG1 X10\nG1 Y10\nM5\n';
const MACHINE = JSON.stringify({ name: 'bench', laser: { optical_power_w: 8 } });
const job = place.write('square.nc', SQUARE);
const CHANGE = ['--change', '1: speed 500'];

/** One refusal in one line; returns it. */
async function refused(...words: string[]): Promise<string> {
  const { status, out, err } = await place.charcast(...words);
  expect([status, out], words.join(' ')).toEqual([2, '']);
  expect(err).toMatch(/^charcast: [^\n]*found [^\n]+; expected [^\n]+\n$/);
  return err;
}

const folder = (name: string): string => {
  const path = place.path(name);
  mkdirSync(path);
  return path;
};

describe('a place that cannot be written to is refused at once', () => {
  test.runIf(process.platform === 'linux')(
    'in /proc, where making folders the usual way never ends',
    async () => {
      for (const out of ['/proc/burn', '/proc/self/burn/deep']) {
        expect(await refused('forecast', job, '--out', out)).toMatch(
          /proc.*: found a place where nothing can be made/,
        );
      }
      expect(await refused('adjust', job, ...CHANGE, '-o', '/proc/adjusted.nc')).toMatch(
        /nothing can be made/,
      );
    },
  );

  test('under a file, and with no name', async () => {
    expect(await refused('forecast', job, '--out', join(job, 'a', 'b'))).toMatch(
      /square\.nc\/a\/b: found a file where a folder is needed; expected a folder/,
    );
    expect(await refused('forecast', job, '--out', '')).toMatch(/found an empty folder name/);
    for (const words of [
      ['adjust', job, ...CHANGE, '-o', ''],
      ['chart', job, '-o', ''],
      ['view', job, '--save', '/.html/'],
      ['swatch', '--stock', '80x50x3', '-o', ''],
    ]) {
      expect(await refused(...words)).toMatch(/found (an empty name|the name of a folder|--save)/);
    }
  });

  test('in a folder that does not exist: the folder is named', async () => {
    const path = place.path('nodir/x.nc');
    expect(await refused('adjust', job, ...CHANGE, '-o', path)).toMatch(
      /nodir\/x\.nc: found no folder \S*nodir; expected one that exists, so make it first/,
    );
  });

  test('before the job is read, and leaving nothing behind', async () => {
    // The job is none: what is said is said of the output.
    expect(await refused('forecast', place.path('none.nc'), '--out', join(job, 'x'))).toMatch(
      /where a folder is/,
    );
    const dir = folder('untouched');
    expect(await refused('forecast', place.path('none.nc'), '--out', join(dir, 'new', 'deep'))).toMatch(
      /none\.nc: found no such file/,
    );
    expect(readdirSync(dir)).toEqual([]);
  });
});

describe('all names are checked before anything is written', () => {
  test.each(['dose.npy', 'report.json', 'burn.png'])(
    'a job named %s in the folder of the outputs',
    async (name) => {
      const dir = folder(`own-${name}`);
      const own = place.write(`own-${name}/${name}`, SQUARE);
      expect(await refused('forecast', own, '--out', dir)).toMatch(
        /found an output that would overwrite an input/,
      );
      expect(readdirSync(dir)).toEqual([name]);
      expect(readFileSync(own, 'utf8')).toBe(SQUARE);
    },
  );

  test('a page that would replace the wood’s profile', async () => {
    const dir = folder('page');
    const wood = place.write('page/report.html', '{}');
    expect(await refused('forecast', job, '--material', wood, '--html', '--out', dir)).toMatch(
      /overwrite an input/,
    );
    expect(readdirSync(dir)).toEqual(['report.html']);
  });

  test('a swatch over its machine, by either of its two names', async () => {
    for (const [machineName, output] of [
      ['m.nc', 'm.nc'],
      ['m.json', 'm.nc'],
    ] as const) {
      const dir = folder(`over-${machineName}`);
      const machine = place.write(`over-${machineName}/${machineName}`, MACHINE);
      const words = ['swatch', '--machine', machine, '--stock', '60x50x3', '-o', join(dir, output)];
      expect(await refused(...words)).toMatch(/found an output that would overwrite an input/);
      expect(readdirSync(dir)).toEqual([machineName]);
      expect(readFileSync(machine, 'utf8')).toBe(MACHINE);
    }
  });

  test('G-code under the name of another kind of file', async () => {
    const dir = folder('other-kind');
    for (const words of [
      ['adjust', job, ...CHANGE, '-o', join(dir, 'tiny.json')],
      ['adjust', job, ...CHANGE, '-o', join(dir, 'tiny.PNG')],
      ['finish', job, '--reached', '1: 1mm', '-o', join(dir, 'rest.svg')],
      ['swatch', '--stock', '80x50x3', '-o', join(dir, 'swatch.png')],
    ])
      expect(await refused(...words)).toMatch(
        /expected a G-code file, as in job\.nc, not one that ends in \.(json|PNG|svg|png)$/m,
      );
    expect(readdirSync(dir)).toEqual([]);
  });

  test('an input by another name: a hard link, a way round', async () => {
    const dir = folder('linked');
    linkSync(job, join(dir, 'again.nc'));
    expect(await refused('adjust', job, ...CHANGE, '-o', join(dir, 'again.nc'))).toMatch(
      /overwrite an input/,
    );
    expect(await refused('adjust', job, ...CHANGE, '-o', join(dir, '..', 'square.nc'))).toMatch(
      /overwrite an input/,
    );
    expect(readFileSync(job, 'utf8')).toBe(SQUARE);
  });

  test('two outputs of one name, capitals or not', () => {
    const dir = folder('twice');
    expect(() => writeFiles(dir, { 'Fit.png': 'a', 'fit.png': 'b' }, { inputs: [] })).toThrow(InputError);
    expect(readdirSync(dir)).toEqual([]);
  });
});

describe('only regular files are replaced', () => {
  test.runIf(process.platform === 'linux')('not a device, a pipe, a folder or a link', async () => {
    const dir = folder('kinds');
    execFileSync('mkfifo', [join(dir, 'pipe')]);
    mkdirSync(join(dir, 'folder'));
    symlinkSync(job, join(dir, 'link'));
    symlinkSync(join(dir, 'nowhere'), join(dir, 'dangling'));
    const kinds = {
      pipe: 'a pipe',
      folder: 'a folder',
      link: 'a link to another place',
      dangling: 'a broken link',
    };
    for (const [name, kind] of Object.entries(kinds)) {
      const said = await refused('chart', '-o', join(dir, name));
      expect(said).toContain(`kinds/${name}: found ${kind}`);
    }
    expect(await refused('chart', '-o', '/dev/null')).toMatch(/\/dev\/null: found a device/);
    expect(lstatSync('/dev/null').isCharacterDevice()).toBe(true);
    expect(lstatSync(join(dir, 'pipe')).isFIFO()).toBe(true);
    expect(readdirSync(dir).sort()).toEqual(['dangling', 'folder', 'link', 'pipe']);
    // A pipe among several outputs is found before the first is written.
    execFileSync('mkfifo', [join(dir, 'report.json')]);
    expect(await refused('forecast', job, '--out', dir)).toMatch(/report\.json: found a pipe/);
    expect(existsSync(join(dir, 'burn.png'))).toBe(false);
  });

  test('a link where a part would be written is left alone, and so is what it leads to', () => {
    const dir = folder('trap');
    const target = place.write('target.txt', 'precious');
    const traps = ['', '.1'].map((more) => `.burn.png.${process.pid}${more}.part`);
    for (const trap of traps) symlinkSync(target, join(dir, trap));
    expect(writeFiles(dir, { 'burn.png': 'picture' }, { inputs: [] })).toEqual([join(dir, 'burn.png')]);
    expect(readFileSync(target, 'utf8')).toBe('precious');
    expect(readFileSync(join(dir, 'burn.png'), 'utf8')).toBe('picture');
    expect(lstatSync(join(dir, 'burn.png')).isFile()).toBe(true);
    expect(readdirSync(dir).sort()).toEqual([...traps, 'burn.png'].sort());
  });

  test('a name as long as names can be', () => {
    const dir = folder('long');
    const name = `${'x'.repeat(252)}.nc`;
    writeFile(join(dir, name), 'G1', { inputs: [] });
    expect(readdirSync(dir)).toEqual([name]);
  });
});

describe('what breaks off leaves no half file', () => {
  test('work that fails midway: the earlier file stays, no part is left', () => {
    const dir = folder('midway');
    writeFileSync(join(dir, 'a.txt'), 'before');
    const half = (write: (piece: Uint8Array) => void) => {
      write(Buffer.from('half'));
      throw new InputError('found the end; expected more');
    };
    const files = { 'a.txt': 'after', 'b.txt': half };
    expect(() => writeFiles(dir, files, { inputs: [] })).toThrow(/b\.txt|found the end/);
    expect(readdirSync(dir)).toEqual(['a.txt']);
    expect(readFileSync(join(dir, 'a.txt'), 'utf8')).toBe('before');
  });

  test('pieces are put together in order', () => {
    const path = join(folder('pieces'), 'all.txt');
    const content = (write: (piece: Uint8Array) => void) => {
      for (const word of ['one ', 'two ', 'three']) write(Buffer.from(word));
    };
    writeFile(path, content, { inputs: [] });
    expect(readFileSync(path, 'utf8')).toBe('one two three');
  });
});

describe('the key to a burned board', () => {
  test('an earlier swatch.json is never replaced; it is named', async () => {
    const dir = folder('board');
    const words = ['swatch', '--stock', '60x50x3', '-o', join(dir, 'swatch.nc')];
    expect((await place.charcast(...words)).status).toBe(0);
    const key = readFileSync(join(dir, 'swatch.json'), 'utf8');
    const burned = readFileSync(join(dir, 'swatch.nc'), 'utf8');
    words[2] = '90x60x3';
    expect(await refused(...words)).toMatch(
      /board\/swatch\.json: found what an earlier swatch holds.*expected another name with -o/,
    );
    expect(readFileSync(join(dir, 'swatch.json'), 'utf8')).toBe(key);
    expect(readFileSync(join(dir, 'swatch.nc'), 'utf8')).toBe(burned);
  });
});
