import readExif from 'exif-reader';
import jpeg from 'jpeg-js';
import { PNG } from 'pngjs';
import { InputError } from '../errors.ts';
import type { Photo } from '../photo/photo.ts';
import { headOf, refuseOther } from '../recognise/recognise.ts';
import { guarded, readBytes } from './files.ts';
import { surveyJpeg, surveyPng } from './photo-structure.ts';

/** What is called 50 megapixels has up to a hundredth more. */
const MOST_PIXELS = 50.5e6;
const MOST_BYTES = 200e6;
/**
 * Every block of 8 × 8 pixels takes a Huffman code of its own for its mean, and no code is shorter than a bit (ITU-T T.81, C.2
 * and F.1.2.1): a byte holds eight blocks at most, however blank the wall.
 */
const MOST_PIXELS_PER_BYTE = 8 * 64;
/** The picture's own; where segments are out of step, the small one that cameras put before it may count too. */
const MOST_FRAMES = 2;
/** Each scan goes over the whole picture once more; encoders write about ten. */
const MOST_SCANS = 100;
/**
 * Deflate makes at most 1032 bytes of one (zlib, technical details: “Maximum Compression Factor”), and one byte holds
 * at most 8 pixels.
 */
const MOST_PNG_PIXELS_PER_BYTE = 1032 * 8;
/** What the JPEG decoder may take at 50 megapixels, MB. */
const DECODER_MB = 1400;

interface DecodedPhoto {
  /** Turned the way its camera says it should be seen. */
  readonly photo: Photo;
  /** What a reader of its colours should know, in plain sentences. */
  readonly notes: readonly string[];
}

/**
 * @param what the photo is of, for the sentence that refuses another file: `a photo of the board`.
 * @throws {InputError} that names the file.
 */
export function readPhotoFile(path: string, what: string): DecodedPhoto {
  const expected = `${what} as a JPEG or PNG file`;
  const bytes = readBytes(path, 'photo', MOST_BYTES, expected);
  return guarded(path, () => decodePhoto(bytes));
}

/**
 * Decodes a JPEG or a PNG.
 * @throws {InputError} for anything else, for damaged or broken-off files, and for more than 50 megapixels.
 */
export function decodePhoto(bytes: Buffer): DecodedPhoto {
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return decodeJpeg(bytes);
  if (bytes.subarray(0, 8).equals(PNG_SIGNATURE)) return { photo: decodePng(bytes), notes: [] };
  refuseOther(headOf(bytes), 'photo');
  const found = bytes.length === 0 ? 'an empty file' : 'no photo';
  throw new InputError(`found ${found}; expected a JPEG or PNG file, so save or export it as one`);
}

const PNG_SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

function decodeJpeg(bytes: Buffer): DecodedPhoto {
  const { size, isKnownKind, frames, scans } = surveyJpeg(bytes);
  if (size === null) throw brokenOff('JPEG');
  refuseLarge(size);
  // A header may promise millions of pixels that the file cannot hold: no room is made for them.
  if (size.width * size.height > MOST_PIXELS_PER_BYTE * bytes.length) throw brokenOff('JPEG');
  if (!isKnownKind || frames > MOST_FRAMES) throw damaged('JPEG', new Error('unsupported frames'));
  if (scans > MOST_SCANS)
    throw new InputError(
      `found a JPEG that tells its picture in ${scans} scans; expected at most ${MOST_SCANS}, so save it again as an ordinary one`,
    );
  // The decoder also hands over what it found of EXIF, which its types do not tell.
  let image: Photo & { readonly exifBuffer?: Uint8Array | undefined };
  try {
    image = jpeg.decode(bytes, {
      useTArray: true,
      maxResolutionInMP: MOST_PIXELS / 1e6,
      maxMemoryUsageInMB: DECODER_MB,
      tolerantDecoding: false,
    });
  } catch (error) {
    throw damaged('JPEG', error);
  }
  const photo = { width: image.width, height: image.height, data: image.data };
  return { photo: uprighted(photo, orientationOf(image.exifBuffer)), notes: colourNotes(bytes) };
}

function refuseLarge(size: { width: number; height: number }): void {
  if (size.width * size.height > MOST_PIXELS) {
    throw new InputError(
      `found ${size.width} × ${size.height} pixels; expected at most 50 megapixels, so make the photo smaller`,
    );
  }
}

/** What a decoder says of a kind of file it cannot read helps; what it stumbles over in a damaged one does not. */
function damaged(format: string, error: unknown): InputError {
  const said = error instanceof Error ? error.message.replace(/[\s\p{C}]+/gu, ' ') : '';
  if (/unsupported|limit exceeded|only single frame/i.test(said)) {
    return new InputError(
      `found a kind of ${format} that cannot be read (${said.slice(0, 80)}); expected an ordinary one, so save it again`,
    );
  }
  return brokenOff(format);
}

const brokenOff = (format: string): InputError =>
  new InputError(
    `found a damaged or broken-off ${format} file; expected a whole photo, so copy it from the camera again`,
  );

/** EXIF's orientation, 1 to 8 (CIPA DC-008, tag 274); 1 where there is none or it cannot be read. */
function orientationOf(exif: Uint8Array | undefined): number {
  if (exif === undefined) return 1;
  try {
    // The decoder leaves the second zero of the segment's name in front.
    const value = readExif(Buffer.from(exif.subarray(1))).Image?.Orientation;
    return value !== undefined && value >= 1 && value <= 8 ? value : 1;
  } catch {
    return 1; // a photo is worth reading without its notes
  }
}

/**
 * The photo as it should be seen. From orientation to where the stored rows and columns go: bit by bit as EXIF
 * lists them, 2 mirrored, 3 turned round, 4 upside down, 5 to 8 the same with rows and columns exchanged.
 */
function uprighted(photo: Photo, orientation: number): Photo {
  if (orientation === 1) return photo;
  const { width, height, data } = photo;
  const exchanged = orientation >= 5;
  const flipX = [2, 3, 7, 8].includes(orientation);
  const flipY = [3, 4, 6, 7].includes(orientation);
  const newWidth = exchanged ? height : width;
  const newHeight = exchanged ? width : height;
  const from = new Uint32Array(data.buffer, data.byteOffset, width * height);
  const to = new Uint32Array(width * height);
  for (let y = 0, k = 0; y < newHeight; y++) {
    for (let x = 0; x < newWidth; x++, k++) {
      const column = exchanged ? y : x;
      const row = exchanged ? x : y;
      const fromX = flipX ? width - 1 - column : column;
      const fromY = flipY ? height - 1 - row : row;
      to[k] = from[fromY * width + fromX]!;
    }
  }
  return { width: newWidth, height: newHeight, data: new Uint8Array(to.buffer) };
}

/** Where a colour profile's name stands: in the first segments, before the picture itself. */
const PROFILE_BYTES = 1 << 17;

function colourNotes(bytes: Buffer): string[] {
  const head = bytes.toString('latin1', 0, PROFILE_BYTES);
  const wide = ['Display P3', 'Adobe RGB', 'ProPhoto'].find(
    (name) => head.includes(name) || head.includes([...name].map((letter) => `\0${letter}`).join('')),
  );
  return wide === undefined
    ? []
    : [`The photo’s colours are told in ${wide} and were read as sRGB, so a* and b* come out a little low.`];
}

function decodePng(bytes: Buffer): Photo {
  const { size, headers, palettes, isInterlaced, dataBytes, isWhole } = surveyPng(bytes);
  if (size === null) throw brokenOff('PNG');
  refuseLarge(size);
  // The decoder unpacks these without a limit, whatever size the header promised.
  if (isInterlaced)
    throw new InputError('found an interlaced PNG; expected one that is not interlaced, or a JPEG');
  if (headers > 1 || palettes > 1)
    throw new InputError(
      `found a PNG with ${headers > 1 ? 'a second header' : 'a second palette'} in it; expected an ordinary one, so save it again`,
    );
  if (!isWhole) throw brokenOff('PNG');
  if (dataBytes === 0)
    throw new InputError('found a PNG without picture data; expected a whole photo, so copy it again');
  if (size.width * size.height > MOST_PNG_PIXELS_PER_BYTE * dataBytes) throw brokenOff('PNG');
  try {
    const { width, height, data } = PNG.sync.read(bytes);
    if (data.length !== width * height * 4) throw new Error('too few pixels');
    return { width, height, data };
  } catch (error) {
    throw damaged('PNG', error);
  }
}
