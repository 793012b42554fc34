import type { Locator, Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { stickingOut } from './sticking-out.ts';
import {
  COARSE,
  clock,
  drop,
  framesOn,
  reportOn,
  SLOW,
  SQUARE,
  said,
  settle,
  shot,
  smallMarker,
  still,
  useWorld,
} from './world.ts';

const world = useWorld();
let own: Page;

beforeAll(async () => {
  own = await world.open({ jobs: await smallMarker(), fineness: COARSE });
  await settle(own);
}, SLOW);

describe('for everyone', () => {
  test(
    'by keyboard alone',
    async () => {
      await own.keyboard.press('Home');
      expect(await clock(own)).toBe('0:00.0');
      await own.keyboard.press('Shift+ArrowRight');
      expect(await clock(own)).not.toBe('0:00.0');
      await own.keyboard.press(' ');
      await expect.poll(() => said(own.locator('.play'))).toBe('Pause');
      await own.keyboard.press(' ');
      await expect.poll(() => said(own.locator('.play'))).toBe('Play');
      await own.keyboard.press('2');
      expect(await own.getByLabel('dose', { exact: true }).isChecked()).toBe(true);
      await own.keyboard.press('1');
      // Everything that can be used is reached by Tab, is named, and shows that it has the focus.
      const names: string[] = [];
      for (let k = 0; k < 120; k++) {
        await own.keyboard.press('Tab');
        const { name, marked } = await own.evaluate(() => {
          const at = document.activeElement as HTMLElement;
          if (at === document.body) return { name: '', marked: true };
          const label =
            at.getAttribute('aria-label') ??
            (at as HTMLInputElement).labels?.[0]?.textContent ??
            at.textContent;
          const style = getComputedStyle(at);
          const holder =
            at.closest('.choice, .view-words label, .modes label')?.querySelector('span') ??
            at.closest('label');
          const around = holder ? getComputedStyle(holder) : style;
          const marked =
            [style, around].some((each) => each.outlineStyle !== 'none') ||
            style.borderBottomStyle === 'solid';
          return { name: (label ?? '').trim(), marked };
        });
        if (name === '' || (names.length > 0 && name === names[0])) break;
        expect(marked, name).toBe(true);
        names.push(name);
      }
      for (const wanted of [
        'Compare',
        'Learn',
        'Open a job',
        'Machine',
        'Wood',
        'speed of operation 1',
        'power mode of operation 3',
        'Moment of the job',
      ])
        expect(names, wanted).toContain(wanted);
      await own.getByLabel('speed of operation 1').focus();
      await own.keyboard.press('ArrowDown');
      await settle(own);
      expect((await reportOn(own)).operations[0]!.feed_mm_min).toBe(2950);
    },
    SLOW,
  );

  test(
    'the board is turned and tipped by keys, and what the mouse has chosen has no ring',
    async () => {
      await own.locator('.stage canvas').focus();
      const from = await shot(own);
      for (const [there, back] of [
        ['.', ','],
        ['PageDown', 'PageUp'],
      ] as const) {
        await own.keyboard.press(there);
        await still(own);
        await expect.poll(async () => (await shot(own)).equals(from), { message: there }).toBe(false);
        await own.keyboard.press(back);
        await still(own);
        await expect.poll(async () => (await shot(own)).equals(from), { message: back }).toBe(true);
      }
      const ringOf = (at: Locator) => at.evaluate((each) => getComputedStyle(each).outlineStyle);
      const dose = own.locator('.view-words label', { hasText: 'dose' });
      await dose.click();
      expect(await ringOf(dose)).toBe('none');
      await own.keyboard.press('ArrowRight');
      await expect.poll(() => ringOf(own.locator('.view-words label', { hasText: 'speed' }))).toBe('solid');
      const name = `${'herb-garden-marker-'.repeat(8)}.nc`;
      await drop(own, { [name]: SQUARE });
      const heading = own.locator('h1');
      await expect.poll(() => said(heading)).toBe(name);
      await settle(own);
      expect(await ringOf(heading)).toBe('none');
      for (const width of [390, 900, 1280]) {
        await own.setViewportSize({ width, height: 700 });
        await expect.poll(() => own.evaluate(stickingOut), { message: `${width} px wide` }).toEqual([]);
      }
    },
    SLOW,
  );

  test(
    'those who ask for less motion get none',
    async () => {
      await own.emulateMedia({ reducedMotion: 'reduce' });
      await own.locator('.stage canvas').focus();
      await still(own);
      const before = await framesOn(own);
      await own.keyboard.press('f');
      await still(own);
      const drawn = (await framesOn(own)) - before;
      expect(drawn).toBeGreaterThan(0);
      expect(drawn).toBeLessThanOrEqual(3);
      expect(await own.locator('.spark').count()).toBe(0);
    },
    SLOW,
  );
});
