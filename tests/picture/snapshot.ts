import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import pixelmatch from 'pixelmatch';
import { PNG } from 'pngjs';
import type { Picture } from '../../src/picture/picture.ts';

/**
 * How far a picture may be from its snapshot. The same code with the same typeface and the same rasteriser
 * gives the same bytes; another processor or a newer rasteriser may round a colour differently or soften an
 * edge otherwise. So a pixel counts from 0.04 of the way from black to white (half of pixelmatch's usual),
 * anti-aliased edges are left out as pixelmatch recognises them, and three pixels in ten thousand are
 * forgiven: a tick label at the size of the snapshots has more.
 */
const THRESHOLD = 0.04;
const FORGIVEN_FRACTION = 0.0003;

/** How much of a step of colour counts (0…1), and the share of pixels that may differ by more. */
interface Tolerance {
  readonly threshold: number;
  readonly forgiven: number;
}
/** For pictures that our own code paints. */
const OUR_OWN: Tolerance = { threshold: THRESHOLD, forgiven: FORGIVEN_FRACTION };

const pathOf = (name: string) => fileURLToPath(new URL(`../../snapshots/${name}.png`, import.meta.url));

/**
 * Compares a picture with `snapshots/<name>.png`. With UPDATE=1 in the environment the snapshot is written
 * anew instead. On a miss the picture is left beside it as `<name>-changed.png`, to be looked at.
 * @param tolerance for pictures that a browser painted, with a graphics card or fonts of its own.
 * @throws {Error} that says what differs, or that there is no snapshot yet.
 */
export function expectPicture(name: string, picture: Picture, tolerance: Tolerance = OUR_OWN): void {
  const path = pathOf(name);
  const changed = pathOf(`${name}-changed`);
  rmSync(changed, { force: true });
  if (process.env.UPDATE === '1') {
    mkdirSync(fileURLToPath(new URL('../../snapshots/', import.meta.url)), { recursive: true });
    writeFileSync(path, encoded(picture));
    return;
  }
  const miss = differenceFrom(path, picture, tolerance);
  if (miss === null) return;
  writeFileSync(changed, encoded(picture));
  throw new Error(`picture ${name}: ${miss}; see ${changed}, and run with UPDATE=1 when it is meant`);
}

/** What differs, in words; null when nothing worth telling does. */
function differenceFrom(
  path: string,
  { width, height, data }: Picture,
  { threshold, forgiven }: Tolerance,
): string | null {
  if (!existsSync(path)) return 'found no snapshot';
  const before = PNG.sync.read(readFileSync(path));
  if (before.width !== width || before.height !== height) {
    return `found ${width} × ${height} pixels; expected ${before.width} × ${before.height}`;
  }
  const count = pixelmatch(before.data, data, null, width, height, { threshold });
  const allowed = Math.floor(width * height * forgiven);
  return count <= allowed ? null : `found ${count} pixels that differ; expected at most ${allowed}`;
}

/** Slow and small: snapshots are checked in. */
function encoded({ width, height, data }: Picture): Buffer {
  const png = new PNG({ width, height });
  png.data.set(data);
  return PNG.sync.write(png, { colorType: 2, deflateLevel: 9 });
}
