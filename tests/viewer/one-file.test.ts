import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { pageTemplate } from '../../src/cli/viewer/files.ts';
import { withJobs } from '../../src/cli/viewer/page.ts';
import { workplace } from '../support/workplace.ts';
import { firstVisit, fromDisk, go, kept, reportOn, SLOW, said, settle, totals, useWorld } from './world.ts';

const world = useWorld();
const place = workplace();
let own: Page;

beforeAll(async () => {
  own = await fromDisk(world, { viewport: { width: 1280, height: 720 } });
  await settle(own);
}, SLOW);

/** Frames come as rarely as on a slow card, and the page's clock goes on by all of the time between them: run in the page. */
function fewFrames(): void {
  const EVERY_MS = 90;
  window.requestAnimationFrame = (draw) => window.setTimeout(() => draw(performance.now()), EVERY_MS);
  window.cancelAnimationFrame = (frame) => window.clearTimeout(frame);
}

describe('the whole application as one file', () => {
  test('is at most 700 kB compressed, and names no place outside itself', () => {
    const page = readFileSync(join(world.folder, '../charcast.html'));
    expect(gzipSync(page).length).toBeLessThanOrEqual(700_000);
    const html = page.toString('utf8');
    expect(html).not.toMatch(/<(?:script|link|img)[^>]*(?:src|href)="(?!data:)[^"]/);
    expect(html).toContain("default-src 'none'");
  });

  test(
    'opens from disk without a network: says what it is, and what stands out, within the first screen',
    async () => {
      expect(await said(own.locator('h1'))).toBe('Basil marker, first try');
      const seen = own.locator('.welcome p');
      const texts = await Promise.all((await seen.all()).map(said));
      expect(texts[0]).toBe('Charcast shows what a laser job will do to the wood, before you burn it.');
      const first = (await reportOn(own)).findings[0]!;
      expect(texts[1]).toContain(first.message.slice(0, 40));
      expect(texts[2]).toContain('can be dragged');
      const offered = ['Open a job', 'My machine', 'My wood'].map((name) =>
        own.getByRole('button', { name, exact: true }),
      );
      for (const at of [...(await seen.all()), ...offered]) {
        const box = (await at.boundingBox())!;
        expect(box.y + box.height).toBeLessThan(720);
      }
      // Nothing moves for those who do not want it.
      expect(await said(own.locator('.play'))).toBe('Play');
    },
    SLOW,
  );

  test(
    'all places open, and all keys are told',
    async () => {
      await own.keyboard.press('?');
      const keys = own.getByRole('dialog', { name: 'Keys' });
      expect(await said(keys)).toContain('play and pause');
      await own.keyboard.press('Escape');
      await expect.poll(() => keys.isVisible()).toBe(false);
      for (const place of ['Compare', 'Learn', 'Bench']) {
        await go(own, place);
        await expect.poll(() => own.locator('main:visible h1').count()).toBe(1);
      }
    },
    SLOW,
  );

  test(
    'what is told of a place stands clear of the welcome, which is gone at the next visit; another piece is read from its beginning',
    async () => {
      // What is told of a pointed place stands clear of what welcomes, and is gone once the place is marked.
      await own.getByRole('button', { name: 'mark a knot or old hole' }).click();
      await own.locator('.stage canvas').focus();
      for (let k = 0; k < 6; k++) await own.keyboard.press('ArrowUp');
      const tag = own.locator('.point-tag');
      const { y, height } = (await own.locator('.welcome').boundingBox())!;
      await expect.poll(async () => (await tag.boundingBox())?.y ?? 0).toBeGreaterThan(y + height);
      await own.keyboard.press('Enter');
      await own.getByLabel('marked place 1, radius').waitFor();
      expect(await tag.isVisible()).toBe(false);

      await own.getByLabel('speed of operation 1').fill('2000');
      await own.keyboard.press('Enter');
      await kept(own);
      await own.reload();
      await expect.poll(() => own.getByLabel('speed of operation 1').inputValue()).toBe('2000');
      expect(await own.locator('.welcome').count()).toBe(0);

      const bench = own.locator('.room:visible > .page');
      const scrolled = () => bench.evaluate((each) => each.scrollTop);
      // That it stands at the bottom of the page has scrolled down to it.
      const another = own.getByRole('button', { name: 'Basil marker, done with care' });
      await another.scrollIntoViewIfNeeded();
      expect(await scrolled()).toBeGreaterThan(0);
      await another.click();
      // By then it has been unpacked and forecast.
      await expect.poll(() => said(own.locator('h1'))).toBe('Basil marker, done with care');
      await expect.poll(() => totals(own)).toContain('8 min 08 s');
      await expect.poll(() => own.evaluate(() => document.activeElement?.tagName)).toBe('H1');
      expect(await scrolled()).toBe(0);
      await own.context().close();
    },
    SLOW,
  );

  test(
    'the demo burns once by itself, and rests',
    async () => {
      const page = place.write('first-visit.html', withJobs(pageTemplate(), await firstVisit()));
      const moving = await fromDisk(world, {
        at: `file://${page}`,
        reducedMotion: 'no-preference',
        before: fewFrames,
      });
      const looking = { timeout: 60_000, interval: 200 };
      await expect.poll(() => said(moving.locator('.play')), looking).toBe('Pause');
      await expect.poll(() => said(moving.locator('.play')), looking).toBe('Play');
      const [, now, end] = /^(\S+) of (\S+)$/.exec(await said(moving.locator('.clock')))!;
      expect(now).toBe(end);
      await moving.context().close();
    },
    SLOW,
  );
});
