import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { beforeAll, describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoMachines } from '../../src/demo/index.ts';
import { forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { closeUpAt } from '../../src/picture/close-ups.ts';
import { reportOf } from '../../src/report.ts';
import { clockWords } from '../../viewer/words/clock-words.ts';
import { benchGantry } from '../support/demo-machines.ts';
import { workplace } from '../support/workplace.ts';
import {
  COARSE,
  clock,
  firstPictureMsOn,
  hidePins,
  lookAway,
  reportOn,
  SLOW,
  said,
  saving,
  settle,
  shot,
  smallMarker,
  still,
  textOf,
  totals,
  useWorld,
} from './world.ts';

const world = useWorld();
const place = workplace();
let page: Page;

beforeAll(async () => {
  page = await world.open();
  await settle(page);
}, SLOW);

/** The wood on screen comes to exactly these pixels (a busy machine may show a frame late). */
const sameWood = (expected: Buffer) =>
  expect.poll(async () => (await shot(page)).equals(expected), { timeout: 60_000 }).toBe(true);

describe('the bench', () => {
  test('opens on the demo', async () => {
    expect(await said(page.locator('h1'))).toBe('Basil marker, first try');
    // How soon is for `npm run speed`.
    expect(await firstPictureMsOn(page)).toBeGreaterThan(0);
  });

  test('its script leaves room for fonts and demo in a page of 700 kB compressed', () => {
    const assets = join(world.folder, 'assets');
    const first = readdirSync(assets).filter((name) => /^(index|road)-.*\.js$/.test(name));
    expect(first.length).toBeGreaterThanOrEqual(2);
    const bytes = first.reduce((sum, name) => sum + gzipSync(readFileSync(join(assets, name))).length, 0);
    expect(bytes).toBeLessThan(560_000);
  });

  test('its worker begins without what reads profiles: those it is handed have been read', () => {
    const assets = join(world.folder, 'assets');
    const readsProfiles = (script: RegExp) =>
      readdirSync(assets)
        .filter((name) => script.test(name))
        .map((name) => /_zod\b/.test(readFileSync(join(assets, name), 'utf8')));
    expect(readsProfiles(/^road-.*\.js$/)).toEqual([false]);
    expect(readsProfiles(/^(do-errand|schema)-.*\.js$/)).toContain(true);
  });

  test(
    'the forecast in the page equals the command line’s, number for number',
    async () => {
      await place.charcast('demo', 'marker', '--out', place.path('out'));
      const told = JSON.parse(readFileSync(place.path('out/marker/report.json'), 'utf8'));
      const { timing_ms: _, ...seen } = await reportOn(page);
      delete told.timing_ms;
      expect(JSON.parse(JSON.stringify(seen))).toEqual(told);
    },
    SLOW,
  );

  test(
    'takes a job that is brought to it',
    async () => {
      await page.context().close();
      page = await world.open({ jobs: await smallMarker(), fineness: COARSE });
      await settle(page);
      await hidePins(page);
      expect(await said(page.locator('h1'))).toBe('Small marker, first try');
      expect((await reportOn(page)).grid.cell_mm).toBe(0.1);
    },
    SLOW,
  );

  test(
    'scrubs forward and back to the same wood',
    async () => {
      const burned = await shot(page);
      const strip = page.getByRole('slider', { name: 'Moment of the job' });
      const box = (await strip.boundingBox())!;
      const at = async (share: number) => {
        await page.mouse.move(box.x + box.width * share, box.y + 40);
        await page.mouse.down();
        await page.mouse.up();
        await page.mouse.move(5, 5);
        await still(page);
        return shot(page);
      };
      const third = await at(0.33);
      const clockThird = await clock(page);
      const half = await at(0.5);
      expect(await clock(page)).not.toBe(clockThird);
      expect(half.equals(third)).toBe(false);
      await at(0.33);
      await sameWood(third);
      await strip.press('Home');
      await strip.press('PageUp');
      const { duration_s } = await reportOn(page);
      const tenth = clockWords(duration_s / 10, 1);
      expect(await clock(page)).toBe(tenth);
      await strip.press('PageUp');
      await strip.press('PageDown');
      expect(await clock(page)).toBe(tenth);
      await strip.press('End');
      await still(page);
      await sameWood(burned);
    },
    SLOW,
  );

  test(
    'a changed setting changes numbers and pixels, says so, and can be put back',
    async () => {
      const before = { totals: await totals(page), wood: await shot(page) };
      expect(await said(page.locator('.cuts'))).toMatch(
        /^Operation 3, taken for a cut, cuts through nearly nowhere: 1\.\d+ of 4 mm at the shallowest\. It comes through on hardly any such board; \d+ passes make it 19 of 20\.$/m,
      );
      await page.getByLabel('power of operation 1').fill('20');
      await page.keyboard.press('Enter');
      await settle(page);
      expect((await reportOn(page)).operations[0]!.s_max).toBe(200);
      expect(await totals(page)).not.toBe(before.totals);
      expect((await shot(page)).equals(before.wood)).toBe(false);
      await page.getByLabel("Put back the job's own settings of operation 1").click();
      await settle(page);
      expect(await totals(page)).toBe(before.totals);
      await sameWood(before.wood);
      await lookAway(page);
    },
    SLOW,
  );

  test(
    'a typed number is read as written, or refused beside itself until it is mended',
    async () => {
      const speed = page.getByLabel('speed of operation 2');
      const sentence = page.locator('.operation').nth(1);
      const type = async (text: string) => {
        await speed.fill(text);
        await page.keyboard.press('Enter');
      };
      await type('12,5');
      expect(await speed.inputValue()).toBe('12.5');
      await type('1.500');
      expect(await speed.inputValue()).toBe('1500');
      expect(await said(sentence)).toContain('(read as 1500 mm/min)');
      const save = page.getByRole('button', { name: 'Save the adjusted job' });
      const isHeld = () => save.getAttribute('aria-disabled');
      await expect.poll(isHeld).toBe('false');
      await type('0');
      expect(await speed.inputValue()).toBe('0');
      expect(await said(sentence)).toContain('(10 mm/min is the least here)');
      expect(await speed.getAttribute('aria-invalid')).toBe('true');
      await expect.poll(isHeld).toBe('true');
      expect(await said(page.locator('.save'))).toContain('10 mm/min is the least here');
      await settle(page);
      expect((await reportOn(page)).operations[1]!.feed_mm_min).toBe(1500);
      await page.keyboard.press('Escape');
      expect(await speed.inputValue()).toBe('1500');
      await expect.poll(isHeld).toBe('false');
      const passes = page.getByLabel('passes of operation 2');
      await passes.fill('2.5');
      await passes.blur();
      expect(await said(sentence)).toContain('(whole numbers only)');
      await page.getByLabel("Put back the job's own settings of operation 2").click();
      await settle(page);
      await passes.fill('1');
      await passes.blur();
      expect(await said(sentence)).not.toContain('whole');
    },
    SLOW,
  );

  test(
    'numbers are dragged sideways',
    async () => {
      const field = page.getByLabel('speed of operation 2');
      // What a forecast brings moves what stands below it.
      await settle(page);
      await field.scrollIntoViewIfNeeded();
      const box = (await field.boundingBox())!;
      await page.mouse.move(box.x + 8, box.y + 8);
      await page.mouse.down();
      await page.mouse.move(box.x + 58, box.y + 8, { steps: 5 });
      await page.mouse.up();
      expect(Number(await field.inputValue())).toBe(1200 + 10 * 50);
      await page.getByLabel("Put back the job's own settings of operation 2").click();
      await settle(page);
    },
    SLOW,
  );

  test(
    'whatever is changed can be undone and redone, each drag as one step',
    async () => {
      const speed = page.getByLabel('speed of operation 2');
      const undo = page.getByRole('button', { name: 'undo' });
      const before = await totals(page);
      await page.keyboard.press('Control+z');
      // Until nothing is left of what was done above.
      while ((await undo.getAttribute('aria-disabled')) === 'false') await undo.click();
      await settle(page);
      await speed.scrollIntoViewIfNeeded();
      const box = (await speed.boundingBox())!;
      await page.mouse.move(box.x + 8, box.y + 8);
      await page.mouse.down();
      await page.mouse.move(box.x + 58, box.y + 8, { steps: 5 });
      await page.mouse.up();
      const dragged = await speed.inputValue();
      expect(dragged).not.toBe('1200');
      expect(await undo.getAttribute('title')).toBe('speed of operation 2');
      await page.getByLabel('Wood', { exact: true }).selectOption('beech');
      await page.getByLabel('optical power').fill('8');
      await page.keyboard.press('Enter');
      await page.keyboard.press('Control+z');
      expect(await page.getByLabel('optical power').inputValue()).toBe('5');
      await page.keyboard.press('Control+z');
      expect(await page.getByLabel('Wood', { exact: true }).inputValue()).toBe('poplar plywood');
      await page.keyboard.press('Control+z');
      expect(await speed.inputValue()).toBe('1200');
      expect(await undo.getAttribute('aria-disabled')).toBe('true');
      await page.keyboard.press('Control+Shift+Z');
      expect(await speed.inputValue()).toBe(dragged);
      await undo.click();
      await settle(page);
      expect(await totals(page)).toBe(before);
    },
    SLOW,
  );

  test('pointing tells dose, tone, depth, when, line and operation', async () => {
    await page.locator('.stage canvas').focus();
    // From the middle of the board along its rows.
    for (let k = 0; k < 4; k++) await page.keyboard.press('ArrowLeft');
    const told = await said(page.locator('.point-tag'));
    expect(told).toMatch(
      /J\/mm²\n\w+, tone 0\.\d\d( ± 0\.\d\d)?, .*(deep|depth|through)( \(.*\))?\nat \d+:\d\d.*\nline \d+, operation 1/,
    );
  });

  test(
    'a remedy can be pressed once the forecast that advises it is fine',
    async () => {
      const press = page.locator('.story .press').first();
      expect(await press.getAttribute('aria-disabled')).toBe('false');
      // A small job's forecast may be there before anybody looks from outside: what waits is pressed as soon as it does.
      await page.evaluate(() => {
        const pressed: (string | null)[] = [];
        new MutationObserver(() => {
          const waiting = document.querySelector<HTMLElement>('.story .press[aria-disabled="true"]');
          if (waiting === null || pressed.length > 0) return;
          pressed.push(waiting.getAttribute('title'));
          waiting.click();
        }).observe(document.body, { subtree: true, attributes: true, attributeFilter: ['aria-disabled'] });
        Object.assign(window, { pressed });
      });
      await page.getByLabel('power of operation 1').fill('59');
      await page.keyboard.press('Enter');
      await settle(page);
      const pressed = await page.evaluate(() => (window as unknown as { pressed: string[] }).pressed);
      expect(pressed).toEqual([expect.stringContaining('once the fine forecast is done')]);
      expect(await press.getAttribute('aria-disabled')).toBe('false');
      expect(await page.locator('.operation .was').count()).toBe(1);
      await page.getByRole('button', { name: 'undo' }).click();
      await settle(page);
      expect(await page.locator('.operation .was').count()).toBe(0);
    },
    SLOW,
  );

  test(
    'a forecast that is stopped says so, and goes on when asked',
    async () => {
      await page.evaluate(() => {
        new MutationObserver((_, watch) => {
          const stop = document.querySelector<HTMLElement>('.progress button');
          if (stop?.textContent !== 'stop') return;
          watch.disconnect();
          stop.click();
        }).observe(document.querySelector('header')!, { childList: true, subtree: true });
      });
      await page.getByLabel('power of operation 1').fill('58');
      await page.keyboard.press('Enter');
      const goOn = page.getByRole('button', { name: 'go on' });
      await goOn.waitFor();
      expect(await page.locator('.story .press').first().getAttribute('aria-disabled')).toBe('true');
      await goOn.click();
      await settle(page);
      expect((await reportOn(page)).operations[0]!.s_max).toBe(580);
      expect(await goOn.count()).toBe(0);
      await page.getByRole('button', { name: 'undo' }).click();
      await settle(page);
    },
    SLOW,
  );

  test('every finding’s buttons have names of their own, and the count leads to them', async () => {
    const names = await page
      .locator('.story .link, .story .close-up')
      .evaluateAll((all) => all.map((each) => each.getAttribute('aria-label') ?? each.textContent));
    expect(names.length).toBeGreaterThan(5);
    expect(new Set(names).size).toBe(names.length);
    await page.getByRole('button', { name: /^\d things stand out, .* serious$/ }).click();
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('findings');
  });

  test(
    'the place of a finding is drawn when it comes into sight',
    async () => {
      const { text, stock, cellMm } = (await smallMarker())[0]!;
      const made = forecast(text, benchGantry, shippedMaterials['poplar plywood']!, { stock, cellMm });
      const last = made.findings.findLastIndex(({ atMm }) => atMm !== null);
      const canvas = page.locator('.story .close-up canvas').last();
      const isDrawn = () =>
        canvas.evaluate((canvas: HTMLCanvasElement) =>
          canvas
            .getContext('2d')!
            .getImageData(0, 0, canvas.width, canvas.height)
            .data.some((byte) => byte !== 0),
        );
      expect(await isDrawn()).toBe(false);
      await canvas.scrollIntoViewIfNeeded();
      await expect.poll(isDrawn).toBe(true);
      const uri = await canvas.evaluate((canvas: HTMLCanvasElement) => canvas.toDataURL());
      const { data } = PNG.sync.read(Buffer.from(uri.split(',')[1]!, 'base64'));
      expect(data.equals(Buffer.from(closeUpAt(made.findings[last]!.atMm!, made).data))).toBe(true);
    },
    SLOW,
  );

  test(
    'every remedy makes its finding go away',
    async () => {
      const advised = (await reportOn(page)).findings.length;
      expect(advised).toBeGreaterThanOrEqual(3);
      const presses = page.locator('.story .press');
      const count = await presses.count();
      expect(count).toBeGreaterThanOrEqual(2);
      for (let k = 0; k < count; k++) {
        const { findings } = await reportOn(page);
        const story = page.locator('.story', { has: page.locator('.press') }).nth(k);
        const message = (await said(story.locator('p').first())).replace(/^\W*\w+\.\s*/, '');
        const finding = findings.find((each) => each.message === message)!;
        expect(finding, message).toBeDefined();
        await story.locator('.press').click();
        await settle(page);
        const after = (await reportOn(page)).findings;
        const same = after.filter(
          (each) => each.kind === finding.kind && each.operation === finding.operation,
        );
        expect(same, finding.kind).toEqual([]);
        for (const put of await page.getByRole('button', { name: /^Put back the job's own/ }).all())
          await put.click();
        await settle(page);
      }
    },
    SLOW,
  );

  test(
    'a finding flies to its place and plays the two seconds around it',
    async () => {
      const end = await clock(page);
      await page.getByRole('button', { name: 'show it happen' }).first().click();
      await page.waitForFunction(() => document.querySelector('.play')?.textContent === 'Play', null, {
        polling: 200,
      });
      await still(page);
      expect(await clock(page)).not.toBe(end);
      await page.keyboard.press('End');
      await page.getByRole('button', { name: 'whole board' }).click();
      await still(page);
    },
    SLOW,
  );

  test(
    'the job is dragged on the board, and warned about when it leaves it',
    async () => {
      await page.getByRole('button', { name: 'move the job on the board' }).click();
      const box = (await page.locator('.stage canvas').boundingBox())!;
      await page.mouse.move(box.x + 400, box.y + 300);
      await page.mouse.down();
      await page.mouse.move(box.x + 500, box.y + 300, { steps: 4 });
      expect(await said(page.getByRole('alert'))).toMatch(
        /The job leaves the board: [\d.]+ mm over its right edge/,
      );
      await page.mouse.up();
      await settle(page);
      const laid = page.getByLabel('job moved to the right');
      const x = Number(await laid.inputValue());
      expect(x).toBeGreaterThan(5);
      expect(await said(page.locator('.page'))).toContain('The saved job burns it there');
      // By keys, too: one press moves it by a millimetre.
      await page.locator('.stage canvas').press('ArrowRight');
      expect(Number(await laid.inputValue())).toBeCloseTo(x + 1, 6);
      await page.getByRole('button', { name: 'undo' }).click();
      expect(Number(await laid.inputValue())).toBe(x);
      await settle(page);
      await page.getByRole('button', { name: 'done placing' }).click();
      // A burn that misses the board is remedied by laying the board under it.
      const lay = page.getByRole('button', { name: /^Lay the board at x .* of the machine instead$/ });
      await lay.click();
      await settle(page);
      expect(await lay.count()).toBe(0);
      expect(await page.locator('.over').count()).toBe(0);
      const { burn_bounds_mm: burn } = (await reportOn(page)).job;
      const left = Number((await page.getByLabel('board corner x').inputValue()).replace('−', '-'));
      expect(left + 24).toBeCloseTo((burn.min![0]! + burn.max![0]!) / 2, 0);
      await page.getByLabel('board thickness').fill('3,2');
      await page.getByLabel('board thickness').blur();
      await page.getByRole('button', { name: 'put back the board' }).click();
      expect(await page.getByLabel('board thickness').inputValue()).toBe('4');
      await page.getByRole('button', { name: 'put back the job' }).click();
      await settle(page);
      expect(await page.locator('.over').count()).toBe(0);
      const spans = ({ min, max }: typeof burn) => [0, 1].map((axis) => max![axis]! - min![axis]!);
      const [wide, high] = spans((await reportOn(page)).job.burn_bounds_mm);
      await page.getByRole('button', { name: 'turn it by a quarter' }).click();
      await settle(page);
      expect(spans((await reportOn(page)).job.burn_bounds_mm)).toEqual([
        expect.closeTo(high!, 2),
        expect.closeTo(wide!, 2),
      ]);
      const saved = await saving(page.getByRole('button', { name: 'Save the adjusted job' }));
      expect(await textOf(saved)).not.toContain('NaN');
      await page.getByLabel('turn of the job').selectOption('0');
      await settle(page);
    },
    SLOW,
  );

  test(
    'saves the adjusted job: what the page shows is what the file burns',
    async () => {
      await page.getByLabel('power mode of operation 1').selectOption('proportional');
      await settle(page);
      const saved = await saving(page.getByRole('button', { name: 'Save the adjusted job' }));
      expect(saved.suggestedFilename()).toBe('marker-adjusted.nc');
      const text = await textOf(saved);
      expect(text).toMatch(/^M4 S0/m);
      const { operations } = await reportOn(page);
      await page.getByRole('button', { name: /^Put back the job's own/ }).click();
      await settle(page);
      const gantry = readMachine(demoMachines['bench-gantry']);
      const { stock, cellMm } = (await smallMarker())[0]!;
      const again = forecast(text, gantry, shippedMaterials['poplar plywood']!, { stock, cellMm });
      expect(JSON.parse(JSON.stringify(reportOf(again).operations))).toEqual(operations);
    },
    SLOW,
  );
});
