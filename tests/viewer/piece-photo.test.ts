import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import type { ToneSeen } from '../../src/piece/tones.ts';
import { type Answers, nothingSaid, saidWords, tonesTold, withPhoto } from '../../viewer/burned/answers.ts';
import { inThePage } from '../../viewer/words/in-the-page.ts';
import { photoOfMarker } from '../piece/pieces.ts';
import { everySchemeOf, withAxe } from './axe.ts';
import { go, SLOW, said, settle, smallMarker, useWorld } from './world.ts';

/** A photo of the burned piece in the notebook: laid, shown, told, learned from. */

const world = useWorld();
const WAIT = { timeout: 90_000 };

describe('what a photo shows of an operation', () => {
  const seen = (operation: number): ToneSeen => ({
    operation,
    forecastTone: 0.5,
    seenTone: 0.6,
    localTone: 0.6,
    lnTimes: 0.1,
    isAtLeast: false,
    marks: [{ plainJPerMm2: 0.4, part: 1 }],
    lnTimesPerLnWidth: 0,
    plusMinus: 0.1,
    byDoubt: [],
  });
  const answers = new Map<number, Answers>([
    [2, { ...nothingSaid(4), answer: 'darker' }],
    [3, { ...nothingSaid(4), answer: null }],
    [4, { ...nothingSaid(4), answer: 'on the photo', cornersDark: true }],
  ]);
  test('counts as told where nothing else was said, and not where that was taken back', () => {
    const tones = [1, 2, 3, 4].map(seen);
    const all = withPhoto(answers, tones, 4);
    expect(tonesTold(all, tones).map(({ operation }) => operation)).toEqual([1, 4]);
    expect(saidWords(all)).toBe('2: darker; 4: corners dark');
  });
  test('without a photo, nothing is told by one', () => {
    expect(tonesTold(withPhoto(answers, [], 4), [])).toEqual([]);
  });
});

describe('what is said of photos and learning', () => {
  const sentences = ['piece/read-piece.ts', 'piece/register.ts', 'outcome/learn.ts'].flatMap((name) =>
    readFileSync(fileURLToPath(new URL(`../../src/${name}`, import.meta.url)), 'utf8')
      .split('\n')
      .filter((line) => /--[a-z]|charcast [a-z]|in pixels/.test(line) && !/^\s*(\/\/|\/?\*)/.test(line)),
  );
  test('names options of commands', () => expect(sentences.length).toBeGreaterThan(5));
  test.each(sentences)('names none in the page: %s', (sentence) => {
    expect(inThePage(sentence)).not.toMatch(/--[a-z]|charcast [a-z]|in pixels/);
  });
});

describe('in the notebook', () => {
  const drop = (page: Page, name: string, bytes: Uint8Array) =>
    page.evaluate(
      ([called, text]) => {
        const dataTransfer = new DataTransfer();
        const data = Uint8Array.from(atob(text!), (letter) => letter.charCodeAt(0));
        dataTransfer.items.add(new File([data], called!, { type: 'image/jpeg' }));
        document.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
      },
      [name, Buffer.from(bytes).toString('base64')] as const,
    );

  test(
    'a photo is laid by its marks, or by its corners where these do not tell, and its tones are learned',
    async () => {
      const jobs = await smallMarker();
      const { name, text, machine, stock } = jobs[0]!;
      const page = await world.open({ jobs, viewport: { width: 1280, height: 720 } });
      await settle(page);
      await go(page, 'Notebook');

      await drop(page, 'broken.jpg', Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 0, 16));
      await expect
        .poll(() => said(page.locator('.piece-photo')), WAIT)
        .toMatch(/^This photo could not be read: choose another\s+or take broken\.jpg away\./);
      expect(await said(page.locator('.piece-photo'))).not.toContain('Not the right photo?');

      // From too far away to be found: the board is a fifth of the photo.
      const far = [
        [420, 370],
        [640, 370],
        [640, 278],
        [420, 278],
      ] as const;
      await drop(page, 'far.jpg', photoOfMarker(text, machine, stock!, { corners: far }));
      const place = page.locator('.piece-photo');
      await expect
        .poll(() => said(place), WAIT)
        .toContain('found nothing on the photo that looks like the job');
      expect(await said(place)).toContain('or lay the photo by its corners below');
      expect(await said(place)).toContain('Not the right photo?');
      const photo = place.locator('.on-photo');
      await photo.scrollIntoViewIfNeeded();
      for (const [k, which] of ['lower left', 'lower right', 'upper right', 'upper left'].entries()) {
        const box = (await photo.boundingBox())!;
        const corner = (await page.getByLabel(`the ${which} corner of the board`).boundingBox())!;
        await page.mouse.move(corner.x + corner.width / 2, corner.y + corner.height / 2);
        await page.mouse.down();
        const [x, y] = far[k]!;
        await page.mouse.move(box.x + (x / 1100) * box.width, box.y + (y / 620) * box.height, { steps: 2 });
        await page.mouse.up();
      }
      await withAxe(page);
      await everySchemeOf(page, 'corners on a photo of the piece');
      await page.getByRole('button', { name: 'lay it by these corners' }).click();
      await place.locator('.piece-beside').waitFor(WAIT);
      // Laid once more where it lies, it is shown again.
      await page.getByRole('button', { name: 'lay it by its corners' }).click();
      await page.getByRole('button', { name: 'lay it by these corners' }).click();
      await page.getByRole('button', { name: 'lay it by its corners' }).waitFor(WAIT);
      expect(await place.locator('.piece-beside').count()).toBe(1);

      // Nearer, it is found by itself.
      await drop(page, 'piece.jpg', photoOfMarker(text, machine, stock!));
      await place.getByText('take piece.jpg away').waitFor();
      await place.locator('.piece-beside').waitFor(WAIT);
      const first = page.locator('.turned').first();
      expect(await said(first)).toMatch(
        /Operation 1 came out (darker|lighter|as forecast).*tone \d+ %, forecast \d+ %\./,
      );
      expect(await said(first)).toMatch(/The marks of operation 1 are .*L\*/);
      expect(await page.getByLabel('how operation 1 turned out').inputValue()).toBe('on the photo');
      await page.getByLabel('one over the other').check();
      const divider = page.getByRole('slider', { name: 'Divider between forecast and photo' });
      await divider.press('Shift+ArrowRight');
      expect(await divider.getAttribute('aria-valuenow')).toBe('60');
      await everySchemeOf(page, 'forecast and photo one over the other');
      await page.getByLabel('the difference in L*').check();
      await page.getByRole('img', { name: 'How much darker the photo is than the forecast' }).waitFor();

      await page.getByRole('button', { name: 'Learn from it' }).click();
      const learned = page.locator('.learned');
      await learned.waitFor(WAIT);
      expect(await said(learned)).toMatch(/On the photo\s+Operation 1 came out/);
      expect(await said(page.locator('.notebook > li'))).toMatch(/“tone \d+ % on the photo”/);
      const small = page.locator('.notebook img');
      expect(await small.getAttribute('src')).toMatch(/^data:image\/jpeg/);
      expect(await small.getAttribute('alt')).toBe(`${name} as it came out, on its photo`);
      // On the bench the wood knows it; the photo is not to teach it once more.
      await page.getByRole('button', { name: 'Put it on the bench and on the shelf' }).click();
      await settle(page);
      await expect.poll(() => said(place), WAIT).toContain('What it shows was learned.');
      expect(await page.getByLabel('how operation 1 turned out').inputValue()).toBe('nothing');
      await page.context().close();
    },
    2 * SLOW,
  );
});
