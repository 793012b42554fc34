import type { Page } from 'playwright-core';
import { PNG } from 'pngjs';
import { beforeAll, describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { BroughtJob } from '../../src/page/brought-job.ts';
import type { ForTheConsole } from '../../viewer/console.ts';
import { machineWith } from '../support/machines.ts';
import { COARSE, expectStage, refine, SLOW, said, settle, shot, still, useWorld } from './world.ts';

declare const charcast: ForTheConsole;

const world = useWorld();

/** Rows that go some tenths of a millimetre deep, a square cut half through, and one cut all through. */
const JOB = `G21 G90
M4 S0
${Array.from({ length: 60 }, (_, k) => `G0 X4 Y${(6 + 0.1 * k).toFixed(1)}\nG1 X14 S700 F900`).join('\n')}
G0 X18 Y6
G1 X28 S1000 F700
Y16
X18
Y6
${`G0 X32 Y6\nG1 X42 S1000 F200\nY16\nX32\nY6\n`.repeat(2)}M5
`;
const job: BroughtJob = {
  name: 'cuts.nc',
  title: 'cuts',
  about: '',
  text: JOB,
  machine: machineWith({ laser: { optical_power_w: 10 }, spot: { width_mm: [0.15, 0.2] } }),
  material: shippedMaterials['poplar plywood']!,
  stock: { widthMm: 46, heightMm: 22, thicknessMm: 4, xMm: 0, yMm: 0 },
  cellMm: 0.05,
  notes: [],
};
const pixelOf = (page: Page, xMm: number, yMm: number) =>
  page.evaluate(([x, y]) => charcast.pixelOf(x!, y!)!, [xMm, yMm]);
/** The wood, without the words above it. */
async function woodShot(page: Page): Promise<Buffer> {
  const { x, y, width, height } = (await page.locator('.stage canvas').boundingBox())!;
  return page.screenshot({ clip: { x, y: y + 60, width, height: height - 140 } });
}
const loose = (page: Page) => said(page.locator('.loose'));

describe('what comes free', () => {
  let own: Page;

  beforeAll(async () => {
    own = await world.open({ jobs: [job], fineness: COARSE, viewport: { width: 900, height: 560 } });
    await settle(own);
  }, SLOW);

  test(
    'lies lower, is lifted out and turned by buttons, keys and a double press, and put back',
    async () => {
      expect(await loose(own)).toMatch(/^1 part has come free\s+lift it out\s+1 outline still holds/);
      const lying = await woodShot(own);
      await own.getByRole('button', { name: 'lift it out' }).click();
      await still(own);
      expect(await loose(own)).toMatch(/^The part, 9\.\d+ × 9\.\d+ mm/);
      const lifted = await woodShot(own);
      expect(lifted.equals(lying)).toBe(false);
      await own.getByRole('button', { name: 'turn it over' }).click();
      await still(own);
      const turned = await woodShot(own);
      expect(turned.equals(lifted)).toBe(false);
      await own.keyboard.press('o');
      await still(own);
      expect((await woodShot(own)).equals(lifted)).toBe(true);
      await own.keyboard.press('l');
      await still(own);
      expect((await woodShot(own)).equals(lying)).toBe(true);
      const { x, y } = (await own.locator('.stage canvas').boundingBox())!;
      const [px, py] = await pixelOf(own, 37, 11);
      await own.mouse.dblclick(x + px, y + py);
      await still(own);
      expect(await loose(own)).toContain('turn it over');
      // A piece of the board is not to be lifted.
      const [bx, by] = await pixelOf(own, 2, 2);
      await own.mouse.dblclick(x + bx, y + by);
      await still(own);
      expect(await loose(own)).toContain('lift it out');
      // Before it has been cut nothing is free.
      await own.keyboard.press('Home');
      await still(own);
      expect(await own.locator('.loose').count()).toBe(0);
      await own.keyboard.press('End');
    },
    SLOW,
  );

  test(
    'what is not through stays in, and a press shows where it holds',
    async () => {
      const { x, y } = (await own.locator('.stage canvas').boundingBox())!;
      const [px, py] = await pixelOf(own, 23, 11);
      await own.mouse.move(x + px, y + py);
      await still(own);
      const before = await woodShot(own);
      await own.mouse.click(x + px, y + py);
      await still(own);
      expect((await woodShot(own)).equals(before)).toBe(false);
      expect(await said(own.locator('.point-tag'))).toMatch(
        /held along 100 % of its outline, [12](\.\d)? of 4 mm deep; the cut comes through on hardly any such board/,
      );
      // It wraps, and leaves the board to be seen.
      expect((await own.locator('.point-tag').boundingBox())!.width).toBeLessThanOrEqual(23 * 16);
    },
    SLOW,
  );

  test(
    'from above, from low and inside the kerf, light and dark',
    async () => {
      // Nothing is pointed at, and nothing told of where it holds.
      const [bx, by] = await pixelOf(own, 2, 2);
      const stage = (await own.locator('.stage canvas').boundingBox())!;
      await own.mouse.click(stage.x + bx, stage.y + by);
      await own.mouse.move(890, 460);
      await own.setViewportSize({ width: 900, height: 470 });
      // The same size, whatever the page around it comes to.
      await own.locator('.stage').evaluate((stage) => {
        (stage as HTMLElement).style.cssText =
          'position: fixed; inset: 0 auto auto 0; width: 560px; height: 300px; z-index: 9';
      });
      await still(own);
      await own.keyboard.press('0');
      await own.locator('.stage canvas').focus();
      const seen = async (name: string) => {
        await still(own);
        await refine(own, 1);
        // It is light until now: each of the two is drawn anew.
        for (const colorScheme of ['dark', 'light'] as const) {
          await own.emulateMedia({ colorScheme });
          await still(own);
          expectStage(await shot(own), `viewer-${name}-${colorScheme}`);
        }
        await refine(own, COARSE);
      };
      await seen('cut-above');
      for (let k = 0; k < 4; k++) await own.keyboard.press('PageDown');
      await seen('cut-low');
      const { x, y } = (await own.locator('.stage canvas').boundingBox())!;
      // Beside the kerf, on the board: in its middle it is not told which piece is meant.
      const [px, py] = await pixelOf(own, 37, 16.1);
      await own.mouse.move(x + px, y + py);
      for (let k = 0; k < 6; k++) await own.mouse.wheel(0, -500);
      await own.mouse.move(x + 4, y + 4);
      await seen('cut-kerf');
    },
    2 * SLOW,
  );

  test(
    'a strip cut off goes on to the board’s edge, bare, far beyond what light falls on',
    async () => {
      const text = `G21 G90\nM4 S0\nG0 X0 Y20\n${'G1 X120 S1000 F200\nX0\n'.repeat(2)}M5\n`;
      const stock = { ...job.stock!, widthMm: 120, heightMm: 60 };
      const strip = { ...job, name: 'strip.nc', title: 'strip', text, stock };
      const page = await world.open({
        jobs: [strip],
        fineness: COARSE,
        viewport: { width: 900, height: 560 },
      });
      await settle(page);
      expect(await loose(page)).toMatch(/^1 part has come free/);
      const { data, width } = PNG.sync.read(await shot(page));
      // Light on bare wood: of the strip, which lies lower, as of the board; the mean over a patch, for the grain.
      const lightAt = async (xMm: number, yMm: number): Promise<number> => {
        const [x, y] = (await pixelOf(page, xMm, yMm)).map(Math.round) as [number, number];
        let sum = 0;
        for (let j = -4; j <= 4; j++)
          for (let i = -12; i <= 12; i++) sum += data[4 * ((y + j) * width + x + i)]!;
        return sum / 225;
      };
      const board = await lightAt(60, 45);
      for (const [x, y] of [
        [60, 6],
        [30, 8],
        [90, 8],
      ] as const)
        expect(Math.abs((await lightAt(x, y)) / board - 1), `${x}, ${y}`).toBeLessThan(0.03);
      await page.context().close();
    },
    SLOW,
  );
});
