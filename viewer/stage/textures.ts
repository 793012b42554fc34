import {
  ClampToEdgeWrapping,
  DataTexture,
  FloatType,
  LinearFilter,
  LinearMipmapLinearFilter,
  MirroredRepeatWrapping,
  NearestFilter,
  NearestMipmapNearestFilter,
  NoColorSpace,
  RedFormat,
  RGBAFormat,
  RGFormat,
  SRGBColorSpace,
  UnsignedByteType,
} from 'three';
import type { Bounds } from '../../src/grid.ts';
import type { BoardFace } from '../../src/own-board/own-board.ts';
import { grainOver } from '../../src/picture/grain.ts';
import type { Picture } from '../../src/picture/picture.ts';
import { crossingsAt } from '../../src/polygon.ts';
import type { Arrival } from '../worker/arrival.ts';
import { markOf, type TimedPart } from '../worker/pieces.ts';
import type { RevealLevel } from '../worker/reveal.ts';
import type { Surface } from '../worker/surface.ts';
import type { MapRow } from './maps.ts';

/** What stands on the graphics card: one texture per thing the wood's shader asks. */

const bytes = (data: Uint8Array) => data as Uint8Array<ArrayBuffer>;

/** Drawn smooth at every size, from a chain of ever smaller copies. */
function smooth(texture: DataTexture, anisotropy = 1): DataTexture {
  texture.magFilter = LinearFilter;
  texture.minFilter = LinearMipmapLinearFilter;
  texture.generateMipmaps = true;
  texture.anisotropy = anisotropy;
  texture.needsUpdate = true;
  return texture;
}

type Level = { readonly data: Float32Array | Uint8Array; readonly width: number; readonly height: number };

/** Read as it stands, texel by texel: what lies between two of its values would mean nothing. */
function exact(texture: DataTexture, levels: readonly Level[]): DataTexture {
  texture.minFilter = NearestMipmapNearestFilter;
  texture.magFilter = NearestFilter;
  texture.mipmaps = levels as unknown as DataTexture['mipmaps'];
  texture.generateMipmaps = false;
  texture.unpackAlignment = 1;
  texture.needsUpdate = true;
  return texture;
}

/** A map of its own cells, {@link CellMap}: smooth between them. */
export function cellTexture(nx: number, ny: number, rg: Uint8Array): DataTexture {
  const texture = new DataTexture(bytes(rg), nx, ny, RGFormat, UnsignedByteType);
  texture.colorSpace = NoColorSpace;
  texture.unpackAlignment = 1;
  return smooth(texture);
}

export function surfaceTexture({ frame, rgba }: Surface, anisotropy: number): DataTexture {
  const texture = new DataTexture(bytes(rgba), frame.nx, frame.ny, RGBAFormat, UnsignedByteType);
  texture.colorSpace = NoColorSpace;
  return smooth(texture, anisotropy);
}

export function spanTexture(reveals: readonly RevealLevel[]): DataTexture {
  const levels = reveals.map(({ nx, ny, spanS }) => ({ data: spanS, width: nx, height: ny }));
  const { data, width, height } = levels[0]!;
  return exact(
    new DataTexture(data as Float32Array<ArrayBuffer>, width, height, RGFormat, FloatType),
    levels,
  );
}

export function visitsTexture(reveals: readonly RevealLevel[]): DataTexture {
  const levels = reveals.map(({ nx, ny, visits }) => ({ data: visits, width: nx, height: ny }));
  const { data, width, height } = levels[0]!;
  return exact(new DataTexture(bytes(data), width, height, RedFormat, UnsignedByteType), levels);
}

/** Which part a texel belongs to; one texel of none where nothing comes free. */
export function markTexture({ frame }: Arrival, marks: Uint8Array | null): DataTexture {
  const texture = marks
    ? new DataTexture(bytes(marks), frame.nx, frame.ny, RedFormat, UnsignedByteType)
    : new DataTexture(new Uint8Array(1), 1, 1, RedFormat, UnsignedByteType);
  texture.unpackAlignment = 1;
  texture.needsUpdate = true;
  return texture;
}

/** When the parts of each mark have come free, s. */
export function fallTexture(free: readonly TimedPart[]): DataTexture {
  const fallS = new Float32Array(256);
  for (const part of free) fallS[markOf(part)] = Math.max(fallS[markOf(part)]!, part.freeS);
  const texture = new DataTexture(fallS, 256, 1, RedFormat, FloatType);
  texture.needsUpdate = true;
  return texture;
}

/** One of the layers on the arrival's frame. */
export function layerTexture({ frame }: Arrival, layer: Uint8Array, anisotropy: number): DataTexture {
  return smooth(new DataTexture(bytes(layer), frame.nx, frame.ny, RGBAFormat, UnsignedByteType), anisotropy);
}

export function rowTexture(row: MapRow): DataTexture {
  const texture = new DataTexture(row, row.length / 4, 1, RGBAFormat, UnsignedByteType);
  texture.colorSpace = SRGBColorSpace;
  texture.minFilter = LinearFilter;
  texture.magFilter = LinearFilter;
  texture.wrapS = ClampToEdgeWrapping;
  texture.needsUpdate = true;
  return texture;
}

const GRAIN_PX_PER_MM = 18;
const MOST_GRAIN_PX = 1_600_000;

/** The grain of a board, the same as in the pictures, as brightness around 0.5. */
export function grainTexture(board: Bounds, anisotropy: number): DataTexture {
  const widthMm = board.maxXMm - board.minXMm;
  const heightMm = board.maxYMm - board.minYMm;
  const pxPerMm = Math.min(GRAIN_PX_PER_MM, Math.sqrt(MOST_GRAIN_PX / (widthMm * heightMm)));
  const widthPx = Math.max(2, Math.min(4096, Math.round(widthMm * pxPerMm)));
  const heightPx = Math.max(2, Math.min(4096, Math.round(heightMm * pxPerMm)));
  const grain = grainOver({ leftMm: board.minXMm, bottomMm: board.minYMm, pxPerMm, widthPx, heightPx });
  const data = new Uint8Array(widthPx * heightPx);
  const row = new Float32Array(widthPx);
  for (let y = 0; y < heightPx; y++) {
    grain.row(y, row);
    const to = (heightPx - 1 - y) * widthPx;
    for (let x = 0; x < widthPx; x++) data[to + x] = Math.min(255, Math.max(0, 128 + 80 * row[x]!));
  }
  const texture = new DataTexture(data, widthPx, heightPx, RedFormat, UnsignedByteType);
  texture.unpackAlignment = 1;
  // The sides of the board read it as well, wherever they are.
  texture.wrapS = texture.wrapT = MirroredRepeatWrapping;
  return smooth(texture, anisotropy);
}

/** A picture (row 0 at the top) as a texture. */
export function pictureTexture({ width, height, data }: Picture): DataTexture {
  const flipped = new Uint8Array(data.length);
  for (let y = 0; y < height; y++)
    flipped.set(data.subarray(y * width * 4, (y + 1) * width * 4), (height - 1 - y) * width * 4);
  const texture = new DataTexture(flipped, width, height, RGBAFormat, UnsignedByteType);
  texture.colorSpace = SRGBColorSpace;
  return smooth(texture);
}

/** A photographed board; transparent beside its outline. */
export function faceTexture(
  { nx, ny, rgb, x0Mm, y0Mm, stepMm, outline }: BoardFace,
  anisotropy: number,
): DataTexture {
  const rgba = new Uint8Array(4 * nx * ny);
  for (let j = 0, k = 0; j < ny; j++) {
    const crossings = crossingsAt(outline, y0Mm + (j + 0.5) * stepMm);
    let passed = 0;
    for (let i = 0; i < nx; i++, k++) {
      while (passed < crossings.length && crossings[passed]! <= x0Mm + (i + 0.5) * stepMm) passed++;
      for (let c = 0; c < 3; c++) rgba[4 * k + c] = rgb[3 * k + c]!;
      rgba[4 * k + 3] = passed % 2 === 1 ? 255 : 0;
    }
  }
  const texture = new DataTexture(bytes(rgba), nx, ny, RGBAFormat, UnsignedByteType);
  texture.colorSpace = SRGBColorSpace;
  return smooth(texture, anisotropy);
}
