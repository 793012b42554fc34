import type { BrowserContextOptions, Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { readMaterial } from '../../src/burn/material.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { readSwatch } from '../../src/swatch/swatch.ts';
import { seeded } from '../support/random.ts';
import { burnedScene, cutsThrough, photoOf, randomCamera, randomWood } from '../swatch/scene.ts';
import {
  drop,
  fromDisk,
  go,
  jsonOf,
  kept,
  reportOn,
  SLOW,
  SMALL_SQUARE,
  said,
  saving,
  settle,
  textOf,
  useWorld,
} from './world.ts';

/** Someone who has only the file, a machine and a board does everything, from disk and without a network. */

const world = useWorld();
const LISTING = '$11=0.010\n$30=1000\n$110=6000\n$111=6000\n$120=500\n$121=400\n$130=300\n$131=200\nok\n';

const button = (own: Page, name: string) => own.getByRole('button', { name, exact: true });
const type = async (own: Page, label: string, text: string) => {
  await own.getByLabel(label, { exact: true }).fill(text);
  await own.keyboard.press('Enter');
};

const photos = new Map<string, { readonly png: Buffer; readonly through: readonly number[] }>();

/** A photo of the swatch once it is burned, and which of its cuts went through; the same swatch is burned once. */
function photographed(key: string, job: string) {
  const before = photos.get(key + job);
  if (before) return before;
  const truth = randomWood(seeded(4321));
  const stock = { widthMm: 60, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 };
  const scene = burnedScene(readSwatch(JSON.parse(key)), job, stock, 0.0625);
  const random = seeded(4322);
  const seen = photoOf(scene, truth, { ...randomCamera(scene, truth, random), quality: null }, random);
  const image = new PNG({ width: seen.width, height: seen.height });
  image.data = Buffer.from(seen.data);
  const taken = { png: PNG.sync.write(image), through: cutsThrough(scene, truth) };
  photos.set(key + job, taken);
  return taken;
}

async function wholeWay(options: BrowserContextOptions, jobFirst: boolean): Promise<void> {
  const asked: string[] = [];
  const own = await fromDisk(world, options);
  own.on('request', (request) => {
    if (!/^(file|blob|data):/.test(request.url())) asked.push(request.url());
  });
  await own.locator('h1').waitFor();

  // The machine: its listing, then the watts, and a spot so wide that all takes few cells.
  const tellMachine = async () => {
    await go(own, 'My machine');
    await own.locator('#listing').fill(LISTING);
    await type(own, 'optical power', '6');
    await type(own, 'spot width along x', '0.2');
    await type(own, 'spot width along y', '0.2');
    await type(own, 'It is called', 'my gantry');
    await button(own, 'Put it on the shelf').click();
    const machineFile = await saving(button(own, 'Save it as a file'));
    expect(readMachine(await jsonOf(machineFile)).acceleration_mm_s2).toEqual([500, 400, 50]);
  };
  const bringJob = async () => {
    await drop(own, { 'square.nc': SMALL_SQUARE });
    await expect.poll(() => said(own.locator('h1'))).toBe('square.nc');
  };
  // Either may come first; a job that is brought comes to the bench.
  const toTheBench = () => go(own, 'Bench');
  for (const step of jobFirst ? [bringJob, tellMachine, toTheBench] : [tellMachine, bringJob]) await step();

  // The job: its findings, and the remedies.
  await button(own, 'give its size').click();
  await type(own, 'board thickness', '3');
  await settle(own);
  const before = (await reportOn(own)).findings.length;
  expect(before).toBeGreaterThan(0);
  await own.locator('.story .press').first().click();
  await settle(own);
  expect((await reportOn(own)).findings.length).toBeLessThanOrEqual(before);
  await expect.poll(() => own.locator('.was').count()).toBeGreaterThan(0);

  // The wood: a swatch, its photo, the fit, and the job as it is now known.
  await go(own, 'My wood');
  await type(own, "width of the swatch's board", '60');
  await type(own, "height of the swatch's board", '50');
  await type(own, "thickness of the swatch's board", '3');
  const job = await saving(button(own, 'Save the swatch'));
  const key = await saving(button(own, 'save its key'));
  const { png, through } = photographed(await textOf(key), await textOf(job));
  await own.locator('.pick input').setInputFiles([{ name: 'photo.png', mimeType: 'image/png', buffer: png }]);
  const fit = button(own, 'Fit the wood');
  await expect.poll(() => fit.getAttribute('aria-disabled'), { timeout: 90_000 }).toBe('false');
  for (const n of through.length > 0 ? through.map(String) : ['none'])
    await own.getByLabel(n, { exact: true }).check();
  await own.getByLabel('Call the wood').fill('my poplar');
  await fit.click();
  await own.locator('.fit-chart').waitFor({ timeout: 90_000 });
  await own.locator('.before-after canvas[data-burned]').nth(1).waitFor();
  const woodFile = await saving(button(own, 'Save it as a file'));
  expect(readMaterial(await jsonOf(woodFile)).name).toBe('my poplar');
  await button(own, 'Put it on the bench and on the shelf').click();
  await settle(own);
  expect((await reportOn(own)).material).toBe('my poplar');

  // A point of the chart.
  await go(own, 'Speed and power');
  const point = own.getByRole('button', { name: /^Operation 1:/ });
  const setting = await point.getAttribute('aria-label');
  await point.focus();
  await own.keyboard.press('Shift+ArrowRight');
  await expect.poll(() => point.getAttribute('aria-label')).not.toBe(setting);
  const feed = await own.getByLabel('speed of operation 1', { exact: true }).inputValue();
  await settle(own);

  // What is taken away.
  await go(own, 'To take away');
  const adjusted = await saving(button(own, 'Save the adjusted job'));
  expect(adjusted.suggestedFilename()).toBe('square-adjusted.nc');
  expect(await textOf(adjusted)).toContain(`F${feed}`);
  const report = await saving(button(own, 'report.html'));
  const html = await textOf(report);
  expect(html).toContain('my gantry');
  expect(html.match(/<img /g)!.length).toBeGreaterThanOrEqual(2);
  const picture = await saving(button(own, 'burn.png'));
  expect((await textOf(picture)).slice(1, 4)).toBe('PNG');

  // All is found as it was left.
  await kept(own);
  const left = await reportOn(own);
  await own.reload();
  await settle(own);
  expect(await said(own.locator('h1'))).toBe('square.nc');
  expect(await own.getByLabel('Machine', { exact: true }).inputValue()).toBe('my gantry');
  expect(await own.getByLabel('Wood', { exact: true }).inputValue()).toBe('my poplar');
  expect(await own.getByLabel('board thickness', { exact: true }).inputValue()).toBe('3');
  expect(await own.getByLabel('speed of operation 1', { exact: true }).inputValue()).toBe(feed);
  expect((await reportOn(own)).energy_j).toBeCloseTo(left.energy_j, 6);
  expect(asked).toEqual([]);
  await own.context().close();
}

describe('a person’s whole way, from the file alone', () => {
  test('at a laptop', () => wholeWay({ viewport: { width: 1280, height: 720 } }, true), 4 * SLOW);
  test(
    'on a phone',
    () => wholeWay({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true }, false),
    4 * SLOW,
  );
});
