import {
  closeSync,
  existsSync,
  fstatSync,
  mkdirSync,
  openSync,
  readFileSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { BenchError } from '../errors.ts';

const CHUNK_BYTES = 1 << 20;
/** Profiles and swatch files are small; a larger file is the wrong file. */
const MAX_JSON_BYTES = 4 << 20;

/** What the operating system said, as a person would say it. */
function complaint(error: unknown): string {
  const code = (error as { code?: string }).code;
  if (code === 'ENOENT') return 'found no such file; expected one that exists';
  if (code === 'EACCES' || code === 'EPERM')
    return 'found a file that may not be read or written; expected permission';
  if (code === 'EISDIR') return 'found a folder; expected a file';
  if (code === 'ENOTDIR' || code === 'EEXIST') return 'found a file where a folder is needed';
  if (code === 'ENOSPC') return 'found no space left on the disk';
  return `found trouble with the file (${(error as Error).message})`;
}

/** Runs file work; what goes wrong becomes a BenchError about `path`. */
function guarded<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof BenchError) throw error.from(path);
    if ((error as { code?: string }).code !== undefined)
      throw new BenchError(complaint(error), { source: path });
    throw error;
  }
}

/**
 * A job's text in chunks, so that a file of any size needs little memory. Bytes are taken as ISO 8859-1: G-code
 * is ASCII, and what comments hold beyond it comes back byte for byte.
 */
export function* readChunks(path: string): Generator<string> {
  const file = guarded(path, () => openSync(path, 'r'));
  try {
    if (guarded(path, () => fstatSync(file).isDirectory())) {
      throw new BenchError('found a folder; expected a G-code file', { source: path });
    }
    const buffer = Buffer.allocUnsafe(CHUNK_BYTES);
    for (;;) {
      const bytes = guarded(path, () => readSync(file, buffer, 0, CHUNK_BYTES, null));
      if (bytes === 0) return;
      yield buffer.toString('latin1', 0, bytes);
    }
  } finally {
    closeSync(file);
  }
}

/** Reads and parses a small JSON file. */
export function readJson(path: string): unknown {
  const text = guarded(path, () => {
    const file = openSync(path, 'r');
    try {
      const { size } = fstatSync(file);
      if (size > MAX_JSON_BYTES)
        throw new BenchError(`found ${size} bytes; expected a profile of at most ${MAX_JSON_BYTES}`);
      return readFileSync(file, 'utf8');
    } finally {
      closeSync(file);
    }
  });
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new BenchError(`found text that is not JSON (${(error as Error).message}); expected a JSON file`, {
      source: path,
    });
  }
}

/**
 * Writes files into a folder so that a broken run leaves no half file and no input is lost: each is written
 * beside its final name and renamed. Returns the paths written.
 * @param inputs files that must not be overwritten.
 */
export function writeFiles(
  folder: string,
  files: Readonly<Record<string, Uint8Array | string>>,
  inputs: readonly string[],
): string[] {
  return guarded(folder, () => {
    mkdirSync(folder, { recursive: true });
    return Object.entries(files).map(([name, content]) => writeFile(join(folder, name), content, inputs));
  });
}

/** Writes one file the same careful way. */
export function writeFile(path: string, content: Uint8Array | string, inputs: readonly string[]): string {
  return guarded(path, () => {
    if (existsSync(path)) {
      const real = realpathSync(path);
      if (inputs.some((input) => existsSync(input) && realpathSync(input) === real)) {
        throw new BenchError('found an output that would overwrite an input; expected another name', {
          source: path,
        });
      }
    }
    const beside = join(dirname(resolve(path)), `.${basename(path)}.${process.pid}.part`);
    try {
      writeFileSync(beside, content);
      renameSync(beside, path);
    } catch (error) {
      rmSync(beside, { force: true });
      throw error;
    }
    return path;
  });
}
