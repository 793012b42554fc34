import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import {
  COARSE,
  expectStage,
  eyesShut,
  go,
  lookAgain,
  quickDemo,
  quickSquare,
  refine,
  SLOW,
  settle,
  shot,
  still,
  useWorld,
} from './world.ts';

const world = useWorld();

describe('pictures', () => {
  /** Twenty moments into the job, the burn goes on. */
  const whileItBurns = async (page: Page) => {
    await page.keyboard.press('Home');
    for (let k = 0; k < 19; k++) await page.keyboard.press('Shift+ArrowRight');
    await still(page);
    await lookAgain(page);
    await page.keyboard.press('Shift+ArrowRight');
    await still(page);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
    expect(wide).toBe(false);
  };

  test(
    'the bench, light and dark, while it burns, and every view of the wood from above',
    async () => {
      const own = await world.open({
        jobs: await quickDemo(),
        fineness: 1,
        before: eyesShut,
        viewport: { width: 1280, height: 720 },
      });
      await settle(own);
      await whileItBurns(own);
      expectStage(await own.screenshot(), 'viewer-bench-light');
      await own.emulateMedia({ colorScheme: 'dark' });
      await still(own);
      expectStage(await own.screenshot(), 'viewer-bench-dark');
      await refine(own, COARSE);
      await own.emulateMedia({ colorScheme: 'light' });
      await own.setViewportSize({ width: 980, height: 460 });
      await own.keyboard.press('End');
      await own.keyboard.press('f');
      await still(own);
      await refine(own, 1);
      // It shows the burn until now, so that is last: each view is drawn anew.
      for (const [key, name] of [
        ['2', 'dose'],
        ['3', 'speed'],
        ['4', 'power'],
        ['5', 'depth'],
        ['6', 'time'],
        ['7', 'sure'],
        ['8', 'warmth'],
        ['1', 'burn'],
      ] as const) {
        await own.keyboard.press(key);
        await still(own);
        expectStage(await shot(own), `viewer-view-${name}`);
      }
      await own.context().close();
    },
    SLOW,
  );

  test(
    'the bench on a phone, while it burns',
    async () => {
      const own = await world.open({
        jobs: await quickDemo(),
        fineness: 1,
        before: eyesShut,
        viewport: { width: 390, height: 844 },
        hasTouch: true,
      });
      await settle(own);
      await whileItBurns(own);
      expectStage(await own.screenshot(), 'viewer-bench-phone');
      await own.context().close();
    },
    SLOW,
  );

  test(
    'learn',
    async () => {
      const own = await world.open({ jobs: await quickSquare() });
      await go(own, 'Learn');
      for (const id of ['corners', 'cut-through']) {
        await own.locator(`#${id}`).scrollIntoViewIfNeeded();
        await own.locator(`#${id}[data-burned]`).waitFor();
        expectStage(await own.locator(`#${id}`).screenshot(), `viewer-learn-${id}`);
      }
      await own.context().close();
    },
    SLOW,
  );
});
