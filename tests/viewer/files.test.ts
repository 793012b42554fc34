import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { readMachine } from '../../src/machine/profile.ts';
import {
  commandLine,
  drop,
  faults,
  needBuiltViewer,
  openWorld,
  reportOn,
  SLOW,
  SQUARE,
  said,
  settle,
  type World,
} from './world.ts';

let world: World;
const work = mkdtempSync(join(tmpdir(), 'charcast-view-'));

beforeAll(async () => {
  world = await openWorld();
}, SLOW);
afterAll(async () => {
  await world?.close();
  rmSync(work, { recursive: true, force: true });
  expect(faults).toEqual([]);
});

describe('files', () => {
  test(
    'a dropped job is forecast; a bad one is told in the words of the command line',
    async () => {
      const own = await world.open();
      await settle(own);
      await drop(own, { 'square.nc': SQUARE });
      await own.waitForFunction(() => document.querySelector('h1')?.textContent === 'square.nc');
      await settle(own);
      expect((await reportOn(own)).job.moves).toBe(9);
      const bad = 'G21 G90\nG1 X10 S100\n';
      await drop(own, { 'bad.nc': bad });
      await own.locator('.refused').waitFor();
      const inNode = () =>
        forecast(bad, readMachine({ laser: { optical_power_w: 5 } }), shippedMaterials['poplar plywood']!);
      expect(inNode).toThrow(/feed/);
      let sentence = '';
      try {
        inNode();
      } catch (error) {
        sentence = (error as { from: (name: string) => object }).from('bad.nc').toString();
      }
      expect((await said(own.locator('.refused'))).trim()).toBe(sentence);
      await drop(own, { 'machine.json': '{"laser": {"optical_power_w": 5, "colour": "blue"}}' });
      await expect.poll(() => said(own.locator('.trouble p'))).toMatch(/^machine\.json: .*colour/);
      await own.context().close();
    },
    SLOW,
  );

  test(
    'the saved page opens from disk without a network',
    async () => {
      const job = join(work, 'square.nc');
      const file = join(work, 'square.html');
      writeFileSync(job, SQUARE);
      await needBuiltViewer();
      const { code, said: words } = await commandLine('view', job, '--stock', '60x40x3', '--save', file);
      expect(words).toContain(`Written: ${file}`);
      expect(code).toBe(0);
      expect(statSync(file).size).toBeLessThan(3_000_000);
      await commandLine('forecast', job, '--stock', '60x40x3', '--out', join(work, 'square'));
      const told = JSON.parse(readFileSync(join(work, 'square', 'report.json'), 'utf8'));
      const own = await world.open({ offline: true, at: `file://${file}` });
      await settle(own);
      expect(await said(own.locator('h1'))).toBe('square.nc');
      const seen = await reportOn(own);
      expect(JSON.parse(JSON.stringify(seen.operations))).toEqual(told.operations);
      expect(seen.energy_j).toBe(told.energy_j);
      await own.context().close();
    },
    SLOW,
  );
});
