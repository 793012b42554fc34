import type { FileKind, Recognised } from './file-kind.ts';

/** Bytes that must stand at a place. */
type Mark = readonly [at: number, bytes: string];

/**
 * Kinds of file that tell themselves by how they begin, as their own specifications say: PNG (ISO/IEC 15948 §5.2),
 * JPEG (ITU-T T.81 annex B), GIF89a, TIFF 6.0, WEBP (RFC 9649), ISO/IEC 14496-12 (`ftyp`), PDF (ISO 32000), ZIP
 * (ISO/IEC 21320), gzip (RFC 1952), NumPy enhancement proposal 1; the other archives: common practice, no source.
 */
const BEGINNINGS: readonly (readonly [marks: readonly Mark[], kind: FileKind, what: string])[] = [
  [[[0, '\x89PNG\r\n\x1a\n']], 'photo', 'a PNG picture'],
  [[[0, '\xff\xd8\xff']], 'photo', 'a JPEG picture'],
  [[[0, 'GIF87a']], 'picture', 'a GIF picture'],
  [[[0, 'GIF89a']], 'picture', 'a GIF picture'],
  ...['II*\0', 'MM\0*', 'II+\0', 'MM\0+'].map((mark) => [[[0, mark]], 'picture', 'a TIFF picture'] as const),
  [
    [
      [0, 'RIFF'],
      [8, 'WEBP'],
    ],
    'picture',
    'a WEBP picture',
  ],
  ...['heic', 'heix', 'mif1', 'msf1'].map(
    (brand) => [[[4, `ftyp${brand}`]], 'picture', 'a photo in the HEIC format'] as const,
  ),
  [[[4, 'ftypavif']], 'picture', 'a picture in the AVIF format'],
  [[[4, 'ftyp']], 'unknown', 'a recording of sound or film'],
  [
    [
      [0, 'RIFF'],
      [8, 'WAVE'],
    ],
    'unknown',
    'a recording of sound or film',
  ],
  [
    [
      [0, 'RIFF'],
      [8, 'AVI '],
    ],
    'unknown',
    'a recording of sound or film',
  ],
  [[[0, '%PDF-']], 'drawing', 'a PDF document'],
  [[[0, '%!PS']], 'drawing', 'a PostScript drawing'],
  [[[0, 'PK\x03\x04']], 'archive', 'a ZIP archive'],
  [[[0, 'PK\x05\x06']], 'archive', 'a ZIP archive'],
  [[[0, '\x1f\x8b\x08']], 'archive', 'a gzip archive'],
  [[[0, '7z\xbc\xaf\x27\x1c']], 'archive', 'a 7z archive'],
  [[[0, 'Rar!\x1a\x07']], 'archive', 'a RAR archive'],
  [[[0, '\xfd7zXZ\0']], 'archive', 'an xz archive'],
  [
    [
      [0, 'BZh'],
      [4, '1AY'],
    ],
    'archive',
    'a bzip2 archive',
  ],
  [[[257, 'ustar']], 'archive', 'a tar archive'],
  [[[0, '\x93NUMPY']], 'unknown', 'a NumPy array, as a forecast writes its dose'],
  [[[0, '\x7fELF']], 'unknown', 'a program'],
];

/** A file that tells itself by its first bytes, or by what such text begins with; null: by neither. */
export function formatOf(head: string): Recognised | null {
  const found = BEGINNINGS.find(([marks]) => marks.every(([at, bytes]) => head.startsWith(bytes, at)));
  if (found) return { kind: found[1], what: found[2] };
  if (isBitmap(head)) return { kind: 'picture', what: 'a BMP picture' };
  if (isBinaryStl(head) || isTextStl(head)) return { kind: 'model', what: 'an STL model' };
  if (isPenPlotter(head)) return { kind: 'drawing', what: 'a pen-plotter file' };
  return markupOf(head) ?? (isDxf(head) ? { kind: 'drawing', what: 'a DXF drawing' } : null);
}

const uint16 = (head: string, at: number): number => head.charCodeAt(at) | (head.charCodeAt(at + 1) << 8);
const uint32 = (head: string, at: number): number => uint16(head, at) + uint16(head, at + 2) * 0x1_0000;

/** The sizes of the headers that bitmaps have, which stand at byte 14. */
const BITMAP_HEADERS = [12, 16, 40, 52, 56, 64, 108, 124];
const isBitmap = (head: string): boolean =>
  head.startsWith('BM') && head.length > 26 && BITMAP_HEADERS.includes(uint32(head, 14));

/** A triangle takes 50 bytes; the header 80, and 4 for how many there are. */
const STL_HEADER = 84;
const STL_TRIANGLE = 50;

/** No binary STL has a mark of its own: its first triangle must have sides, and a normal no longer than 1. */
function isBinaryStl(head: string): boolean {
  if (head.length < STL_HEADER + STL_TRIANGLE || uint32(head, 80) === 0) return false;
  const first = head.slice(STL_HEADER, STL_HEADER + STL_TRIANGLE);
  if (!first.includes('\0') || uint16(first, 48) !== 0) return false;
  const view = new DataView(Uint8Array.from(first, (each) => each.charCodeAt(0)).buffer);
  const numbers = Array.from({ length: 12 }, (_, k) => view.getFloat32(4 * k, true));
  const normal = Math.hypot(numbers[0]!, numbers[1]!, numbers[2]!);
  const [a, b, c] = [numbers.slice(3, 6), numbers.slice(6, 9), numbers.slice(9, 12)];
  const hasSides = apart(a, b) > SHORTEST_SIDE && apart(b, c) > SHORTEST_SIDE && apart(c, a) > SHORTEST_SIDE;
  return (
    numbers.every((each) => Math.abs(each) < 1e6) && hasSides && (normal === 0 || Math.abs(normal - 1) < 0.01)
  );
}

/** Sides of triangles are longer, in whatever unit: text read as numbers comes out far below. */
const SHORTEST_SIDE = 1e-6;

const apart = (a: readonly number[], b: readonly number[]): number =>
  Math.hypot(a[0]! - b[0]!, a[1]! - b[1]!, a[2]! - b[2]!);

/** Text that such a file has within its first kilobytes, behind a mark of bytes and blanks. */
const opening = (head: string): string => head.slice(0, 4096).replace(/^(\u00ef\u00bb\u00bf|\ufeff)?\s*/, '');

const isTextStl = (head: string): boolean =>
  /^solid\b/i.test(opening(head)) && /\n\s{0,40}facet\s{1,40}normal/i.test(opening(head));

/** An order of a plotter's pen: two letters, numbers, and a semicolon or the next order. */
const PEN_ORDER = /([A-Z]{2})[ \t]*(?:[-+.\d][-+.\d, \t]*)?[;\r\n]*/iy;
/** What such a file is first told, behind commands to the plotter itself: start anew, take a pen, move it, how large. */
const FIRST_ORDER = /^(?:IN|DF|SP|P[UDARG]|VS|IP|SC|LT|CO)/i;
const TO_THE_PLOTTER = /^(?:\p{Cc}(?:E|%-?\dB|\.[A-Z@()](?:[\d;]{0,40}:)?)|\s)*/iu;
/** What puts the pen down and up, and takes it to a place. */
const PEN_WAYS = /^P[UDAR]$/i;
/** So many orders, of these one that moves the pen, are no accident. */
const ENOUGH_ORDERS = 4;

/** Orders for a plotter's pen, which have no mark of their own (common practice, no source): `IN;SP1;PU10,20;PD30,20;`. */
function isPenPlotter(head: string): boolean {
  const text = opening(head).replace(TO_THE_PLOTTER, '');
  if (!FIRST_ORDER.test(text)) return false;
  let ways = 0;
  let at = 0;
  for (let orders = 0; orders < ENOUGH_ORDERS || ways === 0; orders++) {
    PEN_ORDER.lastIndex = at;
    const order = PEN_ORDER.exec(text);
    if (order === null) return false;
    if (PEN_WAYS.test(order[1]!)) ways++;
    at = PEN_ORDER.lastIndex;
  }
  return text.slice(0, at).includes(';');
}

/** SVG, web pages, and other markup. */
function markupOf(head: string): Recognised | null {
  const text = opening(head);
  if (!text.startsWith('<')) return null;
  if (/<(?:\w{1,20}:)?svg[\s>]/i.test(text)) return { kind: 'drawing', what: 'an SVG drawing' };
  if (/<html[\s>]|<!doctype html/i.test(text)) return { kind: 'page', what: 'a web page' };
  return /^<\?xml\s|^<!doctype\s/i.test(text) ? { kind: 'unknown', what: 'an XML file' } : null;
}

/** Pairs of a code and a value on lines of their own; the first that is no comment (999) opens a section. */
function isDxf(head: string): boolean {
  const text = opening(head);
  if (/^[\w ]{1,20}Binary DXF\r\n/.test(text)) return true;
  const lines = text.split(/\r\n|\r|\n/, 200).map((line) => line.trim());
  let at = 0;
  while (lines[at] === '999') at += 2;
  return lines[at] === '0' && lines[at + 1]?.toUpperCase() === 'SECTION';
}
