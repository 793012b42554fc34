/**
 * What a photo file says of itself, walked through piece by piece before anything is decoded: decoders believe what
 * they read, and make room for it.
 */

interface Size {
  readonly width: number;
  readonly height: number;
}

interface JpegSurvey {
  /** From the first frame header; null where there is none. */
  readonly size: Size | null;
  /** Whether its frames are baseline, extended or progressive ones, all with Huffman codes. */
  readonly isKnownKind: boolean;
  /** How many frame headers and scans there are up to the end of the picture. */
  readonly frames: number;
  readonly scans: number;
}

const SOS = 0xda;
const EOI = 0xd9;
const PROGRESSIVE = 0xc2;

/** A frame header's marker: C0 to CF but for tables and arithmetic conditioning (ITU-T T.81, table B.1). */
const isFrame = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);
/** Markers inside a scan: a stuffed zero, and the restarts. */
const isInsideScan = (marker: number): boolean => marker === 0 || (marker >= 0xd0 && marker <= 0xd7);

/**
 * Walks through a JPEG's segments (ITU-T T.81, annex B). Where they are out of step, everything behind that looks
 * like a frame or a scan is counted, as a decoder may take it for one.
 */
export function surveyJpeg(bytes: Buffer): JpegSurvey {
  const survey = { size: null as Size | null, isKnownKind: true, frames: 0, scans: 0 };
  let inStep = true;
  for (let at = 2; at + 4 <= bytes.length; ) {
    const marker = bytes[at] === 0xff ? bytes[at + 1]! : -1;
    if (marker === EOI && inStep) break;
    if (marker === 0xff && inStep) {
      at += 1; // a fill byte
      continue;
    }
    if (isFrame(marker) && at + 9 <= bytes.length) {
      survey.frames++;
      survey.isKnownKind &&= marker <= PROGRESSIVE;
      survey.size ??= { height: bytes.readUInt16BE(at + 5), width: bytes.readUInt16BE(at + 7) };
    }
    if (marker === SOS) survey.scans++;
    inStep &&= marker > 0 && !isInsideScan(marker);
    if (!inStep) at = nextMark(bytes, at + 1);
    else {
      at += 2 + bytes.readUInt16BE(at + 2);
      if (marker === SOS) at = endOfScan(bytes, at);
    }
  }
  return survey;
}

function endOfScan(bytes: Buffer, from: number): number {
  let at = nextMark(bytes, from);
  while (at + 1 < bytes.length && isInsideScan(bytes[at + 1]!)) at = nextMark(bytes, at + 2);
  return at;
}

/** Where the next FF stands; the end of the file where there is none. */
function nextMark(bytes: Buffer, from: number): number {
  const at = bytes.indexOf(0xff, from);
  return at < 0 ? bytes.length : at;
}

interface PngSurvey {
  /** From the header, which comes first; null where it does not. */
  readonly size: Size | null;
  readonly isInterlaced: boolean;
  readonly headers: number;
  readonly palettes: number;
  /** Bytes of compressed picture. */
  readonly dataBytes: number;
  /** It comes to its end chunk, with every chunk whole. */
  readonly isWhole: boolean;
}

/** A chunk's length, name and check number; the header's own 13 bytes. */
const CHUNK_FRAME = 12;
const HEADER_BYTES = 13;
/** The most entries of a palette, three bytes each. */
const PALETTE_BYTES = 3 * 256;

/** Walks through a PNG's chunks (W3C Portable Network Graphics, 3rd edition, section 5.3). */
export function surveyPng(bytes: Buffer): PngSurvey {
  let headers = 0;
  let palettes = 0;
  let dataBytes = 0;
  let isWhole = false;
  const hasHeader =
    bytes.length >= 8 + CHUNK_FRAME + HEADER_BYTES &&
    bytes.readUInt32BE(8) === HEADER_BYTES &&
    bytes.toString('latin1', 12, 16) === 'IHDR';
  for (let at = 8; hasHeader && at + CHUNK_FRAME <= bytes.length && !isWhole; ) {
    const length = bytes.readUInt32BE(at);
    const name = bytes.toString('latin1', at + 4, at + 8);
    at += CHUNK_FRAME + length;
    if (at > bytes.length) break;
    if (name === 'IHDR') headers++;
    else if (name === 'PLTE') palettes += length > PALETTE_BYTES ? 2 : 1;
    else if (name === 'IDAT') dataBytes += length;
    isWhole = name === 'IEND';
  }
  return {
    size: hasHeader ? { width: bytes.readUInt32BE(16), height: bytes.readUInt32BE(20) } : null,
    isInterlaced: hasHeader && bytes[28] === 1,
    headers,
    palettes,
    dataBytes,
    isWhole,
  };
}
