import { describe, expect, test } from 'vitest';
import { PICTURES, rasterJob, SMALL } from '../dosing/pictures.ts';
import { go, quickSquare, reportOn, SLOW, SQUARE, said, saving, settle, textOf, useWorld } from './world.ts';

/** S written anew along the way, by a press on the bench. */

const world = useWorld();

const picture = rasterJob(PICTURES.waves!, { ...SMALL, heightMm: 4, spacingMm: 0.2, pixelMm: 0.4 });

describe('along the way', () => {
  test(
    'lines are made even, saved, compared and put back',
    async () => {
      const [square] = await quickSquare();
      const text = `${SQUARE.slice(0, SQUARE.indexOf('M4')).replace('F1200', 'F3000')}M2\n`;
      const page = await world.open({ jobs: [{ ...square!, text }] });
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
      await page.getByRole('button', { name: 'put the job back as it was' }).click();
      await page.getByRole('heading', { level: 1, name: 'square.nc' }).waitFor();
      await settle(page);
      expect((await reportOn(page)).findings).toEqual(before.findings);
      // An outline of two levels is no picture.
      expect(await page.getByRole('button', { name: 'Make its tones true' }).count()).toBe(0);
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
      await page.getByText(/Tones: operation 1 burned as S meant it is off by/).waitFor();
      await settle(page);
      expect(await said(page.locator('h1'))).toBe('waves-tones.nc');
      await page.context().close();
    },
    SLOW,
  );

  test(
    'where nothing has to be done, that is said',
    async () => {
      const [square] = await quickSquare();
      const text = SQUARE.replaceAll('M3', 'M4').replaceAll('F1200', 'F300').replaceAll('F400', 'F300');
      const page = await world.open({ jobs: [{ ...square!, text }] });
      await settle(page);
      await page.getByRole('button', { name: 'Make its lines even' }).click();
      await page.getByText('Lines: they are as even as S can make them on this machine.').waitFor();
      expect(await said(page.locator('h1'))).toBe('square.nc');
      await page.context().close();
    },
    SLOW,
  );
});
