import {
  closeSync,
  existsSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  renameSync,
  rmdirSync,
  rmSync,
  type Stats,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { InputError } from '../errors.ts';
import { guarded } from './files.ts';

/** Something to write: all of it, or work that hands it over piece by piece. */
export type Content = Uint8Array | string | ((write: (piece: Uint8Array) => void) => void);

export interface OutputRules {
  /** Files that are read, which must not be overwritten. */
  readonly inputs: readonly string[];
  /** Names in the folder that must be free: what would be lost cannot be made again. Each says why. */
  readonly precious?: Readonly<Record<string, string>>;
}

/** What the operating system said of a place to write to, as a person would say it. */
function complaint(error: unknown): string {
  const code = (error as { code?: string }).code;
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS')
    return 'found a place that may not be written to; expected permission, or another place';
  if (code === 'ENOTDIR' || code === 'EEXIST')
    return 'found a file where a folder is needed; expected a folder, or another name';
  if (code === 'ENOENT') return 'found a place where nothing can be made; expected a folder of your own';
  if (code === 'ENAMETOOLONG') return 'found a name that is too long; expected one that a file can have';
  if (code === 'ELOOP') return 'found links that lead in a circle; expected a folder';
  if (code === 'ENOSPC' || code === 'EDQUOT')
    return 'found no space left on the disk; expected room for what is written';
  return `found trouble in writing (${(error as Error).message}); expected a place that can be written to`;
}

const writing = <T>(path: string, work: () => T): T => guarded(path, work, complaint);

/** What stands at a path, a link itself and not what it leads to; null: nothing. */
const standsAt = (path: string): Stats | null => lstatSync(path, { throwIfNoEntry: false }) ?? null;

/**
 * Checks, before there is any work, that files can be written into a folder (which need not exist) and that none of
 * them takes the place of something that must stay.
 * @throws {InputError} in one sentence that names the place.
 */
export function checkOutputs(folder: string, names: readonly string[], rules: OutputRules): void {
  if (folder.trim() === '') throw new InputError('found an empty folder name; expected the name of a folder');
  if (names.some((name) => name.trim() === '')) throw unnamed('');
  writing(folder, () => {
    const nearest = nearestFolder(resolve(folder));
    // Made and taken away again: permissions alone do not tell whether a place can be written to.
    rmdirSync(mkdtempSync(join(nearest, '.charcast-')));
  });
  for (const name of names) checkOutput(join(folder, name), rules, rules.precious?.[name]);
  const same = names.find((name, k) => names.findIndex((each) => isSameName(each, name)) < k);
  if (same !== undefined)
    throw new InputError('found one name for two of the files to write; expected another', {
      source: join(folder, same),
    });
}

/** Some disks do not tell capitals from small letters. */
const isSameName = (a: string, b: string): boolean => a.toLowerCase() === b.toLowerCase();

const unnamed = (path: string) =>
  new InputError(
    path.trim() === ''
      ? 'found an empty name for the output; expected a file name'
      : 'found the name of a folder; expected that of a file',
    { source: path === '' ? undefined : path },
  );

/** Checks the same of one file, whose folder must exist. */
export function checkOutputFile(path: string, rules: OutputRules): void {
  if (path.trim() === '' || /[/\\]$/.test(path)) throw unnamed(path);
  const folder = dirname(path);
  if (standsAt(folder) === null)
    throw new InputError(`found no folder ${folder}; expected one that exists, so make it first`, {
      source: path,
    });
  checkOutputs(folder, [basename(path)], rules);
}

/** Endings of what is surely no G-code: a program for it would open the file, and a machine would not. */
const NOT_GCODE = /\.(json|png|jpe?g|svg|html?|pdf|npy|csv|zip)$/i;

/** Checks the same of a G-code file, and that its name is none of another kind. */
export function checkGcodeFile(path: string, rules: OutputRules): void {
  refuseOtherKind(path);
  checkOutputFile(path, rules);
}

/** @throws {InputError} for a name that says that the file is no G-code. */
export function refuseOtherKind(path: string): void {
  const [ending] = NOT_GCODE.exec(path) ?? [];
  if (ending === undefined) return;
  throw new InputError(
    `found -o ${path}; expected a G-code file, as in job.nc, not one that ends in ${ending}`,
  );
}

/** The folder itself, or the nearest one above it that exists. */
function nearestFolder(folder: string): string {
  for (let at = folder; ; at = dirname(at)) {
    const found = statSync(at, { throwIfNoEntry: false });
    if (found?.isDirectory()) return at;
    if (!found && standsAt(at)?.isSymbolicLink())
      throw new InputError(`found a broken link (${at}); expected a folder, or another name`);
    if (found || dirname(at) === at)
      throw new InputError('found a file where a folder is needed; expected a folder, or another name');
  }
}

/** Only a regular file is ever replaced, and none that is read or precious. */
function checkOutput(path: string, { inputs }: OutputRules, precious: string | undefined): void {
  const there = writing(path, () => standsAt(path));
  if (there === null) return;
  const refuse = (sentence: string) => {
    throw new InputError(sentence, { source: path });
  };
  if (inputs.some((input) => isSameFile(input, path)))
    refuse('found an output that would overwrite an input; expected another name');
  if (!there.isFile())
    refuse(
      `found ${kindOf(there, path)} of that name; expected a free name, or a plain file, which is replaced`,
    );
  if (precious !== undefined) refuse(precious);
}

/** Whether two paths lead to one file; what cannot be looked at is not read either. */
function isSameFile(a: string, b: string): boolean {
  try {
    const [one, other] = [statSync(a), statSync(b)];
    return one.ino === other.ino && one.dev === other.dev;
  } catch {
    return false;
  }
}

function kindOf(there: Stats, path: string): string {
  if (there.isDirectory()) return 'a folder';
  if (there.isSymbolicLink()) return existsSync(path) ? 'a link to another place' : 'a broken link';
  if (there.isFIFO()) return 'a pipe';
  return there.isSocket() ? 'a socket' : 'a device';
}

/**
 * Writes, and says what was written. Nothing of a person's is replaced unsaid: what stood there before is named too.
 * @param paths whose content is lost if they are there already.
 * @param write gives the paths written.
 * @param say the line of what was written.
 * @returns lines; none where nothing was.
 */
export function writtenLines(
  paths: readonly string[],
  write: () => readonly string[],
  say = (written: readonly string[]): string => `Written: ${written.join(', ')}`,
): string[] {
  const replaced = paths.filter((path) => existsSync(path));
  const written = write();
  return [
    ...(written.length > 0 ? [say(written)] : []),
    ...(replaced.length > 0 ? [`Replaced, as it stood there before: ${replaced.join(', ')}`] : []),
  ];
}

/**
 * Writes files into a folder so that a broken run leaves no half file and nothing is lost: all names are checked
 * first, each file is written beside its final name, and they are renamed when all are there.
 * @returns the paths written.
 */
export function writeFiles(
  folder: string,
  files: Readonly<Record<string, Content>>,
  rules: OutputRules,
): string[] {
  const names = Object.keys(files);
  checkOutputs(folder, names, rules);
  writing(folder, () => makeFolder(resolve(folder)));
  const parts: string[] = [];
  try {
    for (const name of names)
      writing(join(folder, name), () => parts.push(writePart(folder, name, files[name]!)));
    // Once more: the work may have taken minutes.
    for (const name of names) checkOutput(join(folder, name), rules, rules.precious?.[name]);
    return names.map((name) => {
      const path = join(folder, name);
      writing(path, () => renameSync(parts[0]!, path));
      parts.shift();
      return path;
    });
  } finally {
    for (const part of parts) rmSync(part, { force: true });
  }
}

/** Writes one file the same careful way, into a folder that exists. */
export function writeFile(path: string, content: Content, rules: OutputRules): string {
  checkOutputFile(path, rules);
  writeFiles(dirname(path), { [basename(path)]: content }, rules);
  return path;
}

/** Makes a folder and those above it, one by one: in places such as /proc the library's own way never ends. */
function makeFolder(folder: string): void {
  if (statSync(folder, { throwIfNoEntry: false })?.isDirectory()) return;
  if (dirname(folder) !== folder) makeFolder(dirname(folder));
  try {
    mkdirSync(folder);
  } catch (error) {
    // Another run may have made it meanwhile.
    if (!statSync(folder, { throwIfNoEntry: false })?.isDirectory()) throw error;
  }
}

/** How many names are tried for a part; those taken are left by runs that were broken off, or set as a trap. */
const MOST_PARTS = 100;
/** Part of the name that a part keeps: the whole may be as long as a name can be. */
const KEPT_NAME = 40;

/** Writes a new file beside its final name, never into one that is there, nor through a link; returns its path. */
function writePart(folder: string, name: string, content: Content): string {
  const [part, file] = openPart(folder, name);
  try {
    try {
      if (typeof content === 'function') content((piece) => writeFileSync(file, piece));
      else writeFileSync(file, content);
    } finally {
      closeSync(file);
    }
    return part;
  } catch (error) {
    rmSync(part, { force: true });
    throw error;
  }
}

function openPart(folder: string, name: string): [part: string, file: number] {
  for (let k = 0; ; k++) {
    const part = join(folder, `.${name.slice(0, KEPT_NAME)}.${process.pid}${k === 0 ? '' : `.${k}`}.part`);
    try {
      return [part, openSync(part, 'wx')];
    } catch (error) {
      if ((error as { code?: string }).code !== 'EEXIST' || k >= MOST_PARTS) throw error;
    }
  }
}
