import { describe, expect, test } from 'vitest';
import { WHOLE } from '../../viewer/state/changes.ts';
import { fromKept, type Shortened, stepsTo, toKeep } from '../../viewer/state/left-out.ts';
import { changesBack, changesWithout, keptNumbers } from '../../viewer/state/renumber.ts';
import { read } from '../change/support.ts';
import { everySchemeOf, withAxe } from './axe.ts';
import { kept, reportOn, SLOW, said, saving, settle, smallMarker, textOf, useWorld } from './world.ts';

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

describe('how a job was made by leaving out', () => {
  const [whole, second, third] = ['whole', 'no two', 'no more'].map((text) => ({ name: `${text}.nc`, text }));
  const step = (job: Shortened['job'], before: Shortened['job'], words: string): Shortened => {
    const changes = new Map([[2, { passes: 3 }]]);
    const of = { job: before, changes, title: before.name, about: 'a job' };
    return { job, words, kept: words === 'operation 2' ? [1, 3] : null, before: of };
  };
  const all = [step(second!, whole!, 'operation 2'), step(third!, second!, 'operation 1')];

  test('is found from the job on the bench back to the whole one', () => {
    expect(stepsTo(third!, all)).toEqual([all[1], all[0]]);
    expect(stepsTo(second!, all)).toEqual([all[0]]);
    expect(stepsTo(whole!, all)).toEqual([]);
  });
  test('comes back as it was kept', () => {
    const left = toKeep(stepsTo(third!, all));
    if (typeof left === 'string') throw new Error(left);
    const later = structuredClone(left);
    const job = { ...third! };
    const back = fromKept(job, later.steps, later.text);
    expect(back).toEqual([all[1], all[0]]);
    // The jobs of the chain are the same things again, by which the page goes.
    expect(stepsTo(job, back)).toEqual(back);
    expect(fromKept(job, later.steps, `${later.text} `)).toEqual([]);
    expect(fromKept(job, [{ ...later.steps[0], changes: [[1, { colour: 'red' }]] }], later.text)).toEqual([]);
    expect(fromKept(job, undefined, later.text)).toEqual([]);
  });
  test('is not kept where the whole job is too large, and that is told', () => {
    const large = { name: 'large.nc', text: 'G1 X1 S1\n'.repeat(3e7) };
    expect(toKeep([step(second!, large, 'operation 2')])).toMatch(
      /^The whole job before has 270 MB, and this page keeps at most 200: .* cannot be put back at the next visit/,
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

    // At the next visit it can be put back as well.
    await kept(page);
    await page.reload();
    await settle(page);
    expect(await said(page.locator('.page'))).toContain('Left out: operation 2 of the job before');
    expect(await said(page.locator('.page'))).not.toContain('does not keep');
    expect(await page.getByLabel('passes of operation 2').inputValue()).toBe('4');
    await page.getByRole('button', { name: 'put back what was left out' }).click();
    await expect
      .poll(operations, { timeout: 60_000 })
      .toEqual([whole[0], whole[1], [...whole[2]!.slice(0, 2), 4]]);
    await settle(page);
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
