import jpeg from 'jpeg-js';
import { describe, expect, test } from 'vitest';
import type { Stock } from '../../src/board.ts';
import { withOutline } from '../../viewer/state/outline.ts';
import { photographed, type Shot, seenAt } from '../own-board/camera.ts';
import { reportOn, SLOW, settle, useWorld } from './world.ts';

const world = useWorld();

/** An offcut under the demo's marker, a sheet of A4 beside it. */
const shot: Shot = {
  widthPx: 1000,
  heightPx: 750,
  focal: 0.75,
  from: [150, 40, 430],
  at: [150, 90, 0],
  thicknessMm: 4,
  board: [
    [-10, -12],
    [140, -6],
    [140, 40],
    [90, 60],
    [-5, 55],
  ],
  noise: 0.02,
  quality: 90,
  seed: 11,
};
const SHEET = [
  [160, -20],
  [370, -20],
  [370, 277],
  [160, 277],
] as const;

test(
  'an own board is laid under the job from its photo, and its outline can be dragged',
  async () => {
    const page = await world.open({ viewport: { width: 1100, height: 800 }, fineness: 0.3 });
    await settle(page);
    const { width, height, data } = photographed(shot);
    const file = jpeg.encode({ width, height, data: Buffer.from(data) }, 90).data;
    await page
      .locator('.own-board input[type=file]')
      .setInputFiles({ name: 'offcut.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(file) });
    const photo = page.locator('.own-board .on-photo');
    await photo.waitFor();
    await photo.scrollIntoViewIfNeeded();
    const drag = async (name: string, x: number, y: number): Promise<void> => {
      const box = (await photo.boundingBox())!;
      const corner = (await page.getByLabel(name).boundingBox())!;
      await page.mouse.move(corner.x + corner.width / 2, corner.y + corner.height / 2);
      await page.mouse.down();
      await page.mouse.move(box.x + (x / width) * box.width, box.y + (y / height) * box.height, { steps: 2 });
      await page.mouse.up();
    };
    for (const [k, which] of ['lower left', 'lower right', 'upper right', 'upper left'].entries()) {
      const [x, y] = SHEET[k]!;
      await drag(`the sheet’s ${which} corner`, ...seenAt(shot, [x, y, 0]));
    }
    for (const [label, mm] of [
      ['sheet corner x', '160'],
      ['sheet corner y', '-20'],
    ] as const) {
      await page.getByLabel(label).fill(mm);
      await page.getByLabel(label).blur();
    }
    await page.getByRole('button', { name: 'find the board' }).click();
    const outline = async () => (await reportOn(page)).stock_mm?.outline ?? [];
    await expect.poll(outline, { timeout: 60_000 }).not.toEqual([]);
    await settle(page);
    // A pixel of the photo as shown is more than a millimetre: corners dragged there are no better.
    const found = await outline();
    for (const [x, y] of shot.board)
      expect(Math.min(...found.map(([u, v]) => Math.hypot(u - x, v - y)))).toBeLessThan(3);
    const kinds = async () => (await reportOn(page)).findings.map(({ kind }) => kind);
    expect(await kinds()).not.toContain('off-stock');
    // The corner at the lower left, dragged into the job.
    const k = found.findIndex(([u, v]) => Math.hypot(u + 10, v + 12) < 4);
    await drag(`corner ${k + 1} of the board`, ...seenAt(shot, [45, 22, 4]));
    await expect.poll(kinds, { timeout: 60_000 }).toContain('off-stock');
    await page.getByRole('button', { name: 'put back the board' }).click();
    await settle(page);
    expect((await reportOn(page)).stock_mm).not.toHaveProperty('outline');
  },
  SLOW,
);

describe('a board changed by its numbers', () => {
  const before: Stock = {
    widthMm: 10,
    heightMm: 10,
    thicknessMm: 3,
    xMm: 0,
    yMm: 0,
    outline: [
      [0, 0],
      [10, 0],
      [0, 10],
    ],
    avoid: [{ xMm: 2, yMm: 2, radiusMm: 1 }],
  };
  test('takes its outline and its marks along', () => {
    expect(withOutline({ ...before, xMm: 5, yMm: -1 }, before)).toMatchObject({
      outline: [
        [5, -1],
        [15, -1],
        [5, 9],
      ],
      avoid: [{ xMm: 7, yMm: 1, radiusMm: 1 }],
    });
    expect(withOutline({ ...before, thicknessMm: 4 }, before)).toMatchObject({ outline: before.outline });
  });
  test('of another size, it is a rectangle again', () => {
    expect(withOutline({ ...before, widthMm: 12 }, before)).not.toHaveProperty('outline');
    expect(withOutline(null, before)).toBeNull();
  });
});
