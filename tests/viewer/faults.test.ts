import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { drop, go, quickSquare, SLOW, said, settle, useWorld } from './world.ts';

const world = useWorld();
let page: Page;

beforeAll(async () => {
  page = await world.open({ jobs: await quickSquare(), mayFail: true });
  await settle(page);
}, SLOW);

const told = () => said(page.locator('.fault p'));
const close = () => page.locator('.fault').getByRole('button', { name: 'close' }).click();

describe('nothing fails in silence', () => {
  test(
    'what nobody caught is told, until it is closed',
    async () => {
      expect(await page.locator('.fault').count()).toBe(0);
      await page.evaluate(() => {
        setTimeout(() => {
          throw new TypeError('the strip has no end');
        });
      });
      await expect.poll(told).toMatch(/^A fault of Charcast itself.*: the strip has no end\.$/);
      await close();
      expect(await page.locator('.fault').count()).toBe(0);
      await page.evaluate(() => void Promise.reject(new Error('nobody waited for it')));
      await expect.poll(told).toMatch(/^A fault of Charcast itself.*: nobody waited for it\.$/);
      expect(
        await page.locator('.fault').getByRole('button', { name: 'open the page anew' }).isVisible(),
      ).toBe(true);
      await close();
    },
    SLOW,
  );

  test(
    'a job that cannot be saved, for a part of the page is gone',
    async () => {
      await page.route(/adjust-text/, (asked) => asked.abort());
      await page.getByLabel('speed of operation 1').fill('2000');
      await page.keyboard.press('Enter');
      await page.getByRole('button', { name: 'Save the adjusted job' }).click();
      await expect.poll(told).toMatch(/could not be fetched; expected charcast view to be running still/);
      await close();
    },
    SLOW,
  );

  test(
    'a file that cannot be read, such as a folder',
    async () => {
      await page.evaluate(() => {
        Blob.prototype.arrayBuffer = () => Promise.reject(new DOMException('', 'NotReadableError'));
      });
      for (const name of ['a folder', 'a folder.json']) {
        await drop(page, { [name]: '' });
        await expect
          .poll(() => said(page.locator('.trouble p')))
          .toContain(`Not opened. ${name}: could not be read; expected a file`);
        await page.locator('.trouble').getByRole('button', { name: 'close' }).click();
      }
    },
    SLOW,
  );

  test(
    'an experiment whose forecast comes to nothing',
    async () => {
      await page.evaluate(() => {
        const post = Worker.prototype.postMessage;
        // A worker that dies of what it is given, as when memory runs out. Only experiments ask for a figure.
        Worker.prototype.postMessage = function (this: Worker, wish: { figure?: object }) {
          if (wish.figure) this.dispatchEvent(new ErrorEvent('error', { message: 'out of memory' }));
          else post.call(this, wish);
        };
      });
      await go(page, 'Learn');
      await expect
        .poll(() => said(page.locator('.experiment [role="alert"]').first()))
        .toBe('This could not be burned: The forecast stopped: out of memory.');
    },
    SLOW,
  );

  test(
    'a page whose workers cannot be fetched says so and does not wait for ever',
    async () => {
      const own = await world.open({
        jobs: await quickSquare(),
        mayFail: true,
        refusing: /\/road-[^/]*\.js$/,
      });
      await expect
        .poll(() => said(own.locator('.progress')), { timeout: 60_000 })
        .toMatch(/^A fault of Charcast itself: The forecast stopped: .*charcast view/);
      await own.context().close();
    },
    SLOW,
  );
});
