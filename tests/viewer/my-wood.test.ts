import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { readMaterial } from '../../src/burn/material.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { readSwatch } from '../../src/swatch/swatch.ts';
import { seeded } from '../support/random.ts';
import { workplace } from '../support/workplace.ts';
import { burnedScene, cutsThrough, paperPlace, photoOf, randomCamera, randomWood } from '../swatch/scene.ts';
import { go, kept, quickSquare, reportOn, SLOW, said, saving, settle, textOf, useWorld } from './world.ts';

const world = useWorld();
const place = workplace();

const png = ({ width, height, data }: Photo): Buffer => {
  const image = new PNG({ width, height });
  image.data = Buffer.from(data);
  return PNG.sync.write(image);
};
const choose = (own: Page, files: { name: string; mimeType: string; buffer: Buffer }[]) =>
  own.locator('.pick input').setInputFiles(files);

describe('my wood', () => {
  test(
    'a swatch is made, its photo read, the wood fitted as by the command line, and put on the bench',
    async () => {
      const own = await world.open({ jobs: await quickSquare() });
      await settle(own);
      await go(own, 'My wood');
      await own.getByLabel("width of the swatch's board").fill('80');
      await own.keyboard.press('Enter');
      await own.getByLabel("height of the swatch's board").fill('50');
      await own.keyboard.press('Enter');
      await own.getByLabel("thickness of the swatch's board").fill('3');
      await own.keyboard.press('Enter');
      const job = await saving(own.getByRole('button', { name: 'Save the swatch' }));
      const key = await saving(own.getByRole('button', { name: 'save its key' }));
      const keyText = await textOf(key);
      const swatch = readSwatch(JSON.parse(keyText));
      const truth = randomWood(seeded(1234));
      const stock = { widthMm: 80, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 };
      const scene = burnedScene(swatch, await textOf(job), stock, 5 / 64);
      const random = seeded(1235);
      const size = { widthPx: 680, heightPx: 476 };
      const camera = { ...randomCamera(scene, truth, random, { ...size, paper: true }), quality: null };
      const photo = photoOf(scene, truth, camera, random);
      const [paperX, paperY] = paperPlace(scene, camera);
      const buffer = png(photo);

      await choose(own, [{ name: 'photo.png', mimeType: 'image/png', buffer }]);
      const at = own.locator('.photo');
      await expect
        .poll(() => said(at), { timeout: 60_000 })
        .toContain(`It shows the code ${swatch.code!.text}`);
      // The corners lie where the marks are; dragging one away makes the photo unreadable, or another.
      expect(await own.locator('.photo .corner').count()).toBe(4);
      await own.getByRole('button', { name: 'show the white paper' }).click();
      const box = (await own.locator('.on-photo').boundingBox())!;
      await own.mouse.click(
        box.x + (paperX / photo.width) * box.width,
        box.y + (paperY / photo.height) * box.height,
      );
      const through = cutsThrough(scene, truth);
      for (const n of through) await own.getByLabel(String(n), { exact: true }).check();
      if (through.length === 0) await own.getByLabel('none', { exact: true }).check();
      await own.getByLabel('Call the wood').fill('shed poplar');
      await expect.poll(() => said(at), { timeout: 60_000 }).toContain('show the white paper again');
      await expect.poll(() => said(at), { timeout: 60_000 }).toContain('It shows the code');
      const fit = own.getByRole('button', { name: 'Fit the wood' });
      await expect.poll(() => fit.getAttribute('aria-disabled'), { timeout: 60_000 }).toBe('false');
      await fit.click();
      await own.locator('.fit-chart').waitFor({ timeout: 60_000 });
      const page = own.getByLabel('My wood', { exact: true });
      expect(await said(page)).toContain('First mark: ');
      await own.locator('.before-after canvas[data-burned]').nth(1).waitFor();
      const file = await saving(page.getByRole('button', { name: 'Save it as a file' }));
      expect(file.suggestedFilename()).toBe('shed-poplar.json');
      const fitted = readMaterial(JSON.parse(await textOf(file)));
      for (const name of ['first_mark_j_mm2', 'full_char_j_mm2'] as const) {
        const { value, plus_minus } = fitted[name];
        expect(Math.abs(value - truth[name].value)).toBeLessThan(3 * plus_minus!);
      }
      // The command line says the same of the same files.
      writeFileSync(place.path('key.json'), keyText);
      writeFileSync(place.path('photo.png'), buffer);
      await place.charcast(
        ...['fit', '--swatch', place.path('key.json'), '--photo', place.path('photo.png')],
        ...['--cuts', through.join(' ') || 'none', '--white', [paperX, paperY].map(Math.round).join(',')],
        ...['-o', place.path('same.json')],
      );
      const same = readMaterial(JSON.parse(readFileSync(place.path('same.json'), 'utf8')));
      expect(fitted.first_mark_j_mm2.value).toBeCloseTo(same.first_mark_j_mm2.value, 2);
      expect(fitted.full_char_j_mm2.value).toBeCloseTo(same.full_char_j_mm2.value, 2);

      const drawn = PNG.sync.read(
        Buffer.from(await textOf(await saving(page.getByRole('button', { name: 'fit.png' }))), 'latin1'),
      );
      const theirs = PNG.sync.read(readFileSync(place.path('fit.png')));
      expect([drawn.width, drawn.height]).toEqual([theirs.width, theirs.height]);

      const shots = process.env.CHARCAST_SHOTS;
      if (shots) await own.screenshot({ path: join(shots, 'wood.png') });
      await own.getByRole('button', { name: 'Put it on the bench and on the shelf' }).click();
      await settle(own);
      expect((await reportOn(own)).material).toBe('shed poplar');
      await kept(own);
      await own.reload();
      await settle(own);
      expect(await own.getByLabel('Wood', { exact: true }).inputValue()).toBe('shed poplar');
      // The photo is there again, with the paper as it was shown.
      await go(own, 'My wood');
      await own.getByRole('button', { name: 'take photo.png away' }).waitFor();
      await own.getByRole('button', { name: 'show the white paper again' }).waitFor();
      await own.context().close();
    },
    2 * SLOW,
  );
});
