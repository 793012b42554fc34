import jpeg from 'jpeg-js';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { decodePhoto } from '../../src/cli/photo.ts';
import { surveyJpeg } from '../../src/cli/photo-structure.ts';
import { InputError } from '../../src/errors.ts';
import { jpegOf } from '../support/jpeg.ts';
import { below, seeded } from '../support/random.ts';

/** A small picture whose quarters can be told apart: bright red, green, blue, grey, row by row. */
const WIDTH = 48;
const HEIGHT = 32;
const QUARTERS = [
  [220, 40, 40],
  [40, 200, 40],
  [40, 40, 220],
  [128, 128, 128],
] as const;

function picture(): Uint8Array {
  const data = new Uint8Array(WIDTH * HEIGHT * 4).fill(255);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      data.set(QUARTERS[(y < HEIGHT / 2 ? 0 : 2) + (x < WIDTH / 2 ? 0 : 1)]!, (y * WIDTH + x) * 4);
    }
  }
  return data;
}

const JPEG_FILE = jpeg.encode({ width: WIDTH, height: HEIGHT, data: picture() }, 92).data;
const PNG_FILE = (() => {
  const png = new PNG({ width: WIDTH, height: HEIGHT });
  png.data = Buffer.from(picture());
  return PNG.sync.write(png);
})();
/** New copies, to be spoiled at will. */
const asJpeg = (): Buffer => Buffer.from(JPEG_FILE);
const asPng = (): Buffer => Buffer.from(PNG_FILE);

/** The file with an EXIF segment after its first two bytes that says nothing but the orientation. */
function oriented(file: Buffer, orientation: number, bigEndian: boolean): Buffer {
  const tiff = Buffer.alloc(26);
  const u16 = (value: number, at: number) =>
    bigEndian ? tiff.writeUInt16BE(value, at) : tiff.writeUInt16LE(value, at);
  const u32 = (value: number, at: number) =>
    bigEndian ? tiff.writeUInt32BE(value, at) : tiff.writeUInt32LE(value, at);
  tiff.write(bigEndian ? 'MM' : 'II', 0, 'latin1');
  u16(42, 2);
  u32(8, 4);
  u16(1, 8); // one entry: tag 274, SHORT, one of it, its value
  u16(274, 10);
  u16(3, 12);
  u32(1, 14);
  u16(orientation, 18);
  const body = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff]);
  const head = Buffer.from([0xff, 0xe1, (body.length + 2) >> 8, (body.length + 2) & 255]);
  return Buffer.concat([file.subarray(0, 2), head, body, file.subarray(2)]);
}

/** Which quarter is at the upper left, upper right, lower left and lower right. */
function quartersOf(file: Buffer): { size: string; quarters: number[] } {
  const { width, height, data } = decodePhoto(file).photo;
  const quarters = [
    [0.25, 0.25],
    [0.75, 0.25],
    [0.25, 0.75],
    [0.75, 0.75],
  ].map(([u, v]) => {
    const k = (Math.floor(v! * height) * width + Math.floor(u! * width)) * 4;
    const apart = QUARTERS.map((colour) => Math.hypot(...colour.map((c, i) => c - data[k + i]!)));
    return apart.indexOf(Math.min(...apart));
  });
  return { size: `${width} × ${height}`, quarters };
}

describe('photos are decoded', () => {
  test('JPEG and PNG alike', () => {
    for (const file of [asJpeg(), asPng()]) {
      expect(quartersOf(file)).toEqual({ size: '48 × 32', quarters: [0, 1, 2, 3] });
    }
  });

  test('a progressive JPEG, down to its last scan, as one in a single scan', () => {
    const photo = { width: WIDTH, height: HEIGHT, data: picture() };
    const [several, single] = [true, false].map((isProgressive) =>
      Buffer.from(jpegOf(photo, 92, isProgressive)),
    ) as [Buffer, Buffer];
    expect(surveyJpeg(several).scans).toBeGreaterThan(1);
    expect(surveyJpeg(single).scans).toBe(1);
    expect(decodePhoto(several).photo).toEqual(decodePhoto(single).photo);
    expect(quartersOf(several).quarters).toEqual([0, 1, 2, 3]);
  });

  test('turned as EXIF’s orientation says, in either byte order', () => {
    // CIPA DC-008, tag 274: where the stored row 0 and column 0 belong. Upper left, upper right, lower left,
    // lower right of the picture as seen.
    const seen: Record<number, number[]> = {
      1: [0, 1, 2, 3],
      2: [1, 0, 3, 2],
      3: [3, 2, 1, 0],
      4: [2, 3, 0, 1],
      5: [0, 2, 1, 3],
      6: [2, 0, 3, 1],
      7: [3, 1, 2, 0],
      8: [1, 3, 0, 2],
    };
    for (const [orientation, quarters] of Object.entries(seen)) {
      for (const bigEndian of [false, true]) {
        const size = Number(orientation) >= 5 ? '32 × 48' : '48 × 32';
        expect(quartersOf(oriented(asJpeg(), Number(orientation), bigEndian))).toEqual({ size, quarters });
      }
    }
  });

  test('with an orientation that makes no sense as stored', () => {
    expect(quartersOf(oriented(asJpeg(), 9, false)).quarters).toEqual([0, 1, 2, 3]);
    const file = oriented(asJpeg(), 6, false);
    file.write('XX', 12, 'latin1'); // no byte order
    expect(quartersOf(file).quarters).toEqual([0, 1, 2, 3]);
  });

  test('and a wide colour space is pointed out', () => {
    const file = asJpeg();
    const body = Buffer.from('ICC_PROFILE\0\x01\x01 desc Display P3', 'latin1');
    const head = Buffer.from([0xff, 0xe2, 0, body.length + 2]);
    const wide = Buffer.concat([file.subarray(0, 2), head, body, file.subarray(2)]);
    expect(decodePhoto(wide).notes.join()).toMatch(/told in Display P3 and were read as sRGB/);
    expect(decodePhoto(file).notes).toEqual([]);
  });
});

describe('what is no photo gets a sentence', () => {
  test.each([
    ['nothing', Buffer.alloc(0), /found an empty file; expected a JPEG or PNG file/],
    [
      'text',
      Buffer.from('G21 G90\nM3 S0\n'),
      /found G-code; expected a photo as a JPEG or PNG file: a job goes by itself/,
    ],
    [
      'HEIC',
      Buffer.from('\0\0\0\x18ftypheic\0\0\0\0', 'latin1'),
      /found a photo in the HEIC format; expected .* JPEG or PNG file: save or export it as one/,
    ],
    ['a PNG header alone', asPng().subarray(0, 20), /damaged or broken-off PNG/],
  ])('%s', (_, file, sentence) => {
    expect(() => decodePhoto(file)).toThrow(sentence);
  });

  test('too many pixels, before anything large is made', () => {
    const png = asPng();
    png.writeUInt32BE(60_000, 16);
    png.writeUInt32BE(60_000, 20);
    expect(() => decodePhoto(png)).toThrow(/found 60000 × 60000 pixels; expected at most 50 megapixels/);
    const file = asJpeg();
    const frame = file.indexOf(Buffer.from([0xff, 0xc0]));
    file.writeUInt16BE(65_000, frame + 5);
    file.writeUInt16BE(65_000, frame + 7);
    expect(() => decodePhoto(file)).toThrow(/found 65000 × 65000 pixels; expected at most 50 megapixels/);
  });

  /** A chunk of a PNG, its check number left open: what is refused here is refused before it is looked at. */
  const chunk = (name: string, data: Buffer): Buffer => {
    const length = Buffer.alloc(4);
    length.writeUInt32BE(data.length);
    return Buffer.concat([length, Buffer.from(name, 'latin1'), data, Buffer.alloc(4)]);
  };
  const [BEGIN, END] = [asPng().subarray(0, 33), chunk('IEND', Buffer.alloc(0))];

  test('a PNG whose second header promises more than the first', () => {
    const bomb = Buffer.from(BEGIN.subarray(16, 29));
    bomb.writeUInt32BE(40_000, 0);
    bomb.writeUInt32BE(40_000, 4);
    const file = Buffer.concat([BEGIN, chunk('IHDR', bomb), asPng().subarray(33)]);
    expect(() => decodePhoto(file)).toThrow(
      /found a PNG with a second header in it; expected an ordinary one/,
    );
  });

  test('a PNG with palettes beyond the one of 256 colours', () => {
    const long = Buffer.concat([BEGIN, chunk('PLTE', Buffer.alloc(30_000)), asPng().subarray(33)]);
    expect(() => decodePhoto(long)).toThrow(/found a PNG with a second palette in it/);
  });

  test('a PNG without picture data, and one whose data cannot fill it', () => {
    expect(() => decodePhoto(Buffer.concat([BEGIN, END]))).toThrow(
      /found a PNG without picture data; expected/,
    );
    const large = Buffer.from(BEGIN);
    large.writeUInt32BE(7000, 16);
    large.writeUInt32BE(7000, 20);
    const little = Buffer.concat([large, chunk('IDAT', Buffer.alloc(100)), END]);
    expect(() => decodePhoto(little)).toThrow(/damaged or broken-off PNG/);
  });

  test('a progressive JPEG of 9000 scans; the scans of an ordinary one are counted right', () => {
    const frame = Buffer.from([0xff, 0xc2, 0, 11, 8, 0, 16, 0, 16, 1, 1, 0x11, 0]);
    const scan = Buffer.from([0xff, 0xda, 0, 8, 1, 1, 0, 0, 0, 0, 0x2a, 0xff, 0, 0x2a]);
    const file = Buffer.concat([
      Buffer.from([0xff, 0xd8]),
      frame,
      ...Array(9000).fill(scan),
      Buffer.from([0xff, 0xd9]),
    ]);
    expect(() => decodePhoto(file)).toThrow(
      /found a JPEG that tells its picture in 9000 scans; expected at most 100/,
    );
    expect(surveyJpeg(asJpeg())).toMatchObject({
      size: { width: WIDTH, height: HEIGHT },
      frames: 1,
      scans: 1,
    });
    // What stands behind the end of the picture, as a second one of some phones, does not count.
    expect(surveyJpeg(Buffer.concat([asJpeg(), frame, scan]))).toMatchObject({ frames: 1, scans: 1 });
    // Out of step (here by a wrong length) everything counts that a decoder may come upon.
    const [head, tail] = [Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 3, 0, 0, 0]), file.subarray(2)];
    expect(surveyJpeg(Buffer.concat([head, tail]))).toMatchObject({ frames: 1, scans: 9000 });
  });

  test('a blank JPEG is whole, however few bytes it takes: two bits a block, with codes of a bit (ITU-T T.81, B and F)', () => {
    const segment = (marker: number, ...data: number[]) => [0xff, marker, 0, data.length + 2, ...data];
    /** A code of one bit for the symbol 0: no difference of the mean, or no more of the block. */
    const code = (table: number) => segment(0xc4, table, 1, ...Array(15).fill(0), 0);
    const [width, height] = [1200, 800];
    const file = Buffer.from([
      ...[0xff, 0xd8],
      ...segment(0xdb, 0, ...Array(64).fill(1)),
      ...segment(0xc0, 8, height >> 8, height & 255, width >> 8, width & 255, 1, 1, 0x11, 0),
      ...code(0x00),
      ...code(0x10),
      ...segment(0xda, 1, 1, 0, 0, 63, 0),
      ...Array((2 * (width / 8) * (height / 8)) / 8).fill(0),
      ...[0xff, 0xd9],
    ]);
    expect((width * height) / file.length).toBeGreaterThan(200);
    const { photo } = decodePhoto(file);
    expect([photo.width, photo.height]).toEqual([width, height]);
    expect([...new Set(photo.data)].sort((a, b) => a - b)).toEqual([128, 255]);
    // A header that promises what its bytes cannot hold stays refused.
    expect(() => decodePhoto(file.subarray(0, 1500))).toThrow(/damaged or broken-off JPEG/);
  });

  test('a JPEG of a kind that is not read (arithmetic coding)', () => {
    const file = asJpeg();
    file[file.indexOf(Buffer.from([0xff, 0xc0])) + 1] = 0xc9;
    expect(() => decodePhoto(file)).toThrow(/found a kind of JPEG that cannot be read/);
  });

  test('an interlaced PNG, whose unpacking has no limit', () => {
    const png = asPng();
    png[28] = 1;
    expect(() => decodePhoto(png)).toThrow(/found an interlaced PNG; expected/);
  });

  test('files broken off anywhere', () => {
    for (const file of [asJpeg(), asPng()]) {
      for (let length = 2; length < file.length - 2; length += 5) {
        expect(() => decodePhoto(file.subarray(0, length)), `${length} of ${file.length} bytes`).toThrow(
          InputError,
        );
      }
    }
  });

  test('bytes changed anywhere decode or get a sentence, and nothing else (1200 files)', () => {
    const random = seeded(31);
    let refused = 0;
    for (let k = 0; k < 1200; k++) {
      const file = Buffer.from(k % 2 === 0 ? asJpeg() : asPng());
      const changes = 1 + below(random, 6);
      // Headers matter most: half of the changes fall there.
      for (let c = 0; c < changes; c++) {
        file[below(random, random() < 0.5 ? Math.min(200, file.length) : file.length)] = below(random, 256);
      }
      try {
        const { photo } = decodePhoto(file);
        expect(photo.data.length).toBe(photo.width * photo.height * 4);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        expect(error.message).toMatch(/(?:^|: )found .*; expected /);
        refused++;
      }
    }
    expect(refused).toBeGreaterThan(300);
  });

  test('random bytes behind a true beginning', () => {
    const random = seeded(32);
    for (let k = 0; k < 300; k++) {
      const head =
        k % 2 === 0 ? Buffer.from([0xff, 0xd8, 0xff, 0xe0 + below(random, 16)]) : asPng().subarray(0, 33);
      const rest = Buffer.from(Array.from({ length: below(random, 2000) }, () => below(random, 256)));
      expect(() => decodePhoto(Buffer.concat([head, rest]))).toThrow(InputError);
    }
  });
});
