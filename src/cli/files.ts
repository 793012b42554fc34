import { closeSync, fstatSync, openSync, readSync, statSync } from 'node:fs';
import { InputError } from '../errors.ts';
import { EXPECTED, headOf, refuseOther, type Wanted } from '../recognise/recognise.ts';

const CHUNK_BYTES = 1 << 20;
/** Profiles, listings and swatch files are small; a larger file is the wrong file. */
const MOST_SMALL_BYTES = 4 << 20;
/** What a job of as many moves as are read takes; a device or a pipe may never end. */
const MOST_JOB_BYTES = 2000e6;
/** Text that is kept in memory as a whole. */
const MOST_KEPT_BYTES = 500e6;
/** JSON of ours goes a few levels deep; what goes this deep is something else, and would exhaust the stack. */
const DEEPEST_JSON = 100;

/** What the operating system said of a file to be read, as a person would say it. */
function complaint(error: unknown): string {
  const code = (error as { code?: string }).code;
  if (code === 'ENOENT') return 'found no such file; expected one that exists';
  if (code === 'EACCES' || code === 'EPERM')
    return 'found a file that may not be read or written; expected permission';
  if (code === 'EISDIR') return 'found a folder; expected a file';
  if (code === 'ENOTDIR') return 'found a file where a folder is needed; expected the path of a file';
  if (code === 'ENAMETOOLONG') return 'found a name that is too long; expected one that a file can have';
  if (code === 'ELOOP') return 'found links that lead in a circle; expected a file';
  if (code === 'ENXIO') return 'found a device or a socket that cannot be read; expected a file';
  return `found trouble with the file (${(error as Error).message}); expected one that can be read`;
}

/** Runs file work; what goes wrong becomes an InputError about `path`, in the words of `say`. */
export function guarded<T>(path: string, work: () => T, say: (error: unknown) => string = complaint): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof InputError) throw error.from(path);
    if ((error as { code?: string }).code !== undefined) throw new InputError(say(error), { source: path });
    throw error;
  }
}

function openInput(path: string): number {
  if (path.trim() === '') throw new InputError('found an empty file name; expected the name of a file');
  return guarded(path, () => openSync(path, 'r'));
}

const tooLarge = (mostBytes: number, what: string, source: string) =>
  new InputError(
    `found more than ${mostBytes % (1 << 20) === 0 ? mostBytes >> 20 : mostBytes / 1e6} MB; expected ${what}`,
    { source },
  );

/**
 * A job's text in chunks of whole lines, so that a file of any size needs little memory. Bytes are taken as ISO 8859-1: G-code
 * is ASCII, and what comments hold beyond it comes back byte for byte.
 * @throws {InputError} besides what reading brings: when it begins as some other kind of file, and beyond
 *   `mostBytes`, which are counted: a device or a pipe has no size.
 */
export function* readChunks(path: string, mostBytes = MOST_JOB_BYTES): Generator<string> {
  const file = openInput(path);
  try {
    const about = guarded(path, () => fstatSync(file));
    if (about.isDirectory()) {
      throw new InputError('found a folder; expected a G-code file', { source: path });
    }
    const buffer = Buffer.allocUnsafe(CHUNK_BYTES);
    let held = 0; // the beginning of a line whose end has not been read
    for (let total = about.isFile() ? about.size : 0, isFirst = true; ; isFirst = false) {
      if (total > mostBytes) throw tooLarge(mostBytes, 'a smaller job', path);
      const bytes = guarded(path, () => readSync(file, buffer, held, CHUNK_BYTES - held, null));
      const filled = held + bytes;
      if (isFirst) refuseOther(headOf(buffer.subarray(0, filled)), 'job', path);
      if (!about.isFile()) total += bytes;
      const whole = bytes === 0 ? filled : wholeLines(buffer, filled);
      if (whole > 0) yield buffer.toString('latin1', 0, whole);
      if (bytes === 0) return;
      buffer.copyWithin(0, whole, filled);
      held = filled - whole;
    }
  } finally {
    closeSync(file);
  }
}

/** How many of the bytes are whole lines. A buffer full of one line is longer than any job's: it is not kept together. */
function wholeLines(buffer: Buffer, filled: number): number {
  const lf = buffer.lastIndexOf(LF, filled - 1);
  if (lf >= 0) return lf + 1;
  // A CR that is the last so far may be half of a CR LF.
  const cr = filled > 1 ? buffer.lastIndexOf(CR, filled - 2) : -1;
  return cr < 0 && filled === buffer.length ? filled : cr + 1;
}

const LF = 10;
const CR = 13;

/** Lets chunks flow, so that whoever reads them can refuse at any time, and keeps them in `kept`. */
export function* keeping(chunks: Iterable<string>, kept: string[]): Generator<string> {
  for (const chunk of chunks) {
    kept.push(chunk);
    yield chunk;
  }
}

/**
 * A job's text, each time it is asked for. A file is read from the disk again, so that its text takes no memory
 * meanwhile; of what can be read but once, as a pipe, the text is kept.
 */
export function readAgain(path: string): () => Iterable<string> {
  if (guarded(path, () => statSync(path).isFile())) return () => readChunks(path);
  let kept: string[] | null = null;
  return () => {
    if (kept) return kept;
    kept = [];
    return keeping(readChunks(path, MOST_KEPT_BYTES), kept);
  };
}

/**
 * All bytes of a file that is small, up to its end and not by its size: a device or a pipe has none.
 * @param wanted what it should be; `expected`: the same in words, where more is to be said of it.
 * @throws {InputError} when it is too large, or surely something else.
 */
export function readBytes(
  path: string,
  wanted: Wanted,
  mostBytes = MOST_SMALL_BYTES,
  expected: string = EXPECTED[wanted],
): Buffer {
  const file = openInput(path);
  try {
    return guarded(path, () => {
      const pieces: Buffer[] = [];
      for (let total = 0, size = 1; size > 0 && total <= mostBytes; total += size) {
        const piece = Buffer.allocUnsafe(64 << 10);
        size = readSync(file, piece, 0, piece.length, null);
        pieces.push(piece.subarray(0, size));
      }
      const bytes = Buffer.concat(pieces);
      refuseOther(headOf(bytes), wanted, path, expected);
      if (bytes.length > mostBytes) throw tooLarge(mostBytes, expected, path);
      return bytes;
    });
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
  const bytes = readBytes(path, wanted);
  const isUtf16 = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  const encoding = isUtf16 ? (bytes[0] === 0xff ? 'utf-16le' : 'utf-16be') : 'utf-8';
  return new TextDecoder(encoding).decode(bytes);
}

/** Reads and parses a small JSON file, which should be `wanted`. */
export function readJson(path: string, wanted: Wanted): unknown {
  const text = readText(path, wanted);
  if (text.trim() === '') throw new InputError('found an empty file; expected JSON', { source: path });
  if (depthOf(text) > DEEPEST_JSON)
    throw new InputError(
      `found JSON with lists or objects more than ${DEEPEST_JSON} deep in one another; expected a profile, which has a few`,
      { source: path },
    );
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

/** How deep lists and objects of a JSON text lie in one another; brackets in its strings are words. */
function depthOf(json: string): number {
  let depth = 0;
  let deepest = 0;
  for (const [token] of json.matchAll(/"(?:[^"\\]|\\.)*"|[[\]{}]/gs)) {
    if (token === '[' || token === '{') deepest = Math.max(deepest, ++depth);
    else if (token === ']' || token === '}') depth--;
  }
  return deepest;
}
