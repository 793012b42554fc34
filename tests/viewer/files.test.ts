import { readFileSync, statSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { workplace } from '../support/workplace.ts';
import {
  drop,
  go,
  kept,
  reportOn,
  SLOW,
  SMALL_SQUARE,
  SQUARE,
  said,
  saving,
  settle,
  smallMarker,
  textOf,
  useWorld,
} from './world.ts';

const world = useWorld();
const place = workplace();
let own: Page;

beforeAll(async () => {
  own = await world.open({ jobs: await smallMarker() });
  await settle(own);
}, SLOW);

describe('files', () => {
  test(
    'a dropped job is forecast; a bad one is told in the words of the command line',
    async () => {
      await drop(own, { 'square.nc': SMALL_SQUARE });
      await own.waitForFunction(() => document.querySelector('h1')?.textContent === 'square.nc');
      await settle(own);
      expect((await reportOn(own)).job.moves).toBe(9);
      await own.getByLabel('passes of operation 2').fill('3');
      await own.keyboard.press('Enter');
      await settle(own);
      const bad = 'G21 G90\nG1 X10 S100\n';
      await drop(own, { 'bad.nc': bad });
      const inNode = () =>
        forecast(bad, readMachine({ laser: { optical_power_w: 5 } }), shippedMaterials['poplar plywood']!);
      expect(inNode).toThrow(/feed/);
      let sentence = '';
      try {
        inNode();
      } catch (error) {
        sentence = (error as { from: (name: string) => object }).from('bad.nc').toString();
      }
      const told = (told: string) => expect.poll(() => said(own.locator('.trouble p'))).toContain(told);
      await told(`Not opened. ${sentence}. square.nc stays on the bench as it is.`);
      await drop(own, { 'empty.nc': '' });
      await told('empty.nc: found an empty file');
      await drop(own, { 'photo.png': '\u0089PNG\r\n\u001a\n' });
      await told('photo.png, line 1: found');
      await drop(own, { 'leaf.nc': 'GIF89a\n' });
      await told('leaf.nc: found a GIF picture; expected a laser job in G-code: Charcast makes no G-code');
      // The open job is as it was, changes and all.
      expect(await said(own.locator('h1'))).toBe('square.nc');
      expect(await own.getByLabel('passes of operation 2').inputValue()).toBe('3');
      expect((await reportOn(own)).operations[1]!.passes).toBe(3);
      expect(await said(own.locator('.clock'))).toMatch(/of 0:\d*[1-9]/);
      await drop(own, { 'machine.json': '{"laser": {"optical_power_w": 5, "colour": "blue"}}' });
      await expect
        .poll(() => said(own.locator('.trouble p')))
        .toMatch(/^Not opened\. machine\.json: .*colour/);
      // A profile is known by what stands in it, not by its name.
      await drop(own, { 'mine.txt': '{"name": "mine", "laser": {"optical_power_w": 7}}' });
      await own.waitForFunction(() => document.body.textContent?.includes('mine'));
      expect(await own.evaluate(() => document.querySelector('.trouble p')?.textContent ?? '')).toBe('');
    },
    SLOW,
  );

  test(
    'of several problems of a job each has a line of its own',
    async () => {
      await drop(own, { 'worse.nc': 'G21\nM4 S500\nG1 X5,5 F600\nG93\nG1 X1.2.3\nM5\n' });
      const lines = async () => (await own.locator('.trouble p').allInnerTexts()).join('').split('\n');
      await expect.poll(async () => (await lines()).length).toBe(3);
      const [first, second, third] = await lines();
      expect(first).toMatch(/^Not opened\. worse\.nc, line 3: found .*\.$/);
      expect(second).toMatch(/^worse\.nc, line 4: found .*\.$/);
      expect(third).toMatch(/^worse\.nc, line 5: found .*\. .* stays on the bench as it is\.$/);
    },
    SLOW,
  );

  test(
    'a job without a feed is opened with the one that is given beside it, which is then its own',
    async () => {
      const feedless = SMALL_SQUARE.replace(' F1200', '');
      const asked = own.getByLabel('feed of moves that have none, mm/min');
      const open = own.getByRole('button', { name: 'Open it so' });
      await drop(own, { 'bare.nc': feedless });
      await expect.poll(() => said(own.locator('.trouble p'))).toMatch(/bare\.nc, line 5: .* no feed/);
      await asked.fill('0');
      await own.keyboard.press('Enter');
      await expect.poll(() => open.getAttribute('aria-disabled')).toBe('true');
      await asked.fill('900');
      await open.click();
      await expect.poll(() => said(own.locator('h1'))).toBe('bare.nc');
      expect(await own.locator('.trouble').count()).toBe(0);
      await settle(own);
      const feeds = (await reportOn(own)).operations.map((operation) => operation.feed_mm_min);
      expect(feeds).toEqual([900, 400]);
      await own.getByText('Good to know', { exact: true }).click();
      expect(await said(own.locator('details.more', { hasText: 'Good to know' }))).toContain(
        'The job has moves without a feed; the page’s copy of it has 900 mm/min written there.',
      );

      await go(own, 'Compare');
      await drop(own, { 'other.nc': feedless });
      await asked.fill('1100');
      await open.click();
      await expect.poll(() => said(own.locator('.lead')), { timeout: 60_000 }).toContain('B, other.nc');

      // Where a feed is not all that is wanting, none is asked for.
      await drop(own, { 'worse.nc': feedless.replace('M5', 'G93') });
      await expect.poll(() => said(own.locator('.trouble p'))).toContain('worse.nc, line');
      expect(await asked.count()).toBe(0);
    },
    SLOW,
  );

  test(
    'what is dropped while the page still looks for what was left on its bench stays there',
    async () => {
      await go(own, 'Bench');
      await kept(own);
      await own.addInitScript(() => {
        const open = IDBFactory.prototype.open;
        const slowly = (asked: IDBOpenDBRequest) =>
          new Proxy(asked, {
            get: (of, key) => Reflect.get(of, key),
            set: (of, key, then) =>
              Reflect.set(of, key, key === 'onsuccess' ? () => setTimeout(look, 700, then) : then),
          });
        const look = (then: () => void) => {
          then();
          document.body.dataset.looked = 'yes';
        };
        IDBFactory.prototype.open = function (...of) {
          return slowly(open.apply(this, of));
        };
      });
      await own.reload();
      await drop(own, { 'dropped.nc': SMALL_SQUARE });
      await own.waitForFunction(() => document.body.dataset.looked === 'yes');
      await settle(own);
      await expect.poll(() => said(own.locator('h1'))).toBe('dropped.nc');
    },
    SLOW,
  );

  test(
    'the saved page opens from disk without a network',
    async () => {
      const job = place.write('square.nc', SQUARE);
      const file = place.path('square.html');
      const given = ['--stock', '60x40x3', '--cell', '0.2'];
      const { status, out } = await place.charcast('view', job, ...given, '--save', file);
      expect(out).toContain(`Written: ${file}`);
      expect(status).toBe(0);
      expect(statSync(file).size).toBeLessThan(3_000_000);
      await place.charcast('forecast', job, ...given, '--out', place.path('square'));
      const told = JSON.parse(readFileSync(place.path('square/report.json'), 'utf8'));
      const saved = await world.open({ offline: true, at: `file://${file}` });
      await settle(saved);
      expect(await said(saved.locator('h1'))).toBe('square.nc');
      const seen = await reportOn(saved);
      expect(JSON.parse(JSON.stringify(seen.operations))).toEqual(told.operations);
      expect(seen.energy_j).toBe(told.energy_j);

      await saved.getByLabel('speed of operation 1').fill('900');
      await saved.keyboard.press('Enter');
      await settle(saved);
      const adjusted = await saving(saved.getByRole('button', { name: 'Save the adjusted job' }));
      expect(adjusted.suggestedFilename()).toBe('square-adjusted.nc');
      const alone = place.path('adjusted.nc');
      await place.charcast('adjust', job, '--change', '1: speed 900', '-o', alone);
      expect(await textOf(adjusted)).toBe(readFileSync(alone, 'latin1'));
    },
    SLOW,
  );
});
