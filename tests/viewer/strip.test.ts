import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { following, kept, zoomed } from '../../viewer/strip/span.ts';
import { clockTicks, clockWords, timeOnClock } from '../../viewer/words/clock-words.ts';
import { drop, go, SLOW, SMALL_SQUARE, said, settle, smallMarker, still, useWorld } from './world.ts';

describe('a stretch of time', () => {
  test('closes in on a moment that stays where it is, and never leaves the whole', () => {
    expect(zoomed([0, 100], 0.5, 40, 100)).toEqual([20, 70]);
    expect(zoomed([0, 100], 0.5, 0, 100)).toEqual([0, 50]);
    expect(zoomed([50, 100], 0.5, 100, 100)).toEqual([75, 100]);
    expect(zoomed([20, 70], 4, 40, 100)).toBeNull();
    const [from, to] = zoomed([3, 3.06], 0.1, 3.03, 100)!;
    expect(to - from).toBeCloseTo(0.05, 9);
  });

  test('turns over to a moment outside it', () => {
    expect(following([20, 30], 25, 100)).toEqual([20, 30]);
    expect(following([20, 30], 31, 100)).toEqual([30, 40]);
    expect(following([20, 30], 12, 100)).toEqual([3, 13]);
    expect(following([20, 30], 100, 100)).toEqual([90, 100]);
  });

  test('keeps within a job that has become shorter', () => {
    expect(kept([20, 30], 25)).toEqual([15, 25]);
    expect(kept([20, 30], 9)).toBeNull();
  });
});

describe('the clock', () => {
  test('rounds what it shows, and carries', () => {
    expect(clockWords(59.96, 1)).toBe('1:00.0');
    expect(clockWords(189.46, 1)).toBe('3:09.5');
    expect(clockWords(3599.7, 0)).toBe('1:00:00');
    expect(clockWords(454.7, 0)).toBe('7:35');
  });

  test('as ticks has as many digits as tell each from the next', () => {
    expect(clockTicks([0, 0.05, 0.1, 0.15])).toEqual(['0:00.00', '0:00.05', '0:00.10', '0:00.15']);
    expect(clockTicks([59, 59.5, 60])).toEqual(['0:59.0', '0:59.5', '1:00.0']);
    expect(clockTicks([0, 2.5, 5])).toEqual(['0:00.0', '0:02.5', '0:05.0']);
    expect(clockTicks([3600, 3660])).toEqual(['1:00:00', '1:01:00']);
    expect(clockTicks([7])).toEqual(['0:07']);
  });

  test('never shows a moment beyond the end', () => {
    for (const end of [8.64, 189.46, 454.74, 3599.96, 3600.4])
      expect(timeOnClock(end, end)).toBe(timeOnClock(end - 1e-9, end));
  });
});

const world = useWorld();
let page: Page;

beforeAll(async () => {
  page = await world.open({ jobs: await smallMarker(), viewport: { width: 1280, height: 720 } });
  await settle(page);
}, SLOW);

const strip = () => page.getByRole('slider', { name: 'Moment of the job' });
const now = async () => Number(await strip().getAttribute('aria-valuenow'));
const whole = async () => Number(await strip().getAttribute('aria-valuemax'));

/** The moment at which the red line stands, while the whole job is on the strip. */
async function lineAt(): Promise<number> {
  const plot = (await strip().boundingBox())!;
  const line = (await page.locator('.strip-cursor').boundingBox())!;
  const [left, right] = [plot.x + 64, plot.x + plot.width - 20];
  return ((line.x + line.width / 2 - left) / (right - left)) * (await whole());
}

async function expectLineAtClock(): Promise<void> {
  const pixelS = (await whole()) / 200;
  await expect.poll(async () => Math.abs((await lineAt()) - (await now()))).toBeLessThan(pixelS);
  expect(await page.locator('.strip-cursor').evaluate((line) => line.style.opacity)).toBe('1');
}

const point = async (part: number) => {
  const box = (await strip().boundingBox())!;
  await page.mouse.move(box.x + 64 + (box.width - 84) * part, box.y + 30);
};

describe('the strip', () => {
  test(
    'the red line stands where the clock does, whatever becomes of the job and the window',
    async () => {
      await point(0.5);
      await page.mouse.down();
      await page.mouse.up();
      await expectLineAtClock();
      const before = await whole();
      await page.getByLabel('speed of operation 1').fill('6000');
      await page.keyboard.press('Enter');
      await settle(page);
      expect(await whole()).toBeLessThan(before);
      await expectLineAtClock();
      for (const [width, height] of [
        [390, 844],
        [844, 390],
        [1280, 720],
      ] as const) {
        await page.setViewportSize({ width, height });
        await still(page);
        await expectLineAtClock();
      }
    },
    SLOW,
  );

  test('says in words what is pointed at', async () => {
    await point(0.97);
    expect(await said(page.locator('.strip-told'))).toMatch(
      /^\d:\d\d\.\d operation 3, 900 mm\/min, 5 W\nturn the wheel to look closer$/,
    );
    expect(await said(page.locator('.strip-names'))).toMatch(/speed\s+operation\s+power/);
    await page.mouse.move(5, 300);
    expect(await page.locator('.strip-told').count()).toBe(0);
  });

  test(
    'looks closer by the wheel, follows the moment, and shows all again',
    async () => {
      await point(0.1);
      for (let k = 0; k < 8; k++) await page.mouse.wheel(0, -100);
      const all = page.getByRole('button', { name: 'show all' });
      await all.waitFor();
      await strip().press('End');
      await expect.poll(() => page.locator('.strip-cursor').evaluate((line) => line.style.opacity)).toBe('1');
      await strip().press('Home');
      await expect.poll(() => page.locator('.strip-cursor').evaluate((line) => line.style.opacity)).toBe('1');
      await all.click();
      expect(await all.count()).toBe(0);
      await strip().press('ArrowRight');
      await expectLineAtClock();
    },
    SLOW,
  );

  test(
    'is seen as a whole again in Compare and with another job, and says whose it is',
    async () => {
      await strip().press('+');
      await page.getByRole('button', { name: 'show all' }).waitFor();
      await go(page, 'Compare');
      await page.locator('.compare-table').waitFor();
      expect(await page.getByRole('button', { name: 'show all' }).count()).toBe(0);
      await point(0.97);
      expect(await said(page.locator('.strip-told'))).toMatch(/^B, as changed\n.*finished/);
      expect(await said(page.locator('.strip-names'))).toMatch(/speed of B/);
      await expectLineAtClock();
      await go(page, 'Bench');
      await strip().press('+');
      await drop(page, { 'square.nc': SMALL_SQUARE });
      await expect.poll(() => said(page.locator('h1'))).toBe('square.nc');
      await settle(page);
      expect(await page.getByRole('button', { name: 'show all' }).count()).toBe(0);
    },
    SLOW,
  );
});
