import { readFileSync, writeFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { readOptions } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { workplace } from '../support/workplace.ts';
import {
  drop,
  go,
  kept,
  quickSquare,
  reportOn,
  SLOW,
  said,
  saving,
  settle,
  textOf,
  useWorld,
} from './world.ts';

const world = useWorld();
const place = workplace();

const LISTING = '$11=0.030\n$30=255\n$110=7200\n$111=6600\n$120=640\n$121=480\n$130=410\n$131=400\nok\n';

describe('my machine', () => {
  let own: Page;
  beforeAll(async () => {
    own = await world.open({ jobs: await quickSquare() });
    await settle(own);
  }, SLOW);

  test(
    'a listing becomes sentences; what it does not tell is marked, said, and kept',
    async () => {
      await drop(own, { 'settings.txt': LISTING });
      const page = own.getByLabel('My machine', { exact: true });
      await expect.poll(() => page.isVisible()).toBe(true);
      const value = (label: string) => own.getByLabel(label, { exact: true }).inputValue();
      await expect.poll(() => value('top speed along x')).toBe('7200');
      expect(await value('top speed along y')).toBe('6600');
      expect(await value('acceleration along y')).toBe('480');
      expect(await value('deviation at corners')).toBe('0.03');
      expect(await value('bed width')).toBe('410');
      expect(await value('S of full power')).toBe('255');
      // The watts and the spot are the demo's no longer: nobody told them.
      const assumed = () => page.locator('.assumed').count();
      const before = await assumed();
      expect(await said(page)).toMatch(/Light of\s+W\s*assumed/);
      await own.getByLabel('optical power', { exact: true }).fill('7.5');
      await own.keyboard.press('Enter');
      expect(await assumed()).toBe(before - 1);
      await own.getByLabel('spot width along y', { exact: true }).fill('0.16');
      await own.keyboard.press('Enter');
      expect(await assumed()).toBe(before - 2);
      await own.locator('.live-burn canvas[data-burned]').nth(1).waitFor();
      await own.getByLabel('It is called').fill('shed gantry');
      await own.keyboard.press('Enter');
      await own.getByRole('button', { name: 'Put it on the shelf' }).click();
      await expect.poll(() => said(page)).toContain('shed gantry is on the shelf of this browser.');
      expect(await assumed()).toBe(before - 2);
      const saved = await saving(own.getByRole('button', { name: 'Save it as a file' }));
      expect(saved.suggestedFilename()).toBe('shed-gantry.json');
      writeFileSync(place.path('shed.json'), await textOf(saved));
      const { status, out } = await place.charcast('machine', '--check', place.path('shed.json'));
      expect(status).toBe(0);
      expect(out).toContain('shed gantry');
      const file = JSON.parse(readFileSync(place.path('shed.json'), 'utf8'));
      expect(file.laser).toEqual({ optical_power_w: 7.5, s_max: 255 });
      expect(readMachine(file).max_speed_mm_s).toEqual([120, 110, 10]);
      await settle(own);
      await kept(own);
      await own.reload();
      await settle(own);
      expect(await own.getByLabel('Machine', { exact: true }).inputValue()).toBe('shed gantry');
      await own.getByLabel('Machine', { exact: true }).selectOption('workshop gantry');
      await settle(own);
      expect((await reportOn(own)).machine).toBe('workshop gantry');
      await own.getByLabel('Machine', { exact: true }).selectOption('shed gantry');
      await settle(own);
      expect((await reportOn(own)).machine).toBe('shed gantry');
      await go(own, 'My machine');
      await expect.poll(assumed).toBe(before - 2);

      await own.locator('#listing').fill('$110=-3\n');
      await expect.poll(() => said(page)).toMatch(/found .*-3/);
    },
    SLOW,
  );

  test(
    'what the profile tells with which a page was made is not marked, and all else is',
    async () => {
      const file = {
        name: 'given gantry',
        max_speed_mm_s: [100, 90, 10],
        acceleration_mm_s2: [500, 400, 100],
        laser: { optical_power_w: 8, s_max: 1000 },
        spot: { width_mm: [0.12, 0.15] },
      };
      const [square] = await quickSquare();
      const text = square!.text.replace('M3 S0', 'M3 S0\nG0 X450 Y10');
      const brought = { ...square!, text, machine: readMachine(file), machineFile: file };
      const given = await world.open({ jobs: [brought] });
      await settle(given);
      await go(given, 'My machine');
      const page = given.getByLabel('My machine', { exact: true });
      const words = (await said(page)).replace(/\s+/g, ' ');
      expect(words).toMatch(/The head goes at most mm\/min along x and mm\/min along y, gathering speed/);
      expect(words).toMatch(/Light of W(?! assumed)/);
      expect(words).toMatch(/The bed is .* assumed/);
      // Cornering, bed, link and the rest: told by no line of that file.
      const marked = await page.locator('.assumed').count();
      // Whoever is told that the head leaves the bed has to know that nobody told its size.
      const offBed = async () =>
        (await reportOn(given)).findings.find(({ kind }) => kind === 'off-bed')?.message;
      expect(await offBed()).toMatch(/bed of 400 × 400 mm \(this size is assumed/);
      await given.getByLabel('bed width', { exact: true }).fill('420');
      await given.keyboard.press('Enter');
      await settle(given);
      expect(await offBed()).toMatch(/bed of 420 × 400 mm, by/);
      const whole = await world.open({ jobs: [{ ...brought, machineFile: { name: file.name } }] });
      await settle(whole);
      await go(whole, 'My machine');
      await expect.poll(() => whole.locator('[aria-label="My machine"] .assumed').count()).toBe(marked + 5);
    },
    SLOW,
  );

  test(
    'a stopwatch tells acceleration and corners of a machine that has no listing',
    async () => {
      await go(own, 'My machine');
      await own.locator('.stopwatch summary').click();
      const seconds: Record<string, string> = {};
      for (const run of ['along x', 'along y', 'corners']) {
        const saved = await saving(own.getByRole('button', { name: `save the run ${run}` }));
        // The machine it is run on, which nobody but the test knows.
        const shed = readMachine({
          max_speed_mm_s: [100, 100, 10],
          acceleration_mm_s2: [310, 270, 50],
          cornering: { rule: 'junction-deviation', deviation_mm: 0.05 },
          laser: { optical_power_w: 5 },
        });
        const { durationS } = planMotion(readProgram([await textOf(saved)], readOptions(shed)), shed);
        seconds[run] = `${durationS.toFixed(1)} ${(durationS + 0.1).toFixed(1)}`;
      }
      const work = own.getByRole('button', { name: 'Work it out' });
      await work.click();
      await expect
        .poll(() => said(own.locator('.stopwatch')))
        .toContain('expected the seconds of at least one');
      for (const [run, text] of Object.entries(seconds))
        await own.getByLabel(`seconds of the run ${run}`).fill(text);
      await work.click();
      await expect
        .poll(() => said(own.locator('.stopwatch')))
        .toMatch(/along x at 310 mm\/s², give or take \d.* %\.\s+It gathers speed along y at 2[67]\d mm\/s²/);
      await own.getByRole('button', { name: 'Take these numbers' }).click();
      await settle(own);
      const value = async (label: string) =>
        Number(await own.getByLabel(label, { exact: true }).inputValue());
      expect(Math.abs((await value('acceleration along x')) / 310 - 1)).toBeLessThan(0.02);
      expect(Math.abs((await value('deviation at corners')) / 0.05 - 1)).toBeLessThan(0.2);
    },
    SLOW,
  );
});
