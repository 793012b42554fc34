import {
  closeSync,
  existsSync,
  fstatSync,
  mkdirSync,
  openSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { InputError } from '../errors.ts';
import { EXPECTED, headOf, refuseOther, type Wanted } from '../recognise/recognise.ts';

const CHUNK_BYTES = 1 << 20;
/** Profiles, listings and swatch files are small; a larger file is the wrong file. */
const MOST_SMALL_BYTES = 4 << 20;

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

/** Runs file work; what goes wrong becomes a InputError about `path`. */
export function guarded<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof InputError) throw error.from(path);
    if ((error as { code?: string }).code !== undefined)
      throw new InputError(complaint(error), { source: path });
    throw error;
  }
}

/**
 * A job's text in chunks, so that a file of any size needs little memory. Bytes are taken as ISO 8859-1: G-code
 * is ASCII, and what comments hold beyond it comes back byte for byte.
 * @throws {InputError} besides what reading brings: when it begins as some other kind of file.
 */
export function* readChunks(path: string): Generator<string> {
  const file = guarded(path, () => openSync(path, 'r'));
  try {
    if (guarded(path, () => fstatSync(file).isDirectory())) {
      throw new InputError('found a folder; expected a G-code file', { source: path });
    }
    const buffer = Buffer.allocUnsafe(CHUNK_BYTES);
    for (let isFirst = true; ; isFirst = false) {
      const bytes = guarded(path, () => readSync(file, buffer, 0, CHUNK_BYTES, null));
      if (bytes === 0) return;
      if (isFirst) refuseOther(headOf(buffer.subarray(0, bytes)), 'job', path);
      yield buffer.toString('latin1', 0, bytes);
    }
  } finally {
    closeSync(file);
  }
}

/**
 * Reads a small text file: UTF-8, or UTF-16 with a byte-order mark, as some editors save.
 * @param wanted what it should be.
 * @throws {InputError} when it is too large, or surely something else.
 */
export function readText(path: string, wanted: Wanted): string {
  const bytes = guarded(path, () => {
    const file = openSync(path, 'r');
    try {
      return readSmall(file, path, wanted);
    } finally {
      closeSync(file);
    }
  });
  const isUtf16 = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const encoding = isUtf16 ? (bytes[0] === 0xff ? 'utf-16le' : 'utf-16be') : 'utf-8';
  return new TextDecoder(encoding).decode(bytes);
}

/** All of a small file, read up to its end and not by its size: a device or a pipe has none. */
function readSmall(file: number, path: string, wanted: Wanted): Buffer {
  const pieces: Buffer[] = [];
  for (let total = 0, size = 1; size > 0; ) {
    const piece = Buffer.alloc(64 << 10);
    size = readSync(file, piece, 0, piece.length, null);
    pieces.push(piece.subarray(0, size));
    total += size;
    if (total > MOST_SMALL_BYTES) break;
  }
  const bytes = Buffer.concat(pieces);
  refuseOther(headOf(bytes), wanted, path);
  if (bytes.length > MOST_SMALL_BYTES)
    throw new InputError(`found more than ${MOST_SMALL_BYTES >> 20} MB; expected ${EXPECTED[wanted]}`);
  return bytes;
}

/** Reads and parses a small JSON file, which should be `wanted`. */
export function readJson(path: string, wanted: Wanted): unknown {
  const text = readText(path, wanted);
  if (text.trim() === '') throw new InputError('found an empty file; expected JSON', { source: path });
  try {
    return JSON.parse(text);
  } catch (error) {
    // The engine quotes the text, line ends and all, and tells the place, if it does, in several ways.
    const said = (error as Error).message.replace(/[\s\p{C}]+/gu, ' ');
    const position = /at position (\d+)/.exec(said)?.[1];
    const line = position && text.slice(0, Number(position)).split('\n').length;
    throw new InputError(
      `found text that is not JSON (${said.replace(/ in JSON at position.*| is not valid JSON/, '')}); expected a JSON file`,
      { source: path, line: line ? line : undefined },
    );
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
        throw new InputError('found an output that would overwrite an input; expected another name', {
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
