import { InputError } from '../errors.ts';
import type { FileKind, Recognised } from './file-kind.ts';
import { formatOf } from './formats.ts';
import { gcodeOf } from './gcode.ts';
import { latin1Of } from './latin1.ts';

/** The kinds of file that are asked for somewhere. */
export type Wanted = 'job' | 'listing' | 'machine' | 'wood' | 'swatch' | 'notebook' | 'photo';

/** As much of a file is looked at, in characters. */
export const HEAD_LENGTH = 1 << 19;

/**
 * The beginning of a file as {@link recognise} takes it: a byte a character (ISO 8859-1); UTF-16 with its mark decoded.
 * @param bytes the file, or the first `HEAD_LENGTH` bytes of it.
 */
export function headOf(bytes: Uint8Array): string {
  const head = bytes.subarray(0, HEAD_LENGTH);
  if (head[0] === 0xff && head[1] === 0xfe) return new TextDecoder('utf-16le').decode(head);
  if (head[0] === 0xfe && head[1] === 0xff) return new TextDecoder('utf-16be').decode(head);
  return latin1Of(head);
}

/**
 * Says what a file is.
 * @param text its beginning, bytes as ISO 8859-1, or the whole of it; no more than `HEAD_LENGTH` is looked at.
 * @returns null where nothing tells; then it may still be a job with a fault.
 */
export function recognise(text: string): Recognised | null {
  const head = text.slice(0, HEAD_LENGTH);
  return formatOf(head) ?? profileOf(head) ?? gcodeOf(head) ?? jsonOf(head);
}

/** A key of JSON that opens with a brace; only there does a text hold JSON and nothing else. */
const OPENS_JSON = /^(?:\u00ef\u00bb\u00bf|\ufeff)?\s*\{\s*"[^"\n]{1,60}"\s*:/;

/** The profiles of Charcast by the fields that only they have. A swatch's key holds a whole machine. */
function profileOf(head: string): Recognised | null {
  if (!OPENS_JSON.test(head)) return null;
  const has = (field: string) => head.includes(`"${field}"`);
  if (has('patches') && has('marks')) return { kind: 'swatch', what: 'the key to a swatch' };
  if (has('notebook') && has('entries')) return { kind: 'notebook', what: 'a notebook of burns' };
  if (has('operations') && has('findings')) return { kind: 'unknown', what: 'the report of a forecast' };
  if (has('optical_power_w')) return { kind: 'machine', what: 'a machine profile' };
  const wood = ['first_mark_j_mm2', 'full_char_j_mm2', 'removal_j_mm3', 'bare_lab'];
  return wood.some(has) ? { kind: 'wood', what: 'a wood profile' } : null;
}

const jsonOf = (head: string): Recognised | null =>
  OPENS_JSON.test(head) ? { kind: 'json', what: 'JSON that is no profile of Charcast' } : null;

/** What is asked for, for a sentence. */
export const EXPECTED: Readonly<Record<Wanted, string>> = {
  job: 'a laser job in G-code',
  listing: 'a settings listing, as a controller prints it',
  machine: 'a machine profile',
  wood: 'a wood profile',
  swatch: 'the key to a swatch, the .json that was written beside it',
  notebook: 'a notebook of burns, as charcast learn --notebook writes it',
  photo: 'a photo as a JPEG or PNG file',
};

/** What Charcast does with a kind of file, or that it can do nothing with it. `file` names it in a command. */
function useOf(kind: FileKind, wanted: Wanted, file: string): string {
  if (kind === 'picture' && wanted === 'photo') return 'save or export it as one';
  switch (kind) {
    case 'job':
      return `a job goes by itself, as in charcast forecast ${file}`;
    case 'printer job':
      return 'it feeds filament and has no beam, so there is no burn to forecast';
    case 'listing':
      return `charcast machine --from ${file} --power 10W -o my-machine.json makes a machine profile of it`;
    case 'machine':
      return `a machine goes beside a job, as in charcast forecast job.nc --machine ${file}`;
    case 'wood':
      return `a wood goes beside a job, as in charcast forecast job.nc --material ${file}`;
    case 'swatch':
      return `charcast fit --swatch ${file} --photo photo.jpg makes a wood of it and a photo of the burned swatch`;
    case 'notebook':
      return `charcast notebook ${file} lists what is in it`;
    case 'photo':
      return 'Charcast makes no G-code from pictures; it reads photos of a burned swatch (charcast fit), of a piece (charcast learn) and of the board (--board)';
    case 'picture':
      return 'Charcast makes no G-code from pictures';
    case 'drawing':
      return 'Charcast makes no G-code from drawings; it reads the G-code that was made from one';
    case 'model':
      return 'Charcast makes no G-code from models';
    case 'archive':
      return 'Charcast opens no archives, so unpack it first';
    case 'page':
      return 'a page is for a browser to open';
    case 'json':
    case 'unknown':
      return 'Charcast has no use for it';
  }
}

/** Whether a file may be what is asked for: then what is wrong with it is better said by who reads it. */
const mayBe = ({ kind, holdsSettings = false }: Recognised, wanted: Wanted): boolean =>
  kind === wanted ||
  (wanted === 'listing' && holdsSettings) ||
  (kind === 'json' &&
    (wanted === 'machine' || wanted === 'wood' || wanted === 'swatch' || wanted === 'notebook'));

/**
 * Refuses a file that is surely something else than what is asked for, in one sentence: what it is, and what Charcast
 * does with it. A file that nothing tells passes.
 * @param text as for {@link recognise}.
 * @param source the file's name, if known.
 * @param expected what is asked for in words, where that is more than {@link EXPECTED} says.
 * @throws {InputError}
 */
export function refuseOther(
  text: string,
  wanted: Wanted,
  source?: string,
  expected: string = EXPECTED[wanted],
): void {
  const found = recognise(text);
  if (found === null || mayBe(found, wanted)) return;
  throw new InputError(
    `found ${found.what}; expected ${expected}: ${useOf(found.kind, wanted, source ?? 'FILE')}`,
    {
      source,
    },
  );
}
