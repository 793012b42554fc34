import { describe, expect, test } from 'vitest';
import { WHOLE } from '../../viewer/state/changes.ts';
import { changesBack, changesWithout, keptNumbers } from '../../viewer/state/renumber.ts';
import { read } from '../change/support.ts';
import { everySchemeOf, withAxe } from './axe.ts';
import { reportOn, SLOW, said, saving, settle, smallMarker, textOf, useWorld } from './world.ts';

/** Operations left out in the page: the job is another one then, and changes go along by their new numbers. */

const world = useWorld();

describe('changes of what stays', () => {
  const changes = new Map([
    [WHOLE, { turnDegrees: 90 }],
    [1, { passes: 2 }],
    [2, { passes: 3 }],
    [4, { passes: 5 }],
  ]);
  const kept = keptNumbers(4, new Set([2]));
  test('go along by their new numbers', () => {
    expect(kept).toEqual([1, 3, 4]);
    expect([...changesWithout(changes, kept)]).toEqual([
      [WHOLE, { turnDegrees: 90 }],
      [1, { passes: 2 }],
      [3, { passes: 5 }],
    ]);
  });
  test('come back by their old ones, with what was changed since and what was left out had', () => {
    const now = new Map([
      [2, { passes: 7 }],
      [3, { passes: 5 }],
    ]);
    expect(Object.fromEntries(changesBack(now, kept, changes))).toEqual({
      2: { passes: 3 },
      3: { passes: 7 },
      4: { passes: 5 },
    });
    expect(Object.fromEntries(changesBack(changesWithout(changes, kept), kept, changes))).toEqual(
      Object.fromEntries(changes),
    );
  });
});

test(
  'an operation is left out with its findings, what is changed stays changed, and it comes back',
  async () => {
    const page = await world.open({ jobs: await smallMarker(), viewport: { width: 1280, height: 720 } });
    await settle(page);
    const operations = async () =>
      (await reportOn(page)).operations.map(({ kind, feed_mm_min: feed, passes }) => [kind, feed, passes]);
    const whole = await operations();
    expect(whole).toHaveLength(3);
    await page.getByLabel('passes of operation 3').fill('4');
    await page.getByLabel('passes of operation 3').blur();
    await settle(page);
    await page.getByLabel('which operation').selectOption('2');
    await page.getByRole('button', { name: 'do so' }).click();
    await page.getByRole('button', { name: 'put back what was left out' }).waitFor();
    await expect.poll(async () => (await operations()).length, { timeout: 60_000 }).toBe(2);
    await settle(page);
    expect(await said(page.locator('h1'))).toMatch(/, without operation 2$/);
    expect(await operations()).toEqual([whole[0], [...whole[2]!.slice(0, 2), 4]]);
    expect(await page.getByLabel('passes of operation 2').inputValue()).toBe('4');
    const numbers = (await reportOn(page)).findings.map(({ operation }) => operation ?? 1);
    expect(Math.max(...numbers)).toBeLessThanOrEqual(2);
    await withAxe(page);
    await everySchemeOf(page, 'a job without an operation');
    const text = await textOf(await saving(page.getByRole('button', { name: 'Save the adjusted job' })));
    expect(read(text).operations.map(({ kind, passes }) => [kind, passes])).toEqual([
      ['rows', 1],
      ['outline', 4],
    ]);

    await page.getByRole('button', { name: 'put back what was left out' }).click();
    await expect.poll(async () => (await operations()).length, { timeout: 60_000 }).toBe(3);
    await settle(page);
    expect(await operations()).toEqual([whole[0], whole[1], [...whole[2]!.slice(0, 2), 4]]);
    await page.getByLabel('what not to burn').selectOption('only');
    await page.getByLabel('which operation').selectOption('1');
    await page.getByRole('button', { name: 'do so' }).click();
    await expect.poll(async () => (await operations()).length, { timeout: 60_000 }).toBe(1);
    await settle(page);
    expect(await operations()).toEqual([whole[0]]);
    // Nothing is changed in what stays: the job as it was written can be saved.
    const rows = await textOf(await saving(page.getByRole('button', { name: 'save this job' })));
    expect(read(rows).operations.map(({ kind }) => kind)).toEqual(['rows']);
    await page.context().close();
  },
  SLOW,
);
