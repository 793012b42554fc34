import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { drop, kept, quickSquare, SLOW, SMALL_SQUARE, said, saving, settle, useWorld } from './world.ts';

const world = useWorld();

/** What the page would ask before it is left; '' when it asks nothing. */
async function askedOnReload(own: Page): Promise<string> {
  let asked = '';
  own.once('dialog', (dialog) => {
    asked = dialog.type();
    void dialog.accept();
  });
  await own.reload();
  own.removeAllListeners('dialog');
  return asked;
}

const goodToKnow = async (own: Page): Promise<string> => {
  const more = own.locator('details.more', { hasText: 'Good to know' });
  if ((await more.getAttribute('open')) === null) await more.locator('summary').click();
  return said(more);
};

describe('from visit to visit', () => {
  let own: Page;
  beforeAll(async () => {
    own = await world.open({ jobs: await quickSquare() });
    await settle(own);
  }, SLOW);

  test(
    'pace, machine and changed settings are there again',
    async () => {
      await own.getByLabel('Pace').selectOption('100');
      await own.getByLabel('Machine', { exact: true }).selectOption('workshop gantry');
      await own.getByLabel('optical power').fill('8,5');
      await own.keyboard.press('Enter');
      await settle(own);
      await kept(own);
      expect(await askedOnReload(own)).toBe('');
      await expect.poll(() => own.getByLabel('Pace').inputValue()).toBe('100');
      expect(await own.getByLabel('Machine', { exact: true }).inputValue()).toBe('workshop gantry');
      expect(await own.getByLabel('optical power').inputValue()).toBe('8.5');
      expect(await goodToKnow(own)).toContain('All is as you left it the last time.');
      await own.getByRole('button', { name: 'Put back the machine' }).click();
      await settle(own);
      expect(await own.getByLabel('optical power').inputValue()).toBe('12');
      expect(await goodToKnow(own)).not.toContain('as you left it');

      await own.getByLabel('passes of operation 2').fill('4');
      await own.keyboard.press('Enter');
      await settle(own);
      const saved = await saving(own.getByRole('button', { name: 'Save the adjusted job' }));
      expect(saved.suggestedFilename()).toBe('square-adjusted.nc');
      await own.getByLabel('passes of operation 2').fill('5');
      await own.keyboard.press('Enter');
      await settle(own);
      await kept(own);
      expect(await askedOnReload(own)).toBe('');
      await settle(own);
      expect(await own.getByLabel('passes of operation 2').inputValue()).toBe('5');
      expect(await own.getByLabel('optical power').inputValue()).toBe('12');
    },
    SLOW,
  );

  test(
    'what is changed while the bench is still being kept is there again too',
    async () => {
      // A store that opens slowly, and tells how often it was asked to.
      await own.evaluate(() => {
        const { open } = IDBFactory.prototype;
        const asked = Object.assign(window, { asked: 0 });
        IDBFactory.prototype.open = function (...of) {
          asked.asked++;
          const request = open.apply(this, of);
          return {
            get result() {
              return request.result;
            },
            set onsuccess(told: () => void) {
              request.onsuccess = () => setTimeout(told, 700);
            },
          } as unknown as IDBOpenDBRequest;
        };
      });
      await own.getByLabel('passes of operation 2').fill('6');
      await own.keyboard.press('Enter');
      await own.waitForFunction(() => (window as unknown as { asked: number }).asked > 0);
      await own.getByLabel('passes of operation 2').fill('7');
      await own.keyboard.press('Enter');
      await kept(own);
      await own.reload();
      await expect.poll(() => own.getByLabel('passes of operation 2').inputValue()).toBe('7');
    },
    SLOW,
  );

  test(
    'a dropped job is there again with its board, and undone back to as it came',
    async () => {
      await drop(own, { 'dropped.nc': SMALL_SQUARE });
      await expect.poll(() => said(own.locator('h1'))).toBe('dropped.nc');
      await own.getByRole('button', { name: 'give its size' }).click();
      await own.getByLabel('board thickness').fill('3');
      await own.keyboard.press('Enter');
      await own.getByLabel('power of operation 1').fill('44');
      await own.keyboard.press('Enter');
      await settle(own);
      await kept(own);
      await own.reload();
      await settle(own);
      expect(await said(own.locator('h1'))).toBe('dropped.nc');
      expect(await own.getByLabel('board thickness').inputValue()).toBe('3');
      expect(await own.getByLabel('power of operation 1').inputValue()).toBe('44');
      await own.getByRole('button', { name: 'undo' }).click();
      await settle(own);
      expect(await own.getByLabel('power of operation 1').inputValue()).toBe('30');
    },
    SLOW,
  );

  test(
    'where the browser keeps nothing, that is told, and changes are asked about',
    async () => {
      const own = await world.open({
        jobs: await quickSquare(),
        before: () => {
          indexedDB.open = () => {
            throw new Error('the store is closed');
          };
        },
      });
      await settle(own);
      await own.getByLabel('passes of operation 2').fill('5');
      await own.keyboard.press('Enter');
      await settle(own);
      await expect
        .poll(() => said(own.locator('.page')))
        .toContain('does not keep the bench from visit to visit (the store is closed)');
      expect(await askedOnReload(own)).toBe('beforeunload');
      await expect.poll(() => own.getByLabel('passes of operation 2').inputValue()).toBe('1');
      await own.context().close();
    },
    SLOW,
  );

  test(
    'saved changes are not asked about, and what is good to know goes when it is no longer true',
    async () => {
      const [demo] = await quickSquare();
      const notes = [
        'No machine was given: a gantry of 5 W with everyday limits was assumed.',
        'No material was given: poplar plywood was assumed.',
      ];
      const own = await world.open({ jobs: [{ ...demo!, notes }] });
      await settle(own);
      for (const note of notes) expect(await goodToKnow(own)).toContain(note);
      await own.getByLabel('optical power').fill('8');
      await own.keyboard.press('Enter');
      await own.getByLabel('power of operation 1').fill('40');
      await own.keyboard.press('Enter');
      await settle(own);
      expect(await goodToKnow(own)).not.toContain(notes[0]!);
      expect(await goodToKnow(own)).toContain(notes[1]!);
      await saving(own.getByRole('button', { name: 'Save the adjusted job' }));
      await drop(own, { 'dropped.nc': SMALL_SQUARE });
      await own.waitForFunction(() => document.querySelector('h1')?.textContent === 'dropped.nc');
      await settle(own);
      expect(await goodToKnow(own)).toContain('The wood was taken over from before: poplar plywood.');
      await own.getByLabel('Wood', { exact: true }).selectOption('beech');
      await settle(own);
      const told = await goodToKnow(own);
      expect(told).not.toContain('The wood was taken over');
      expect(told).toContain('The machine was taken over from before: bench gantry.');
      await kept(own);
      expect(await askedOnReload(own)).toBe('');
      await own.context().close();
    },
    SLOW,
  );
});
