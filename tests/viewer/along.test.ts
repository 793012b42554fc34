import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import { PICTURES, rasterJob, SMALL } from '../dosing/pictures.ts';
import {
  drop,
  go,
  kept,
  quickSquare,
  reportOn,
  SLOW,
  SMALL_SQUARE,
  SQUARE,
  said,
  saving,
  settle,
  textOf,
  useWorld,
} from './world.ts';

/** S written anew along the way, by a press on the bench. */

const world = useWorld();

const picture = rasterJob(PICTURES.waves!, { ...SMALL, heightMm: 4, spacingMm: 0.2, pixelMm: 0.4 });

describe('along the way', () => {
  let page: Page;

  test(
    'lines are made even, saved, compared and put back',
    async () => {
      const [square] = await quickSquare();
      const text = `${SQUARE.slice(0, SQUARE.indexOf('M4')).replace('F1200', 'F3000')}M2\n`;
      page = await world.open({ jobs: [{ ...square!, text }] });
      await settle(page);
      const before = await reportOn(page);
      expect(before.findings.some(({ kind }) => kind === 'dark-corner')).toBe(true);
      await page.getByRole('button', { name: 'Make its lines even' }).click();
      await page.getByText(/Lines: .* of what is burned now gets within 10 %/).waitFor();
      await settle(page);
      expect(await said(page.locator('h1'))).toBe('square-even.nc');
      const after = await reportOn(page);
      expect(after.findings.some(({ kind }) => kind === 'dark-corner')).toBe(false);
      expect(after.duration_s).toBeCloseTo(before.duration_s, 2);

      const file = await saving(page.getByRole('button', { name: 'Save this job' }));
      expect(file.suggestedFilename()).toBe('square-even.nc');
      expect(await textOf(file)).toContain('; s follows the speed of the head\n');

      await page.getByRole('button', { name: 'compare it with how it was' }).click();
      await page.locator('.compare-table').waitFor();
      await go(page, 'Bench');
      // At the next visit too.
      await kept(page);
      await page.reload();
      await settle(page);
      await page.getByText(/Lines: .* of what is burned now gets within 10 %/).waitFor();
      await page.getByRole('button', { name: 'put the job back as it was' }).click();
      await page.getByRole('heading', { level: 1, name: 'square.nc' }).waitFor();
      await settle(page);
      expect((await reportOn(page)).findings).toEqual(before.findings);
      // An outline of two levels is no picture.
      expect(await page.getByRole('button', { name: 'Make its tones true' }).count()).toBe(0);
    },
    SLOW,
  );

  test(
    'where nothing has to be done, that is said',
    async () => {
      const slow = SMALL_SQUARE.replaceAll('M3', 'M4').replaceAll('F1200', 'F300').replaceAll('F400', 'F300');
      await drop(page, { 'slow.nc': slow });
      await expect.poll(() => said(page.locator('h1'))).toBe('slow.nc');
      await settle(page);
      await page.getByRole('button', { name: 'Make its lines even' }).click();
      await page.getByText('Lines: they are as even as S can make them on this machine.').waitFor();
      expect(await said(page.locator('h1'))).toBe('slow.nc');
      await page.context().close();
    },
    SLOW,
  );

  test(
    'a picture in rows gets its tones, with what was changed on the bench',
    async () => {
      const [square] = await quickSquare();
      const page = await world.open({
        jobs: [{ ...square!, name: 'waves.nc', title: 'waves.nc', text: picture }],
      });
      await settle(page);
      await page.getByRole('button', { name: 'Make its tones true' }).click();
      await page.getByText(/Tones: operation 1 is off what is meant by/).waitFor();
      await settle(page);
      expect(await said(page.locator('h1'))).toBe('waves-tones.nc');

      await page.getByRole('button', { name: 'compare it with how it was' }).click();
      await page.locator('.compare-table').waitFor();
      const names = ['what was meant', 'B, before', 'A, after'];
      expect(await page.locator('.meant figcaption').allTextContents()).toEqual(names);
      // The rows are dark where that was meant, and darker than meant before.
      const [meant, before, after] = await page.locator('.meant canvas').evaluateAll((all) =>
        (all as HTMLCanvasElement[]).map((canvas) => {
          const { width, height } = canvas;
          const { data } = canvas.getContext('2d')!.getImageData(0, 0, width, height);
          return data.reduce((sum, value) => sum + value, 0) / data.length;
        }),
      );
      expect(Math.abs(after! - meant!)).toBeLessThan(Math.abs(before! - meant!) / 2);
      const row = page.locator('.compare-table tr', { hasText: 'off what is meant' });
      expect(await said(row)).toMatch(/L\*\s*(\d\S*) on the mean, \S+ at 95 %\s+1\d on the mean/);

      await go(page, 'To take away');
      const report = await saving(page.getByRole('button', { name: 'report.json' }));
      const { wish } = JSON.parse(await textOf(report));
      // Rows so far apart cannot be as dark as some of them were meant.
      expect(wish.after.mean_delta_l).toBeLessThan(wish.before.mean_delta_l / 3);
      await page.context().close();
    },
    SLOW,
  );

  test(
    'a picture is laid over rows of one power, between the ends that were set; what is none is told',
    async () => {
      const [square] = await quickSquare();
      const rows = rasterJob(() => 1, { ...SMALL, spacingMm: 0.2, pixelMm: 12 });
      const page = await world.open({
        jobs: [{ ...square!, name: 'rows.nc', title: 'rows.nc', text: rows }],
      });
      await settle(page);
      expect(await page.getByRole('button', { name: 'Make its tones true' }).count()).toBe(0);
      const place = page.locator('.laid input');
      await place.setInputFiles({ name: 'x.png', mimeType: 'image/png', buffer: Buffer.from('no picture') });
      await page.getByText(/^x\.png: could not be decoded by this browser; expected a photo/).waitFor();
      // Left white, right black; dropped on its place, and no photo of a swatch.
      await page.locator('.laid').evaluate(async (target) => {
        const canvas = new OffscreenCanvas(24, 6);
        const context = canvas.getContext('2d')!;
        context.fillStyle = '#fff';
        context.fillRect(0, 0, 12, 6);
        context.fillStyle = '#000';
        context.fillRect(12, 0, 12, 6);
        const carried = new DataTransfer();
        carried.items.add(new File([await canvas.convertToBlob({ type: 'image/png' })], 'half.png'));
        target.dispatchEvent(
          new DragEvent('drop', { dataTransfer: carried, bubbles: true, cancelable: true }),
        );
      });
      await page.getByText('Its rows are to show half.png').waitFor();
      expect(await page.getByText('could not be decoded').count()).toBe(0);
      await page.getByLabel(/^how far the darkest tone goes/).fill('50');
      await page.getByRole('button', { name: 'Make its tones true' }).click();
      await page.getByText(/Tones: operation 1 is off what is meant by/).waitFor();
      await settle(page);
      const [operation] = (await reportOn(page)).operations;
      expect(operation!.tone).toBeLessThan(0.6);
      const text = await textOf(await saving(page.getByRole('button', { name: 'Save this job' })));
      // Rows run from x 5 to 17: left of the middle nothing is burned, right of it all is.
      let power = 0;
      let [left, right] = [0, 0];
      for (const line of text.split('\n').filter((each) => !each.startsWith('G0'))) {
        power = Number(/S([\d.]+)/.exec(line)?.[1] ?? power);
        const x = Number(/X([\d.]+)/.exec(line)?.[1] ?? 0);
        if (x > 6 && x < 10) left = Math.max(left, power);
        if (x > 12 && x < 16) right = Math.max(right, power);
      }
      expect(right).toBeGreaterThan(100);
      expect(left).toBe(0);
      await page.context().close();
    },
    SLOW,
  );
});
