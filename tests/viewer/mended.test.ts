import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import type { BroughtJob } from '../../src/page/brought-job.ts';
import type { ForTheConsole } from '../../viewer/console.ts';
import { COARSE, lookAway, quickSquare, SLOW, SQUARE, settle, still, useWorld } from './world.ts';

declare const charcast: ForTheConsole;

const world = useWorld();
const pixelOf = (page: Page, xMm: number, yMm: number) =>
  page.evaluate(([x, y]) => charcast.pixelOf(x!, y!)!, [xMm, yMm]);
const square = async (text = SQUARE): Promise<BroughtJob> => ({
  ...(await quickSquare())[0]!,
  text,
  name: 'own.nc',
  title: 'own',
});

test(
  'of a job that never burns the bed and the whole way are shown, not a crumb of wood',
  async () => {
    const text = 'G21 G90\nM4 S0\nG0 X10 Y10\nG1 X150 F3000\nY120\nX10\nY10\nM5\n';
    const own = await world.open({
      jobs: [{ ...(await square(text)), stock: null }],
      viewport: { width: 900, height: 560 },
    });
    await settle(own);
    const { width, height } = (await own.locator('.stage canvas').boundingBox())!;
    const corners = await Promise.all(
      [
        [10, 10],
        [150, 10],
        [150, 120],
        [10, 120],
      ].map(([x, y]) => pixelOf(own, x!, y!)),
    );
    for (const [x, y] of corners) {
      expect(x).toBeGreaterThan(0);
      expect(x).toBeLessThan(width);
      expect(y).toBeGreaterThan(0);
      expect(y).toBeLessThan(height);
    }
    // It fills the view.
    expect(corners[1]![0] - corners[0]![0]).toBeGreaterThan(0.35 * width);
    await own.context().close();
  },
  SLOW,
);

describe('the stage around a square', () => {
  let own: Page;
  beforeAll(async () => {
    own = await world.open({
      jobs: [await square()],
      fineness: COARSE,
      viewport: { width: 900, height: 560 },
    });
    await settle(own);
  }, SLOW);

  test(
    'the head’s way lies over the wood while the job is under way, and not over the finished wood',
    async () => {
      const wood = async () => {
        const { x, y, width, height } = (await own.locator('.stage canvas').boundingBox())!;
        return own.screenshot({ clip: { x, y: y + 50, width, height: height - 130 } });
      };
      const changes = async () => {
        const before = await wood();
        await own.keyboard.press('t');
        await still(own);
        const after = await wood();
        await own.keyboard.press('t');
        await still(own);
        return !after.equals(before);
      };
      expect(await changes()).toBe(false);
      await own.keyboard.press('Home');
      for (let k = 0; k < 4; k++) await own.keyboard.press('Shift+ArrowRight');
      await still(own);
      expect(await changes()).toBe(true);
      await lookAway(own);
    },
    SLOW,
  );

  test(
    'at twice the size nothing of what the wood can show is cut off; on a phone the page scrolls past the wood',
    async () => {
      await own.setViewportSize({ width: 640, height: 360 });
      await still(own);
      const { x, y, width, height } = (await own.locator('.stage').boundingBox())!;
      for (const name of ['from above', 'whole board', 'travel']) {
        const box = (await own.getByRole('button', { name, exact: true }).boundingBox())!;
        expect(box.x, name).toBeGreaterThanOrEqual(x);
        expect(box.x + box.width, name).toBeLessThanOrEqual(x + width);
        expect(box.y + box.height, name).toBeLessThanOrEqual(y + height + 1);
      }
      const touchAction = () =>
        own.locator('.stage canvas').evaluate((canvas) => getComputedStyle(canvas).touchAction);
      expect(await touchAction()).toBe('none');
      await own.setViewportSize({ width: 390, height: 844 });
      await still(own);
      expect(await touchAction()).toBe('pan-y');
    },
    SLOW,
  );
});
