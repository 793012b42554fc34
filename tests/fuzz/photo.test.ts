import fc from 'fast-check';
import jpeg from 'jpeg-js';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { decodePhoto } from '../../src/cli/photo.ts';
import { fuzz, soundOrRefused, timeoutMs } from './fuzzing.ts';

/** Small true files, whose bytes are then changed, dropped, doubled or cut off. */
const size = fc.record({ width: fc.integer({ min: 1, max: 24 }), height: fc.integer({ min: 1, max: 24 }) });
const pixels = ({ width, height }: { width: number; height: number }): Buffer =>
  Buffer.from(Array.from({ length: width * height * 4 }, (_, k) => (k % 4 === 3 ? 255 : (k * 37) % 256)));

const pngFile = size.map(({ width, height }) => {
  const png = new PNG({ width, height });
  png.data = pixels({ width, height });
  return PNG.sync.write(png);
});
/** Of parts of blocks, whole ones and several; each is written once, which takes the library long. */
const jpegSide = fc.constantFrom(1, 7, 8, 17, 24);
const jpegFiles = new Map<string, Buffer>();
const jpegFile = fc.record({ width: jpegSide, height: jpegSide }).map(({ width, height }) => {
  const name = `${width} × ${height}`;
  const file =
    jpegFiles.get(name) ??
    Buffer.from(jpeg.encode({ width, height, data: pixels({ width, height }) }, 80).data);
  jpegFiles.set(name, file);
  return file;
});

const spoiledBytes = (files: fc.Arbitrary<Buffer>): fc.Arbitrary<Buffer> =>
  fc
    .tuple(
      files,
      fc.array(
        fc.tuple(
          fc.nat(),
          fc.constantFrom('set', 'set', 'drop', 'repeat', 'cut'),
          fc.integer({ min: 0, max: 255 }),
        ),
        {
          minLength: 1,
          maxLength: 5,
        },
      ),
    )
    .map(([file, changes]) =>
      changes.reduce<Buffer>((bytes, [place, how, byte]) => {
        if (bytes.length === 0) return bytes;
        // Headers are where a byte matters most.
        const at = place % (place % 3 === 0 ? Math.min(64, bytes.length) : bytes.length);
        if (how === 'cut') return bytes.subarray(0, at);
        const [before, after] = [bytes.subarray(0, at), bytes.subarray(at + 1)];
        if (how === 'drop') return Buffer.concat([before, after]);
        if (how === 'repeat')
          return Buffer.concat([before, bytes.subarray(at, at + byte), bytes.subarray(at)]);
        const copy = Buffer.from(bytes);
        copy[at] = byte;
        return copy;
      }, file),
    );

/** Whole chunks (or segments) of several files, some of them twice, in any order. */
const mixed = (files: fc.Arbitrary<Buffer>, cut: (file: Buffer) => Buffer[]): fc.Arbitrary<Buffer> =>
  fc
    .tuple(fc.array(files, { minLength: 1, maxLength: 3 }), fc.array(fc.nat(), { maxLength: 12 }))
    .map(([several, picks]) => {
      const [head, ...pieces] = several.flatMap(cut);
      return Buffer.concat([head!, ...picks.map((pick) => pieces[pick % pieces.length]!), ...pieces]);
    });
const mixedPng = mixed(pngFile, (file) => {
  const pieces = [file.subarray(0, 33)];
  for (let at = 33; at < file.length; ) {
    const next = at + 12 + file.readUInt32BE(at);
    pieces.push(file.subarray(at, next));
    at = next;
  }
  return [...pieces, file.subarray(8, 33)];
});
const mixedJpeg = mixed(jpegFile, (file) => {
  const pieces = [file.subarray(0, 2)];
  for (let at = 2; at + 4 <= file.length; ) {
    const isScan = file[at + 1] === 0xda;
    const next = isScan ? file.length - 2 : at + 2 + file.readUInt16BE(at + 2);
    pieces.push(file.subarray(at, next));
    at = next;
  }
  return [...pieces, file.subarray(-2)];
});

describe.each<[string, fc.Arbitrary<Buffer>, number]>([
  ['spoiled PNG files', spoiledBytes(pngFile), 0.5],
  ['spoiled JPEG files', spoiledBytes(jpegFile), 0.05],
  ['PNG files of chunks put together anyhow', mixedPng, 0.5],
  ['JPEG files of segments put together anyhow', mixedJpeg, 0.05],
  [
    'random bytes behind a signature',
    fc
      .tuple(fc.constantFrom('89504e470d0a1a0a', 'ffd8', 'ffd8ffe0', ''), fc.uint8Array({ maxLength: 300 }))
      .map(([head, tail]) => Buffer.concat([Buffer.from(head, 'hex'), tail])),
    0.5,
  ],
])('%s', (_, files, share) => {
  test(
    'a whole picture, or one plain sentence',
    () => {
      fuzz(
        files,
        (bytes) => {
          const decoded = soundOrRefused(() => decodePhoto(bytes));
          if (!decoded) return;
          const { width, height, data } = decoded.photo;
          expect(width >= 1 && height >= 1 && width * height <= 50.5e6).toBe(true);
          expect(data.length).toBe(width * height * 4);
        },
        share,
      );
    },
    timeoutMs(50, share),
  );
});
