import type { Locator, Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { stickingOut } from './sticking-out.ts';
import { framesOn, go, SLOW, said, settle, smallMarker, still, useWorld } from './world.ts';

const world = useWorld();
const UPRIGHT = { width: 390, height: 844 };
const LYING = { width: 844, height: 390 };
let page: Page;

beforeAll(async () => {
  page = await world.open({ jobs: await smallMarker(), viewport: UPRIGHT, hasTouch: true, isMobile: true });
  await settle(page);
}, SLOW);

/**
 * What a finger misses: runs in the page. From the middle of each control it is felt how far to either side and
 * up and down a touch still reaches it; one line for each that is less than 44 px wide or high.
 */
function tooSmall(): string[] {
  const least = 44;
  const reaches = (control: Element, x: number, y: number): boolean => {
    const hit = document.elementFromPoint(x, y);
    return !!hit && (control.contains(hit) || hit.closest('label') === (control.closest('label') ?? control));
  };
  const reach = (control: Element, x: number, y: number, dx: number, dy: number): number => {
    let k = 0;
    // What reaches so far is large enough: how much further it goes need not be felt.
    while (k < least && reaches(control, x + dx * (k + 1), y + dy * (k + 1))) k++;
    return k;
  };
  const found: string[] = [];
  const all = 'button, select, input, summary, [role="slider"]';
  for (const control of document.querySelectorAll(all)) {
    if (!control.checkVisibility({ visibilityProperty: true })) continue;
    control.scrollIntoView({ block: 'center' });
    const holder = control.closest('label') ?? control;
    const box = holder.getBoundingClientRect();
    if (box.width === 0) continue;
    const x = Math.round(box.left + box.width / 2);
    const y = Math.round(box.top + box.height / 2);
    const name = control.getAttribute('aria-label') ?? holder.textContent ?? '';
    const wide = 1 + reach(control, x, y, -1, 0) + reach(control, x, y, 1, 0);
    const high = 1 + reach(control, x, y, 0, -1) + reach(control, x, y, 0, 1);
    if (wide < least || high < least) found.push(`${name.trim().slice(0, 50)}: ${wide} × ${high} px`);
  }
  scrollTo(0, 0);
  return found;
}

/** One finger put down and led sideways, as the browser itself gets it. */
async function dragByFinger(
  on: Page,
  [x, y]: readonly [number, number],
  away: readonly number[],
): Promise<void> {
  const touch = await on.context().newCDPSession(on);
  const at = (dx: number) => [{ x: x + dx, y }];
  await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: at(0) });
  for (const dx of away)
    await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: at(dx) });
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await touch.detach();
}

describe('by touch', () => {
  test.each([
    ['upright', UPRIGHT],
    ['lying', LYING],
  ])(
    'all that can be pressed is large enough for a finger, %s',
    async (_, size) => {
      await page.setViewportSize(size);
      for (const place of ['Bench', 'Compare', 'Notebook', 'Learn']) {
        await go(page, place);
        if (place === 'Notebook') await page.getByLabel('how operation 1 turned out').selectOption('tone');
        await page.waitForTimeout(150);
        expect(await page.evaluate(tooSmall), place).toEqual([]);
        expect(await page.evaluate(stickingOut), place).toEqual([]);
      }
      await go(page, 'Bench');
    },
    SLOW,
  );

  test(
    'a place that is pressed comes into view below the wood, by keyboard too',
    async () => {
      await page.setViewportSize(UPRIGHT);
      const heading = page.locator('.page :is(h1, h2)').first();
      const stage = page.locator('.stage');
      const gapPx = async () => {
        const wood = (await stage.boundingBox())!;
        return Math.round((await heading.boundingBox())!.y - (wood.y + wood.height));
      };
      const bringsIt = async (place: string, press: (button: Locator) => Promise<void>) => {
        // What was pressed before may come into view only now.
        const fromTheTop = async () => {
          await page.evaluate(() => scrollTo(0, 0));
          return gapPx();
        };
        await expect.poll(fromTheTop).toBeGreaterThan(150);
        await press(page.getByRole('button', { name: place, exact: true }));
        await expect.poll(gapPx, { timeout: 20_000, message: place }).toBeLessThan(60);
        expect(await gapPx()).toBeGreaterThanOrEqual(0);
        // The wood itself stays above it.
        expect((await stage.boundingBox())!.y).toBe(0);
      };
      const tap = (button: Locator) => button.tap();
      const enter = (button: Locator) => button.press('Enter');
      await bringsIt('Speed and power', tap);
      await bringsIt('Compare', enter);
      expect(await heading.evaluate((each) => each === document.activeElement)).toBe(true);
      await bringsIt('Bench', tap);
      await page.evaluate(() => scrollTo(0, 0));
    },
    SLOW,
  );

  test(
    'the wood stays in sight while its findings are read, and moves when one is to be shown',
    async () => {
      await page.setViewportSize(UPRIGHT);
      await still(page);
      const before = await framesOn(page);
      await page.getByRole('button', { name: 'show it happen' }).first().tap();
      const box = (await page.locator('.stage canvas').boundingBox())!;
      expect(await page.evaluate(() => scrollY)).toBeGreaterThan(300);
      expect(box.y).toBe(0);
      expect(box.height).toBeGreaterThan(300);
      await expect.poll(() => framesOn(page)).toBeGreaterThan(before);
      await page.getByRole('button', { name: 'Pause' }).tap();
    },
    SLOW,
  );

  test(
    'a remedy brings the sentence that it changed into view, below the wood, and marks it',
    async () => {
      await page.locator('.story .press').first().tap();
      const sentence = page.locator('.operation', { has: page.locator('.was') });
      await expect.poll(() => sentence.evaluate((each) => each.getAnimations().length)).toBe(1);
      const box = (await sentence.boundingBox())!;
      const stage = (await page.locator('.stage').boundingBox())!;
      expect(box.y).toBeGreaterThanOrEqual(stage.y + stage.height - 1);
      expect(box.y + box.height).toBeLessThanOrEqual(UPRIGHT.height);
      expect(await sentence.getByRole('button', { name: /^Put back/ }).isVisible()).toBe(true);
      await page.getByRole('button', { name: /^Put back/ }).tap();
      await settle(page);
    },
    SLOW,
  );

  test(
    'a tap on the wood tells of it, and it stays told',
    async () => {
      await page.evaluate(() => scrollTo(0, 0));
      await page.getByRole('button', { name: 'whole board' }).tap();
      await page.keyboard.press('End');
      await still(page);
      // Down the middle of the stage until the board is met, between the marks of findings.
      const told = page.locator('.point-tag:not([hidden])');
      const box = (await page.locator('.stage canvas').boundingBox())!;
      let part = 0.15;
      while (part < 0.7 && (await told.count()) === 0) {
        part += 0.05;
        await page.touchscreen.tap(box.x + box.width * 0.56, box.y + box.height * part);
        await still(page);
      }
      expect(await said(told)).toMatch(/J\/mm²|bare wood/);
      // Wherever it is pointed at, all of what is told is on the stage, however narrow that is.
      await page.setViewportSize({ width: 320, height: 640 });
      await still(page);
      const narrow = (await page.locator('.stage canvas').boundingBox())!;
      for (const across of [0.3, 0.5, 0.7]) {
        await page.touchscreen.tap(narrow.x + narrow.width * across, narrow.y + narrow.height * part);
        await still(page);
        const tag = (await told.boundingBox())!;
        expect(tag.x).toBeGreaterThanOrEqual(narrow.x);
        expect(tag.x + tag.width).toBeLessThanOrEqual(narrow.x + narrow.width);
      }
      await page.setViewportSize(UPRIGHT);
      await still(page);
    },
    SLOW,
  );

  test(
    'numbers are dragged sideways by a finger',
    async () => {
      const speed = page.getByLabel('speed of operation 2');
      await speed.evaluate((field) => field.scrollIntoView({ block: 'center' }));
      const before = Number(await speed.inputValue());
      const { x, y, width, height } = (await speed.boundingBox())!;
      await dragByFinger(page, [x + width / 2, y + height / 2], [10, 20, 30, 40, 50]);
      // Ten steps of 50 mm/min.
      expect(Number(await speed.inputValue())).toBe(before + 500);
      expect(await page.evaluate(() => document.activeElement?.tagName)).not.toBe('INPUT');
      await settle(page);
      const putBack = page.getByLabel("Put back the job's own settings of operation 2");
      // On a busy machine the page may move under a finger: then it is tapped again.
      await expect
        .poll(async () => {
          if ((await putBack.count()) > 0) await putBack.tap();
          return putBack.count();
        })
        .toBe(0);
      await settle(page);
    },
    SLOW,
  );

  test(
    'the divider is dragged by its handle, which keeps clear of the words below',
    async () => {
      await go(page, 'Compare');
      await page.getByRole('button', { name: /^Take/ }).tap();
      await page.locator('.compare-table').waitFor();
      await settle(page);
      await page.evaluate(() => scrollTo(0, 0));
      const divider = page.getByRole('slider', { name: 'Divider between A and B' });
      for (const size of [LYING, UPRIGHT]) {
        await page.setViewportSize(size);
        await still(page);
        const clearPx = async () => {
          const handle = (await divider.boundingBox())!;
          const words = (await page.locator('.view-words > div').first().boundingBox())!;
          return words.y - (handle.y + handle.height);
        };
        await expect.poll(clearPx).toBeGreaterThan(0);
        await expect.poll(() => page.evaluate(tooSmall)).toEqual([]);
        await expect.poll(() => page.evaluate(stickingOut)).toEqual([]);
      }
      const before = Number(await divider.getAttribute('aria-valuenow'));
      const { x, y, width, height } = (await divider.boundingBox())!;
      await dragByFinger(page, [x + width / 2, y + height / 2 + 6], [-20, -50, -80]);
      const now = async () => Number(await divider.getAttribute('aria-valuenow'));
      await expect.poll(now).toBeLessThan(before - 10);
    },
    SLOW,
  );
});
