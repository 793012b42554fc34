import jpeg from 'jpeg-js';
import { expect, test } from 'vitest';
import { throughJpeg } from './jpeg-loss.ts';
import { seeded } from './random.ts';

/** Not whole blocks, so that the rim goes on in some. */
const [WIDTH, HEIGHT] = [131, 93];

/** Soft colours with a sharp disc on them, and noise. */
function picture(): Uint8ClampedArray {
  const random = seeded(5);
  return Uint8ClampedArray.from({ length: 4 * WIDTH * HEIGHT }, (_, k) => {
    const [x, y, c] = [(k >> 2) % WIDTH, Math.floor((k >> 2) / WIDTH), k % 4];
    if (c === 3) return 255;
    const wood = 130 + 30 * c + 60 * Math.sin(0.03 * x + c) * Math.cos(0.05 * y);
    return (Math.hypot(x - 60, y - 50) < 30 ? 0.3 : 1) * wood + 20 * (random() - 0.5);
  });
}

test.each([30, 60, 82, 95, 100])(
  'at quality %d a photo loses what a file of the JPEG library loses',
  (quality) => {
    const before = picture();
    const own = picture();
    throughJpeg(own, WIDTH, HEIGHT, quality);
    const file = jpeg.encode({ width: WIDTH, height: HEIGHT, data: Buffer.from(before) }, quality).data;
    const theirs = jpeg.decode(file, { useTArray: true }).data;
    let [apart, near, ownLoss, theirLoss, count] = [0, 0, 0, 0, 0];
    for (let k = 0; k < own.length; k++) {
      if (k % 4 === 3) continue;
      apart += own[k]! - theirs[k]!;
      if (Math.abs(own[k]! - theirs[k]!) <= 2) near++;
      ownLoss += (own[k]! - before[k]!) ** 2;
      theirLoss += (theirs[k]! - before[k]!) ** 2;
      count++;
    }
    expect(Math.abs(apart / count)).toBeLessThan(0.2);
    expect(near / count).toBeGreaterThan(0.95);
    expect(Math.sqrt(ownLoss / theirLoss)).toBeCloseTo(1, 1);
  },
);
