import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { beforeAll, describe, expect, test } from 'vitest';
import { workplace } from '../support/workplace.ts';
import {
  drop,
  go,
  reportOn,
  SLOW,
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
/** One page after the other's use: each test lays its own jobs on the bench. */
let own: Page;

beforeAll(async () => {
  own = await world.open({ jobs: await smallMarker() });
  await settle(own);
}, SLOW);

describe('to take away', () => {
  test(
    'report and pictures are the command line’s; a size that is expected is checked',
    async () => {
      const [job] = await smallMarker();
      await go(own, 'To take away');
      const save = async (name: string) => {
        const saved = await saving(own.getByRole('button', { name, exact: true }));
        return textOf(saved);
      };
      await place.charcast(
        ...['forecast', place.write('marker.nc', job!.text), '--material', 'poplar plywood'],
        ...['--machine', place.write('gantry.json', JSON.stringify(job!.machine)), '--stock', '48x20x4'],
        ...['--cell', String(job!.cellMm), '--out', place.path('out')],
      );
      const written = JSON.parse(readFileSync(place.path('out/report.json'), 'utf8'));
      const { timing_ms: _, ...told } = JSON.parse(
        Buffer.from(await save('report.json'), 'latin1').toString('utf8'),
      );
      delete written.timing_ms;
      expect(told).toEqual(written);

      // The same sheet, pixel for pixel but for the letters' own shapes.
      const [ours, theirs] = [
        PNG.sync.read(Buffer.from(await save('dose.png'), 'latin1')),
        PNG.sync.read(readFileSync(place.path('out/dose.png'))),
      ];
      expect([ours.width, ours.height]).toEqual([theirs.width, theirs.height]);
      let differ = 0;
      for (let k = 0; k < ours.data.length; k += 4)
        if (Math.abs(ours.data[k]! - theirs.data[k]!) > 24) differ++;
      expect(differ / (ours.width * ours.height)).toBeLessThan(0.03);

      await own.getByRole('button', { name: 'say how large it should be' }).click();
      await settle(own);
      const page = own.getByLabel('To take away', { exact: true });
      await expect.poll(() => said(page)).toContain('It is.');
      await own.getByLabel('expected width').fill('4.7');
      await own.keyboard.press('Enter');
      await settle(own);
      const before = await reportOn(own);
      expect(before.findings.some(({ kind }) => kind === 'wrong-size')).toBe(true);

      // What counts is said on the bench, and counts in all that is taken away.
      await go(own, 'Bench');
      await own.getByText('What counts', { exact: true }).click();
      const counts = async (label: string, percent: string) => {
        await own.getByLabel(label).fill(percent);
        await own.keyboard.press('Enter');
        await settle(own);
        return reportOn(own);
      };
      const lenient = await counts('boards a cut must come through on', '60');
      expect(lenient.cuts[0]!.passes_for_sure).toBeLessThan(before.cuts[0]!.passes_for_sure!);
      expect(lenient.findings.some(({ kind }) => kind === 'too-deep')).toBe(false);
      const strict = await counts('part of the thickness that engraving may take', '1');
      expect(strict.findings.some(({ kind }) => kind === 'too-deep')).toBe(true);
      expect(strict.warmth).not.toBeNull();
      await own.getByLabel('heat that stays in the wood').selectOption('left out');
      await settle(own);
      expect((await reportOn(own)).warmth).toBeNull();
    },
    SLOW,
  );

  test(
    'of several jobs dropped at once one is opened, and one that cannot be read is told',
    async () => {
      await drop(own, { 'a.nc': SQUARE, 'bad.nc': 'G21 G90\nG1 X10 S100\n', 'c.nc': SQUARE });
      const table = own.locator('.several table');
      await expect.poll(() => said(table), { timeout: 60_000 }).toMatch(/a\.nc\s+[\d.]+ s\s+20 × 15/);
      await expect.poll(() => said(table), { timeout: 60_000 }).toMatch(/bad\.nc, line 2: found .*feed/);
      await expect.poll(() => said(table), { timeout: 60_000 }).toMatch(/c\.nc\s+[\d.]+ s/);
      await own.getByRole('button', { name: 'c.nc' }).click();
      await expect.poll(() => said(own.locator('h1'))).toBe('c.nc');
      expect(await own.locator('.several').isVisible()).toBe(false);
    },
    SLOW,
  );
});

describe('the line', () => {
  test(
    'is in step with time, both ways',
    async () => {
      await drop(own, { 'square.nc': SQUARE });
      await expect.poll(() => said(own.locator('h1'))).toBe('square.nc');
      await settle(own);
      await go(own, 'The line');
      const now = () => said(own.locator('.code-line.now'));
      await own.keyboard.press('Home');
      await own.getByRole('button', { name: 'line on' }).click();
      await expect.poll(now).toContain('G0 X10 Y10');
      await own.getByRole('button', { name: 'operation on' }).click();
      await own.getByRole('listbox').focus();
      await own.keyboard.press('ArrowDown');
      await expect.poll(now).toContain('G1 X30 S300 F1200');
      // A pressed line takes the time with it.
      await own.locator('.code-line', { hasText: 'G1 X30 S1000 F400' }).click();
      await expect.poll(now).toContain('G1 X30 S1000 F400');
      await expect.poll(() => said(own.locator('.clock b'))).not.toBe('0:00.0');
      await own.context().close();
    },
    SLOW,
  );
});
