import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { go, quickSquare, SLOW, said, useWorld } from './world.ts';

const world = useWorld();
let page: Page;

beforeAll(async () => {
  page = await world.open({ jobs: await quickSquare() });
}, SLOW);

describe('learn', () => {
  test.each([
    ['corners', 'power mode in the corner experiment', 'proportional'],
    ['row-ends', 'overscan in the row end experiment', '4'],
    ['speed-power', 'power in the trade-off experiment', '20'],
    ['row-spacing', 'row spacing', '0.1'],
    ['focus', 'distance out of focus', '0'],
    ['cut-through', 'passes', '9'],
  ])(
    '%s: a control changes the wood and the sentence of why',
    async (id, control, value) => {
      await go(page, 'Learn');
      const experiment = page.locator(`#${id}`);
      await experiment.scrollIntoViewIfNeeded();
      await page.locator(`#${id}[data-burned]`).waitFor();
      const canvas = experiment.locator('.figure > canvas');
      const before = { wood: await canvas.screenshot(), why: await said(experiment.locator('.why')) };
      const field = experiment.getByLabel(control, { exact: true });
      if ((await field.evaluate((element) => element.tagName)) === 'SELECT') await field.selectOption(value);
      else {
        await field.fill(value);
        await page.keyboard.press('Enter');
      }
      await expect.poll(() => said(experiment.locator('.why')), { timeout: 60_000 }).not.toBe(before.why);
      await expect
        .poll(async () => (await canvas.screenshot()).equals(before.wood), { timeout: 60_000 })
        .toBe(false);
    },
    SLOW,
  );

  test('what is being read stays in sight when the window becomes as narrow as a phone, and back', async () => {
    await go(page, 'Learn');
    const question = page.locator('#focus h2');
    await page.locator('#focus').evaluate((each) => each.scrollIntoView({ block: 'start' }));
    const topPx = async () => (await question.boundingBox())!.y;
    const wide = page.viewportSize()!;
    await expect.poll(topPx, { timeout: 60_000 }).toBeLessThan(200);
    for (const size of [{ width: 390, height: 844 }, wide]) {
      await page.setViewportSize(size);
      // On the way there it may lie above as well as below.
      const awayPx = async () => Math.abs(await topPx());
      await expect.poll(awayPx, { timeout: 60_000 }).toBeLessThan(size.height / 2);
    }
  });
});
