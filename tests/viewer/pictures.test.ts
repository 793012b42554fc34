import { describe, expect, test } from 'vitest';
import { expectStage, go, quickDemo, quickSquare, SLOW, settle, shot, still, useWorld } from './world.ts';

const world = useWorld();

describe('pictures', () => {
  test(
    'every view of the wood, from above',
    async () => {
      const own = await world.open({
        jobs: await quickDemo(),
        fineness: 1,
        viewport: { width: 980, height: 460 },
      });
      await settle(own);
      await own.keyboard.press('f');
      for (const [key, name] of [
        ['1', 'burn'],
        ['2', 'dose'],
        ['3', 'speed'],
        ['4', 'power'],
        ['5', 'depth'],
        ['6', 'time'],
      ] as const) {
        await own.keyboard.press(key);
        await still(own);
        expectStage(await shot(own), `viewer-view-${name}`);
      }
      await own.context().close();
    },
    SLOW,
  );

  test.each([
    ['light', { viewport: { width: 1280, height: 720 } }],
    ['dark', { viewport: { width: 1280, height: 720 }, colorScheme: 'dark' as const }],
    ['phone', { viewport: { width: 390, height: 844 }, hasTouch: true }],
  ])(
    'the bench, %s, while it burns',
    async (name, options) => {
      const own = await world.open({ ...options, fineness: 1, jobs: await quickDemo() });
      await settle(own);
      await own.keyboard.press('Home');
      for (let k = 0; k < 20; k++) await own.keyboard.press('Shift+ArrowRight');
      await still(own);
      const wide = await own.evaluate(() => document.documentElement.scrollWidth > innerWidth);
      expect(wide).toBe(false);
      expectStage(await own.screenshot(), `viewer-bench-${name}`);
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
