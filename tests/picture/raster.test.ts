import { PNG } from 'pngjs';
import { describe, expect, it } from 'vitest';
import { encodePng } from '../../src/cli/png.ts';
import type { Bounds } from '../../src/grid.ts';
import { linearOf, luminance } from '../../src/photo/photo.ts';
import { grainOver } from '../../src/picture/grain.ts';
import { blankPicture, layOver, type Picture, placePicture } from '../../src/picture/picture.ts';
import { POPLAR_TONE_PATH } from '../../src/picture/poplar.ts';
import { paintShadow } from '../../src/picture/shadow.ts';
import { viewOver } from '../../src/picture/view.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import { type Scene, sceneOf, stockOf } from './scenes.ts';

const pixel = ({ data, width }: Picture, x: number, y: number) => [
  ...data.slice((y * width + x) * 4, (y * width + x) * 4 + 4),
];

describe('layOver', () => {
  it('is Porter and Duff’s source over destination, for premultiplied sources', () => {
    // T. Porter, T. Duff, "Compositing Digital Images", SIGGRAPH 1984: result = source + (1 − α) · destination.
    const target = blankPicture(2, 1, [200, 100, 50]);
    layOver(target, { width: 2, height: 1, data: Uint8ClampedArray.of(64, 32, 0, 128, 0, 0, 0, 0) });
    const keep = 1 - 128 / 255;
    expect(pixel(target, 0, 0)).toEqual(
      [64 + keep * 200, 32 + keep * 100, keep * 50].map(Math.round).concat(255),
    );
    expect(pixel(target, 1, 0)).toEqual([200, 100, 50, 255]);
  });

  it('refuses a drawing of another size', () => {
    const drawing = blankPicture(3, 2, [0, 0, 0]);
    expect(() => layOver(blankPicture(2, 2, [0, 0, 0]), drawing)).toThrow(/3 × 2 pixels; expected 2 × 2/);
  });
});

describe('placePicture', () => {
  it('copies what lies inside and leaves the rest alone', () => {
    const target = blankPicture(4, 4, [1, 1, 1]);
    placePicture(target, blankPicture(3, 3, [9, 9, 9]), -1, 2);
    const nines = Array.from({ length: 16 }, (_, k) => target.data[k * 4]);
    expect(nines).toEqual([1, 1, 1, 1, 1, 1, 1, 1, 9, 9, 1, 1, 9, 9, 1, 1]);
    expect(() => placePicture(target, blankPicture(2, 2, [7, 7, 7]), 9, 9)).not.toThrow();
  });
});

describe('paintShadow', () => {
  it('falls to the lower right and spares the board itself', () => {
    const picture = blankPicture(60, 50, [240, 240, 240]);
    const view = { leftMm: 0, bottomMm: 0, pxPerMm: 1, widthPx: 30, heightPx: 20 };
    paintShadow(picture, 15, 12, view, 2, 10);
    expect(pixel(picture, 30, 20)).toEqual([240, 240, 240, 255]);
    expect(pixel(picture, 30, 34)[0]).toBeLessThan(pixel(picture, 30, 10)[0]! - 20);
    expect(pixel(picture, 45, 22)[0]).toBeLessThan(pixel(picture, 14, 22)[0]! - 20);
    expect(pixel(picture, 1, 1)).toEqual([240, 240, 240, 255]);
  });
});

describe('encodePng', () => {
  it('writes 8-bit RGB that reads back the same', async () => {
    const picture = blankPicture(37, 23, [0, 0, 0]);
    for (let k = 0; k < picture.data.length; k++) if (k % 4 < 3) picture.data[k] = (k * 7919) % 256;
    const bytes = await encodePng(picture);
    const read = PNG.sync.read(Buffer.from(bytes));
    expect([read.width, read.height]).toEqual([37, 23]);
    expect([...read.data]).toEqual([...picture.data]);
    // PNG (third edition) §11.2.1: colour type 2 is truecolour without alpha.
    expect([bytes[24], bytes[25]]).toEqual([8, 2]);
  });
});

describe('the grain', () => {
  const view = { leftMm: 0, bottomMm: 0, pxPerMm: 12, widthPx: 600, heightPx: 300 };
  const rowsOf = (of: typeof view, seed?: number) => {
    const grain = grainOver(of, seed);
    return Array.from({ length: of.heightPx }, (_, y) => {
      const row = new Float32Array(of.widthPx);
      grain.row(y, row);
      return row;
    });
  };

  it('runs along x: it changes much faster across than along', () => {
    const rows = rowsOf(view);
    let along = 0;
    let across = 0;
    for (let y = 1; y < 300; y++) {
      for (let x = 1; x < 600; x++) {
        along += Math.abs(rows[y]![x]! - rows[y]![x - 1]!);
        across += Math.abs(rows[y]![x]! - rows[y - 1]![x]!);
      }
    }
    expect(across).toBeGreaterThan(4 * along);
  });

  it('has no seams: no pixel stands out from both its neighbours along the grain', () => {
    for (const [pxPerMm, leftMm] of [
      [12, 0],
      [15, 0],
      [15, -3.7],
      [4.5, 11.3],
      [17.3, 0.01],
    ] as const) {
      let most = 0;
      for (const row of rowsOf({ ...view, pxPerMm, leftMm, widthPx: 2000, heightPx: 12 })) {
        for (let x = 1; x < 1999; x++)
          most = Math.max(most, Math.abs(row[x]! - (row[x - 1]! + row[x + 1]!) / 2));
      }
      expect(most).toBeLessThan(0.12);
    }
  });

  it('stays within its range and differs by seed only', () => {
    const rows = rowsOf(view);
    const all = rows.flatMap((row) => [...row]);
    expect(Math.max(...all.slice(0, 60_000))).toBeLessThan(1.3);
    expect(Math.min(...all.slice(0, 60_000))).toBeGreaterThan(-1.6);
    expect(rowsOf(view)[150]).toEqual(rows[150]);
    expect(rowsOf(view, 8)[150]).not.toEqual(rows[150]);
  });

  it('belongs to the place: a close-up has the streaks of the whole', () => {
    const whole = rowsOf(view);
    const part = rowsOf({ ...view, leftMm: 20, bottomMm: 5, widthPx: 120, heightPx: 120 });
    let error = 0;
    let size = 0;
    for (let y = 0; y < 120; y++) {
      for (let x = 0; x < 120; x++) {
        error += Math.abs(part[y]![x]! - whole[120 + y]![240 + x]!);
        size += Math.abs(part[y]![x]!);
      }
    }
    expect(error / size).toBeLessThan(1e-4);
  });
});

describe('the wood', () => {
  const stock: Bounds = stockOf(20, 10);
  const rasterOf = (scene: Scene, longSidePx = 200) =>
    woodRaster(scene.burn, viewOver(scene.stock, scene.burn.frame, longSidePx), POPLAR_TONE_PATH);
  const meanLight = (picture: Picture, fromX: number, toX: number) => {
    let sum = 0;
    let count = 0;
    for (let y = 0; y < picture.height; y++) {
      for (let x = fromX; x < toX; x++, count++) {
        const [r, g, b] = pixel(picture, x, y);
        sum += r! + g! + b!;
      }
    }
    return sum / count / 3;
  };

  it('is darker the higher the tone, in every quarter', () => {
    const wood = rasterOf(sceneOf(stock, 0.1, (x) => 0.15 * Math.floor(x / 5)));
    const quarters = [0, 1, 2, 3].map((k) => meanLight(wood, k * 50, k * 50 + 50));
    for (let k = 1; k < 4; k++) expect(quarters[k]).toBeLessThan(quarters[k - 1]! - 15);
  });

  it('is bare where nothing burned and where the grid ends', () => {
    const bare = sceneOf(stock, 0.1, () => 0);
    const wide = { ...bare, stock: stockOf(40, 10, -10) };
    const wood = rasterOf(wide, 400);
    expect(Math.abs(meanLight(wood, 0, 100) - meanLight(wood, 100, 300))).toBeLessThan(14);
    expect(meanLight(wood, 0, 100)).toBeGreaterThan(170);
  });

  it('has no streaks where the material has none', () => {
    const { burn } = sceneOf(stock, 0.1, () => 0);
    const view = viewOver(stock, burn.frame, 200);
    const spread = (picture: Picture) => {
      const column = Array.from(
        { length: picture.height - 1 },
        (_, y) => pixel(picture, 100, y + 1)[2]! - pixel(picture, 100, y)[2]!,
      );
      return Math.max(...column.map(Math.abs));
    };
    expect(spread(woodRaster(burn, view, POPLAR_TONE_PATH))).toBeGreaterThan(4);
    expect(spread(woodRaster(burn, view, POPLAR_TONE_PATH, 0))).toBeLessThanOrEqual(1);
  });

  it('has the mean light of lines finer than its pixels, not the light of their mean tone', () => {
    const stripes = sceneOf(stock, 0.1, () => 0).burn;
    const { nx } = stripes.frame;
    const striped = { ...stripes, tone: stripes.tone.map((_, k) => ((k % nx) % 2 === 0 ? 0.8 : 0)) };
    const lightOf = (burn: typeof stripes) => {
      const wood = woodRaster(burn, viewOver(stock, burn.frame, 100), POPLAR_TONE_PATH, 0);
      // In the middle the light of the room is 1.
      const [r, g, b] = pixel(wood, 50, 25).map(linearOf) as [number, number, number, number];
      return luminance(r, g, b);
    };
    const even = (tone: number) => lightOf({ ...stripes, tone: stripes.tone.map(() => tone) });
    expect(lightOf(striped) / even(0)).toBeCloseTo((even(0.8) / even(0) + 1) / 2, 2);
    expect(even(0.4) / even(0)).toBeLessThan(lightOf(striped) / even(0) - 0.1);
  });

  it('lights the walls that face the upper left and shades those that face away', () => {
    const scene = sceneOf(stock, 0.1, () => 0);
    const { nx } = scene.burn.frame;
    const depthMm = scene.burn.depthMm.map((_, k) => (k % nx > 60 && k % nx < 140 ? 0.4 : 0));
    const flat = rasterOf(scene);
    const carved = rasterOf({ ...scene, burn: { ...scene.burn, depthMm } });
    const change = (from: number) => meanLight(carved, from, from + 2) / meanLight(flat, from, from + 2);
    // The left wall falls away from the light, the right wall rises towards it; the floor is a little darker.
    expect(change(60)).toBeLessThan(0.9);
    expect(change(139)).toBeGreaterThan(1.02);
    expect(change(100)).toBeLessThan(0.99);
    expect(change(100)).toBeGreaterThan(0.8);
    expect(change(20)).toBeCloseTo(1, 6);
  });

  it('is darkest where it is cut through, with a light edge behind the cut', () => {
    const scene = sceneOf(stock, 0.1, () => 0);
    const { nx } = scene.burn.frame;
    const through = scene.burn.through!.map((_, k) => (k % nx >= 80 && k % nx < 90 ? 1 : 0));
    const whole = rasterOf(scene);
    const cut = rasterOf({ ...scene, burn: { ...scene.burn, through } });
    expect(meanLight(cut, 82, 87)).toBeLessThan(30);
    expect(meanLight(cut, 90, 91)).toBeGreaterThan(meanLight(whole, 90, 91) + 5);
    expect(meanLight(cut, 78, 79)).toBeCloseTo(meanLight(whole, 78, 79), 6);
    expect(rasterOf({ ...scene, burn: { ...scene.burn, through: null } }).data).toEqual(whole.data);
  });
});
