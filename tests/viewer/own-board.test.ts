import jpeg from 'jpeg-js';
import { describe, expect, test } from 'vitest';
import type { Stock } from '../../src/board.ts';
import { placesOf } from '../../viewer/state/known-points.ts';
import { withOutline, withSpots } from '../../viewer/state/outline.ts';
import { stepWords } from '../../viewer/state/step-words.ts';
import { photographed, type Shot, seenAt } from '../own-board/camera.ts';
import { everySchemeOf, withAxe } from './axe.ts';
import { kept, reportOn, SLOW, said, settle, smallMarker, useWorld } from './world.ts';

const world = useWorld();

/** An offcut under a small marker, a sheet of A4 beside it. */
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
    const page = await world.open({ jobs: await smallMarker(), viewport: { width: 1100, height: 800 } });
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
    await page.getByRole('button', { name: 'undo', exact: true }).first().click();
    await expect.poll(kinds, { timeout: 60_000 }).not.toContain('off-stock');

    // The same from four places that are known, wherever they lie.
    await page.getByRole('button', { name: 'show the sheet again' }).click();
    await page.getByLabel('what lies at known places').selectOption('points');
    for (const [k, which] of ['lower left', 'lower right', 'upper right', 'upper left'].entries())
      for (const [c, axis] of ['x', 'y'].entries()) {
        await page.getByLabel(`${which} place ${axis}`).fill(String(SHEET[k]![c]));
        await page.getByLabel(`${which} place ${axis}`).blur();
      }
    await page.getByRole('button', { name: 'find the board' }).click();
    await page.getByRole('button', { name: 'show the places again' }).waitFor();
    await settle(page);
    for (const [x, y] of await outline())
      expect(Math.min(...found.map(([u, v]) => Math.hypot(u - x, v - y)))).toBeLessThan(0.5);

    const [close, mark] = await Promise.all(
      ['close the photo', 'mark a knot or old hole'].map((name) =>
        page.getByRole('button', { name }).boundingBox(),
      ),
    );
    // On one line they keep apart.
    if (mark!.y < close!.y + close!.height / 2) expect(mark!.x - close!.x - close!.width).toBeGreaterThan(12);

    // A knot, marked on the board where the job burns, then dragged off it, sized, and taken away.
    const stage = page.locator('.stage canvas');
    await page.getByRole('button', { name: 'mark a knot or old hole' }).click();
    const { x, y, width: across, height: down } = (await stage.boundingBox())!;
    await page.mouse.click(x + across / 2, y + down / 2);
    const spots = async () => (await reportOn(page)).stock_mm?.avoid ?? [];
    await expect.poll(async () => (await spots()).length, { timeout: 60_000 }).toBe(1);
    await page.locator('.point-tag').waitFor({ state: 'hidden' });
    const [first] = await spots();
    const radius = page.getByLabel('marked place 1, radius');
    await radius.fill('40');
    await radius.blur();
    await expect.poll(kinds, { timeout: 60_000 }).toContain('on-spot');
    const middle = page.getByRole('button', { name: /^Marked place 1/ });
    await withAxe(page);
    await everySchemeOf(page, 'a marked place');
    const at = (await middle.boundingBox())!;
    await page.mouse.move(at.x + at.width / 2, at.y + at.height / 2);
    await page.mouse.down();
    await page.mouse.move(at.x + at.width / 2, at.y + at.height / 2 - 25, { steps: 3 });
    await page.mouse.up();
    await expect
      .poll(async () => (await spots())[0]!.yMm, { timeout: 60_000 })
      .toBeGreaterThan(first!.yMm + 2);
    await page.getByRole('button', { name: /^Size of marked place 1/ }).press('ArrowLeft');
    await expect.poll(async () => (await spots())[0]!.radiusMm, { timeout: 60_000 }).toBe(39.5);
    await page.getByRole('button', { name: 'undo', exact: true }).first().click();
    await expect.poll(async () => (await spots())[0]!.radiusMm, { timeout: 60_000 }).toBe(40);

    // At the next visit board, photo and mark are there again.
    const marked = await spots();
    await settle(page);
    await kept(page);
    await page.reload();
    await settle(page);
    expect(await spots()).toEqual(marked);
    expect(await outline()).not.toEqual([]);
    await page.getByRole('button', { name: 'show its photo' }).click();
    await page.getByRole('button', { name: 'show the places again' }).waitFor();
    await page.getByRole('button', { name: /^Marked place 1/ }).press('Delete');
    await expect.poll(spots, { timeout: 60_000 }).toEqual([]);

    // Another one, marked, dragged and taken away on the photo.
    const onPhoto = async (xMm: number, yMm: number) => {
      await photo.scrollIntoViewIfNeeded();
      const box = (await photo.boundingBox())!;
      const [u, v] = seenAt(shot, [xMm, yMm, 4]);
      return [box.x + (u / shot.widthPx) * box.width, box.y + (v / shot.heightPx) * box.height] as const;
    };
    const lies = async () => (await spots()).map(({ xMm, yMm }) => [xMm, yMm]);
    const apart = async (x: number, y: number) =>
      Math.max(...(await lies()).map((at) => Math.hypot(at[0]! - x, at[1]! - y)), -1);
    await page.getByRole('button', { name: 'mark a knot or old hole' }).click();
    await page.mouse.click(...(await onPhoto(30, 10)));
    await expect.poll(async () => (await spots()).length, { timeout: 60_000 }).toBe(1);
    expect(await apart(30, 10)).toBeLessThan(3);
    await drag('marked place 1 on the photo', ...seenAt(shot, [15, 20, 4]));
    await expect.poll(() => apart(15, 20), { timeout: 60_000 }).toBeLessThan(3);
    await page.getByRole('button', { name: /^marked place 1 on the photo/ }).press('Delete');
    await expect.poll(spots, { timeout: 60_000 }).toEqual([]);
    expect(await said(page.locator('.own-board'))).not.toContain('does not keep');
    await page.getByRole('button', { name: 'put back the board' }).click();
    await settle(page);
    expect((await reportOn(page)).stock_mm).not.toHaveProperty('outline');
  },
  2 * SLOW,
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
  test('without an outline, its marks go along all the same', () => {
    const { outline: _, ...plain } = before;
    expect(withOutline({ ...plain, xMm: 5, yMm: -1 }, plain)).toMatchObject({
      avoid: [{ xMm: 7, yMm: 1, radiusMm: 1 }],
    });
    // Marks that come with another place stay where they are told.
    const other = { ...plain, xMm: 5, avoid: [{ xMm: 3, yMm: 3, radiusMm: 1 }] };
    expect(withOutline(other, plain)).toEqual(other);
  });
});

describe('marked places', () => {
  const board: Stock = { widthMm: 10, heightMm: 10, thicknessMm: 3, xMm: 0, yMm: 0 };
  test('are kept to a tenth of a millimetre, and never too small to be taken hold of', () => {
    expect(withSpots(board, [{ xMm: 1.234, yMm: -5.678, radiusMm: 0.01 }])).toEqual({
      ...board,
      avoid: [{ xMm: 1.2, yMm: -5.7, radiusMm: 0.5 }],
    });
  });
  test('leave the board as it was when the last is taken away', () => {
    const marked = withSpots(board, [{ xMm: 1, yMm: 1, radiusMm: 1 }]);
    expect(withSpots(marked, [])).toEqual(board);
  });
  test('are called so in what undo would change', () => {
    const bench = {
      machine: {} as never,
      material: {} as never,
      changes: new Map(),
      second: null,
      secondChanges: new Map(),
    };
    const marked = withSpots(board, [{ xMm: 1, yMm: 1, radiusMm: 1 }]);
    expect(stepWords({ ...bench, stock: board }, { ...bench, stock: marked })).toBe('the marked places');
    expect(stepWords({ ...bench, stock: board }, { ...bench, stock: { ...marked, widthMm: 9 } })).toBe(
      'the board',
    );
  });
});

describe('the points on a photo of a board', () => {
  const photo = {
    file: new File([], 'a.jpg'),
    corners: null,
    outline: null,
    isLying: true,
    sheetAtMm: [10, 20],
    pointsMm: [
      [0, 0],
      [7, 1],
      [6, 5],
      [0, 4],
    ],
  } as const;
  test('are the corners of a sheet, or as typed', () => {
    // ISO 216: A5 is 148 × 210 mm.
    expect(placesOf({ ...photo, by: 'a5' })).toEqual([
      [10, 20],
      [220, 20],
      [220, 168],
      [10, 168],
    ]);
    expect(placesOf({ ...photo, by: 'points' })).toEqual(photo.pointsMm);
  });
});
