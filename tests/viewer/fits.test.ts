import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { stickingOut } from './sticking-out.ts';
import { asOnAQuickCard, go, SLOW, settle, smallMarker, still, useWorld } from './world.ts';

const world = useWorld();
const SIZES = [
  [320, 640],
  [360, 740],
  [390, 844],
  [768, 1024],
  [844, 390],
  [900, 600],
  [1024, 640],
  [1280, 720],
  [1920, 1080],
] as const;
let page: Page;

beforeAll(async () => {
  page = await world.open({ jobs: await smallMarker(), before: asOnAQuickCard });
  await settle(page);
}, SLOW);

/** Walks over the widths people have; at each of them nothing sticks out. */
async function expectAllFits(): Promise<void> {
  for (const [width, height] of SIZES) {
    await page.setViewportSize({ width, height });
    await still(page);
    expect(await page.evaluate(stickingOut), `${width} px wide`).toEqual([]);
  }
}

describe('nothing sticks out of its panel or the window', () => {
  test('on the bench', expectAllFits, SLOW);

  test(
    'on the bench, with every kind of change',
    async () => {
      for (const [label, value] of [
        ['board corner x', '-5.1'],
        ['board corner y', '-4.2'],
        ['speed of operation 2', '410'],
        ['acceleration along x', '12500'],
      ])
        await page.getByLabel(label!, { exact: true }).fill(value!);
      await page.keyboard.press('Enter');
      await settle(page);
      expect(await page.getByLabel('board corner x').inputValue()).toBe('−5.1');
      await expectAllFits();
    },
    SLOW,
  );

  test(
    'in Compare, before and after the remedies',
    async () => {
      const undo = page.getByRole('button', { name: 'undo' });
      while ((await undo.getAttribute('aria-disabled')) === 'false') await undo.click();
      await go(page, 'Compare');
      expect(await page.locator('.compare-table').count()).toBe(0);
      await expectAllFits();
      await page.getByRole('button', { name: /^Take/ }).click();
      await page.locator('.compare-table').waitFor();
      await settle(page);
      await expectAllFits();
      await go(page, 'Bench');
      await expectAllFits();
    },
    SLOW,
  );

  test(
    'in Learn',
    async () => {
      await go(page, 'Learn');
      for (const section of await page.locator('.experiment').all()) {
        await section.scrollIntoViewIfNeeded();
        await page.locator(`#${await section.getAttribute('id')}[data-burned]`).waitFor();
      }
      await expectAllFits();
    },
    SLOW,
  );

  test(
    'with larger text, all of which grows alike',
    async () => {
      /** The size of the text of every element that has any, px. */
      const sizes = () =>
        page.evaluate(() =>
          [...document.querySelectorAll<HTMLElement>('header *, .page *, .strip *, .view-words *, .learn *')]
            .filter((each) => each.checkVisibility() && each.closest('svg') === null)
            .filter((each) =>
              [...each.childNodes].some((node) => node.nodeType === 3 && node.textContent?.trim()),
            )
            .map((each) => [
              each.textContent!.slice(0, 30),
              Number.parseFloat(getComputedStyle(each).fontSize),
            ]),
        ) as Promise<[string, number][]>;
      /** The same once nothing more comes: experiments say their sentences as they are burned. */
      const unchanging = async () => {
        let now = await sizes();
        for (let alike = 0; alike < 5; ) {
          await page.waitForTimeout(100);
          const next = await sizes();
          alike = next.length === now.length ? alike + 1 : 0;
          now = next;
        }
        return now;
      };
      for (const place of ['Bench', 'Compare', 'Learn']) {
        await page.setViewportSize({ width: 1280, height: 720 });
        await go(page, place);
        const before = await unchanging();
        await page.evaluate(() => {
          document.documentElement.style.fontSize = '24px';
        });
        const after = await sizes();
        expect(before.length).toBeGreaterThan(20);
        expect(after.length).toBe(before.length);
        after.forEach(([text, px], k) => {
          expect(px / before[k]![1], `${place}: ${text}`).toBeCloseTo(1.5, 2);
        });
        for (const [width, height] of [SIZES[2], SIZES[6], SIZES[7]]) {
          await page.setViewportSize({ width, height });
          await still(page);
          expect(await page.evaluate(stickingOut), `${place}, ${width} px wide`).toEqual([]);
        }
        await page.evaluate(() => {
          document.documentElement.style.fontSize = '';
        });
      }
    },
    SLOW,
  );
});
