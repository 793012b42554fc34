import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, test } from 'vitest';
import { demoMachines } from '../../src/demo/index.ts';
import { readMachine } from '../../src/machine/profile.ts';
import {
  COARSE,
  drop,
  expectStage,
  go,
  kept,
  quickDemo,
  quickSquare,
  refine,
  SLOW,
  SMALL_SQUARE,
  SQUARE,
  said,
  saving,
  settle,
  shot,
  smallMarker,
  still,
  textOf,
  useWorld,
} from './world.ts';

const world = useWorld();

describe('compare', () => {
  test(
    'two settings of one job: divider, difference and table',
    async () => {
      const own = await world.open({ jobs: await quickDemo(), fineness: COARSE });
      await settle(own);
      await go(own, 'Compare');
      expect(await said(own.locator('.page'))).toContain('Nothing has been changed yet');
      await own.getByRole('button', { name: /^Take/ }).click();
      await own.locator('.compare-table').waitFor();
      await settle(own);
      const rows = await own.locator('.compare-table tr').allInnerTexts();
      expect(rows.find((row) => row.startsWith('time'))).toMatch(/2 min 56 s/);
      const findings = rows
        .find((row) => row.startsWith('findings'))!
        .split('\t')
        .slice(1)
        .map(Number);
      expect(findings[1]!).toBe(0);
      const middle = await shot(own);
      await own.getByRole('slider', { name: 'Divider between A and B' }).focus();
      for (let k = 0; k < 4; k++) await own.keyboard.press('Shift+ArrowLeft');
      await still(own);
      expect((await shot(own)).equals(middle)).toBe(false);
      await refine(own, 1);
      await own.getByLabel('the difference in tone').check();
      await still(own);
      expect(await said(own.locator('.legend'))).toMatch(/lighter in B\n?.*equal/s);
      expectStage(await shot(own), 'viewer-difference');
      await refine(own, COARSE);
      await own.getByLabel('both burns').check();
      await refine(own, 1);
      await own.getByRole('button', { name: 'from above' }).click();
      await still(own);
      expectStage(await shot(own), 'viewer-compare');
      await own.context().close();
    },
    SLOW,
  );

  test(
    'two jobs that came together open beside each other',
    async () => {
      const [first] = await smallMarker();
      const own = await world.open({ jobs: [first!, { ...first!, title: 'the other one', text: SQUARE }] });
      await own.locator('.compare-table').waitFor();
      expect(await said(own.locator('.lead'))).toContain('right of it B, the other one');
      // Each side is changed by its own sentences.
      const timeOf = async () =>
        (await own.locator('.compare-table tr').allInnerTexts()).find((row) => row.startsWith('time'))!;
      const before = await timeOf();
      await own.getByLabel('speed of operation 2 of B').fill('200');
      await own.keyboard.press('Enter');
      await expect.poll(timeOf, { timeout: 60_000 }).not.toBe(before);
      expect((await timeOf()).split('\t')[1]).toBe(before.split('\t')[1]);
      expect(await own.getByLabel('speed of operation 2', { exact: true }).inputValue()).not.toBe('200');
      const saved = await saving(own.getByRole('button', { name: 'Save B as changed' }));
      expect(await textOf(saved)).toContain('F200');
      // What was changed of B is gone back on like all else, and is there after a reload, and so is what lies beside.
      const speedOfB = own.getByLabel('speed of operation 2 of B');
      const undo = own.getByLabel('Compare', { exact: true }).getByRole('button', { name: 'undo' });
      expect(await undo.getAttribute('title')).toBe('speed of operation 2 of B');
      await undo.click();
      await expect.poll(timeOf, { timeout: 60_000 }).toBe(before);
      await own.keyboard.press('Control+Shift+Z');
      await expect.poll(() => speedOfB.inputValue()).toBe('200');
      await settle(own);
      await kept(own);
      await own.reload();
      await own.locator('.compare-table').waitFor();
      expect(await speedOfB.inputValue()).toBe('200');
      await drop(own, { 'bare.nc': SQUARE });
      await expect
        .poll(() => said(own.locator('.page')), { timeout: 60_000 })
        .toContain('B came without a board and was given A’s.');
      await own.context().close();
    },
    SLOW,
  );
});

describe('from comparison to comparison', () => {
  let own: Page;

  beforeAll(async () => {
    const [square] = await quickSquare();
    const machine = readMachine(demoMachines['workshop-gantry'], 'workshop gantry');
    own = await world.open({ jobs: [{ ...square!, machine }] });
    await settle(own);
  }, SLOW);

  test(
    'what is compared are the job’s settings, on the bench’s own machine, seen whole',
    async () => {
      const machine = own.getByLabel('Machine', { exact: true });
      await machine.selectOption('bench gantry');
      await go(own, 'Compare');
      expect(await said(own.locator('.page'))).toContain('Nothing has been changed yet');
      await go(own, 'Bench');
      await machine.selectOption('workshop gantry');
      await own.getByLabel('optical power').fill('10');
      await own.getByLabel('power of operation 1').fill('40');
      await own.keyboard.press('Enter');
      await settle(own);
      await own
        .getByRole('button', { name: /^show it happen/ })
        .first()
        .click();
      await go(own, 'Compare');
      await own.locator('.compare-table').waitFor();
      expect(await said(own.locator('.page'))).toContain('Both on workshop gantry (10 W), in poplar plywood');
      await still(own);
      const handle = (await own.getByRole('slider', { name: 'Divider between A and B' }).boundingBox())!;
      const stage = (await own.locator('.stage').boundingBox())!;
      expect(handle.y).toBeGreaterThan(stage.y);
      expect(handle.y + handle.height).toBeLessThan(stage.y + stage.height);
      await own.getByRole('button', { name: 'Basil marker, done with care' }).click();
      await expect
        .poll(() => said(own.locator('.page')), { timeout: 60_000 })
        .toMatch(/B on bench gantry .*of 130 × 32 mm, 4 mm thick/);
    },
    SLOW,
  );

  test(
    'a job dropped while comparing lies down beside the first, in place of the second; one that is refused leaves both alone',
    async () => {
      await go(own, 'Bench');
      await own.getByLabel('power of operation 1').fill('20');
      await own.keyboard.press('Enter');
      await settle(own);
      await go(own, 'Compare');
      const times = async () => {
        const rows = await own.locator('.compare-table tr').allInnerTexts();
        return rows.find((row) => row.startsWith('time'))!.split('\t');
      };
      await own.locator('.compare-table').waitFor();
      const [, ofA, ofB] = await times();
      expect(ofB).not.toBe(ofA);
      await drop(own, { 'dropped.nc': SQUARE });
      await expect.poll(() => said(own.locator('.lead')), { timeout: 60_000 }).toContain('B, dropped.nc');
      // It is the bench's own job, and takes as long.
      await expect.poll(async () => (await times()).slice(1, 3)).toEqual([ofA, ofA]);
      await drop(own, { 'bad.nc': 'hello\n' });
      await expect.poll(() => said(own.locator('.trouble p'))).toContain('bad.nc: found no moves');
      expect(await said(own.locator('.lead'))).toContain('A, square.nc');
      expect(await said(own.locator('.lead'))).toContain('B, dropped.nc');
      await go(own, 'Bench');
      expect(await own.getByLabel('power of operation 1').inputValue()).toBe('20');
      // Two at once, even while comparing: neither is passed over, and it is said which lies where.
      await go(own, 'Compare');
      await drop(own, { 'one.nc': SMALL_SQUARE, 'two.nc': SMALL_SQUARE.replace('S300', 'S200') });
      await expect
        .poll(() => said(own.locator('.page')), { timeout: 60_000 })
        .toContain('Two jobs came together: one.nc lies on the bench, two.nc beside it.');
      expect(await said(own.locator('.lead'))).toMatch(/A, one\.nc.*B, two\.nc/s);
    },
    SLOW,
  );
});
