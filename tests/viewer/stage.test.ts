import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { BroughtJob } from '../../src/page/brought-job.ts';
import { tagCorner } from '../../viewer/stage/tag-corner.ts';
import { machineWith } from '../support/machines.ts';
import {
  COARSE,
  clock,
  go,
  refine,
  SLOW,
  SQUARE,
  said,
  settle,
  shot,
  smallMarker,
  still,
  useWorld,
} from './world.ts';

const world = useWorld();

describe('the tag of a pointed place', () => {
  const stage = [900, 560] as const;
  const card = { left: 16, top: 12, right: 640, bottom: 150 };
  const at = (x: number, y: number, over: typeof card | null = card, width = 300) =>
    tagCorner([x, y], [width, 110], stage, over);

  test('stands above it, to the right where there is room', () => {
    expect(at(400, 300)).toEqual([418, 182]);
    expect(at(700, 300)).toEqual([382, 182]);
    expect(at(400, 50, null)).toEqual([418, 4]);
    // As wide as a telephone's stage, it stands within it all the same.
    expect(at(450, 300, null, 880)[0]).toBe(4);
  });
  test('stands beneath it where it would go under what lies over the stage', () => {
    expect(at(400, 220)).toEqual([418, 238]);
    expect(at(400, 60)).toEqual([418, 154]);
    // Beside the card there is room above.
    expect(at(640, 220, { ...card, right: 600 })).toEqual([322, 238]);
    expect(at(600, 220, { ...card, right: 600 }, 200)).toEqual([618, 102]);
    // On a low stage it stays on it.
    expect(tagCorner([400, 140], [300, 110], [900, 200], card)).toEqual([418, 86]);
  });
});

/** A job of our own on a board of 50 × 50 mm, with a spot so fine that rows stand apart. */
const jobOf = (text: string, laser: object = {}): BroughtJob => ({
  name: 'rows.nc',
  title: 'rows',
  about: '',
  text,
  machine: machineWith({
    lookahead_moves: 16,
    laser: { optical_power_w: 10, ...laser },
    spot: { width_mm: [0.08, 0.1] },
  }),
  material: shippedMaterials['birch plywood']!,
  stock: { widthMm: 50, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 },
  cellMm: null,
  notes: [],
});

/** Rows 0.2 mm apart over 26 × 40 mm, the first at y: wider than the middle eighth of a picture. */
function rowsFrom(yMm: number): string {
  const lines = ['G21 G90', 'M4 S0'];
  for (let k = 0; k < 200; k++) {
    const y = (yMm + 0.2 * k).toFixed(3);
    const [from, to] = k % 2 === 0 ? [5, 31] : [31, 5];
    lines.push(`G0 X${from} Y${y}`, `G1 X${to} S500 F3000`);
  }
  return `${lines.join('\n')}\nM5\n`;
}

/** The mean brightness of each line of pixels over the middle eighth of a picture, 0…255. */
function brightnessByLine(png: Buffer): number[] {
  const { width, height, data } = PNG.sync.read(png);
  const from = Math.round(width * (0.5 - 1 / 16));
  const to = Math.round(width * (0.5 + 1 / 16));
  return Array.from({ length: height }, (_, y) => {
    let sum = 0;
    for (let x = from; x < to; x++) {
      const k = 4 * (y * width + x);
      sum += 0.3 * data[k]! + 0.59 * data[k + 1]! + 0.11 * data[k + 2]!;
    }
    return sum / (to - from);
  });
}

const furthest = (a: readonly number[], b: readonly number[]): number =>
  Math.max(...a.map((value, k) => Math.abs(value - b[k]!)));

/** The lines of pixels well inside the rows, of a whole board seen from above. */
const inside = (lines: readonly number[]): number[] =>
  lines.slice(Math.round(lines.length * 0.25), Math.round(lines.length * 0.55));

/** Of the stage no more is drawn than those lines over the middle of the picture: run in the page. */
function onlyInside(): void {
  const { prototype } = WebGL2RenderingContext;
  const draw = prototype.drawElements;
  prototype.drawElements = function (...of) {
    const { drawingBufferWidth: width, drawingBufferHeight: height } = this;
    this.enable(this.SCISSOR_TEST);
    // From below.
    this.scissor(0.4 * width, 0.4 * height, 0.2 * width, 0.4 * height);
    draw.apply(this, of);
    this.disable(this.SCISSOR_TEST);
  };
}

/** How far brightness may differ, of 255: tone and dose are kept in bytes, and a dose has a steep map. */
const MOST_APART = { 1: 9, 2: 9, 3: 4, 4: 4, 6: 4 } as const;

describe('from afar', () => {
  test(
    'rows finer than pixels come out as their mean, without bands',
    async () => {
      // The first is what a page shows by itself; as the last one each is drawn anew.
      const views = [2, 3, 4, 6, 1] as const;
      /** Of the stage, whatever the page around it comes to. */
      const sizes = [
        [456, 221],
        [760, 275],
      ] as const;
      const job = jobOf(rowsFrom(5));
      const own = await world.open({
        jobs: [{ ...job, stock: { ...job.stock!, widthMm: 36 } }],
        fineness: COARSE,
        viewport: { width: 760, height: 420 },
        before: onlyInside,
      });
      await settle(own);
      // Some views have a legend, of which the stage keeps clear: without it the rows lie at one place in all of them.
      await own.evaluate(() => {
        const sheet = new CSSStyleSheet();
        sheet.replaceSync('.legend { display: none }');
        document.adoptedStyleSheets.push(sheet);
      });
      await own.keyboard.press('f');
      await own.keyboard.press('t');
      /** The lines of pixels of each view, at each size. */
      const seen = async () => {
        const all = [];
        for (const size of sizes) {
          await refine(own, COARSE);
          await own.locator('.stage').evaluate((stage, [width, height]) => {
            (stage as HTMLElement).style.cssText =
              `position: fixed; inset: 0 auto auto 0; width: ${width}px; height: ${height}px; z-index: 9`;
          }, size);
          await still(own);
          await own.keyboard.press('0');
          await still(own);
          await refine(own, 1);
          const lines = [];
          for (const view of views) {
            await own.keyboard.press(String(view));
            await still(own);
            lines.push(inside(brightnessByLine(await shot(own))));
          }
          all.push(lines);
        }
        await refine(own, COARSE);
        return all;
      };
      const one = await seen();
      await own.locator('.stage').evaluate((stage) => stage.removeAttribute('style'));
      await own.getByRole('button', { name: 'move the job on the board' }).click();
      await own.getByLabel('job moved to the back').fill('0.08');
      await own.keyboard.press('Enter');
      await own.getByRole('button', { name: 'done placing' }).click();
      await settle(own);
      const other = await seen();
      await own.context().close();
      expect(other).not.toEqual(one);
      // Where the rows lie against the pixels must not matter: bands would move when the rows do.
      for (const [h, [width, height]] of sizes.entries())
        for (const [k, view] of views.entries())
          expect(furthest(one[h]![k]!, other[h]![k]!), `view ${view} at ${width} × ${height}`).toBeLessThan(
            MOST_APART[view],
          );
    },
    3 * SLOW,
  );
});

describe('from above', () => {
  test(
    'the ruler on the bed fits the board, out to its edges',
    async () => {
      const job = { ...jobOf(SQUARE), stock: { widthMm: 100, heightMm: 80, thicknessMm: 6, xMm: 0, yMm: 0 } };
      const own = await world.open({
        fineness: COARSE,
        jobs: [{ ...job, cellMm: 0.2 }],
        viewport: { width: 980, height: 640 },
      });
      await settle(own);
      await own.keyboard.press('t');
      await still(own);
      await refine(own, 1);
      await own.keyboard.press('f');
      await still(own);
      const { width, height, data } = PNG.sync.read(await shot(own));
      const blue = (x: number, y: number) => data[4 * (y * width + x) + 2]!;
      const middle = Math.round(height * 0.4);
      // Wood is far less blue than the bed.
      const isWood = (x: number, y: number) => blue(x, y) < 190;
      let left = 0;
      while (!isWood(left, middle)) left++;
      let top = middle;
      while (isWood(left + 30, top)) top--;
      // Above the board the line of x 0 runs on; it is the darkest near there.
      let line = left;
      const dark = (x: number) => {
        let sum = 0;
        for (let y = top - 12; y < top - 4; y++) sum += blue(x, y);
        return sum;
      };
      for (let x = left - 25; x < left + 25; x++) if (dark(x) < dark(line)) line = x;
      let right = left;
      while (isWood(right, middle)) right++;
      const pxPerMm = (right - left) / 100;
      expect(pxPerMm).toBeGreaterThan(4);
      // A pixel or so for the line's own width, and 0.2 mm.
      expect(Math.abs(line - left)).toBeLessThanOrEqual(1.5 + 0.2 * pxPerMm);
      await own.context().close();
    },
    SLOW,
  );
});

describe('findings on the wood', () => {
  test(
    'each has a mark where it is; pressing one shows its place once it has been burned',
    async () => {
      const own = await world.open({ jobs: await smallMarker() });
      await settle(own);
      const pins = own.locator('.pin');
      expect(await pins.count()).toBeGreaterThanOrEqual(3);
      // The wheel over a mark brings the wood nearer, as beside it.
      const before = (await pins.nth(1).boundingBox())!;
      const { x, y, width, height } = (await pins.first().boundingBox())!;
      await own.mouse.move(x + width / 2, y + height / 2);
      await own.mouse.wheel(0, -300);
      await still(own);
      const after = (await pins.nth(1).boundingBox())!;
      expect(Math.hypot(after.x - x, after.y - y)).toBeGreaterThan(
        1.1 * Math.hypot(before.x - x, before.y - y),
      );
      await own.getByRole('button', { name: 'whole board' }).click();
      await still(own);
      const end = await clock(own);
      await pins.first().click();
      await still(own);
      const then = await clock(own);
      expect(then).not.toBe(end);
      // Rows end dark: by then the beam has been where they end, which is not at the very beginning.
      expect(then).toMatch(/^0:[1-3]\d/);
      // So near, a mark would hide its place.
      await pins.first().waitFor({ state: 'hidden' });
      await go(own, 'Compare');
      expect(await pins.count()).toBe(0);
      await own.context().close();
    },
    SLOW,
  );
});

describe('two jobs of different length', () => {
  test(
    'the shorter one rests at its end, with its beam off',
    async () => {
      const [marker] = await smallMarker();
      const short = { ...marker!, name: 'square.nc', title: 'square', text: SQUARE, stock: null };
      const own = await world.open({ jobs: [short, { ...marker!, stock: null }], fineness: COARSE });
      await own.locator('.compare-table').waitFor();
      await settle(own);
      await own.keyboard.press('Home');
      await own.keyboard.press('Shift+ArrowRight');
      await still(own);
      // A head on each.
      expect(await own.locator('.head-tag b').allInnerTexts()).toEqual(['A', 'B']);
      const before = await shot(own);
      for (let k = 0; k < 20; k++) await own.keyboard.press('Shift+ArrowRight');
      await still(own);
      expect(await own.locator('.head-tag b').allInnerTexts()).toEqual(['B']);
      expect((await shot(own)).equals(before)).toBe(false);
      await own.context().close();
    },
    SLOW,
  );
});

/** Smoke goes no further from the head on screen. */
const SMOKE_PX = 100;

describe('the ember', () => {
  /** Rows finer than pixels, then a slow way with the beam off, and a line close to the rows' ends. */
  function emberJob(): BroughtJob {
    const lines = ['G21 G90', 'M4 S0'];
    for (let k = 0; k < 60; k++) {
      const [from, to] = k % 2 === 0 ? [5, 45] : [45, 5];
      lines.push(`G0 X${from} Y${(10 + 0.1 * k).toFixed(1)}`, `G1 X${to} S500 F3000`);
    }
    lines.push('G1 X45.1 Y10 S0 F100', 'Y16 S500', 'M5');
    return { ...jobOf(lines.join('\n')), cellMm: 0.1 };
  }

  test(
    'glows where the beam was a moment ago and nowhere else, and darkens nothing',
    async () => {
      const own = await world.open({
        jobs: [emberJob()],
        fineness: COARSE,
        viewport: { width: 620, height: 420 },
      });
      await settle(own);
      await own.keyboard.press('f');
      await own.keyboard.press('t');
      /** The wood as it is now, drawn anew with or without motion: without, nothing glows. */
      const drawn = async (reducedMotion: 'reduce' | 'no-preference') => {
        await own.emulateMedia({ reducedMotion });
        await own.keyboard.press('ArrowRight');
        await own.keyboard.press('ArrowLeft');
        await still(own);
        return PNG.sync.read(await shot(own));
      };
      const glow = async () => {
        await refine(own, 1);
        const plain = await drawn('reduce');
        const glowing = await drawn('no-preference');
        await refine(own, COARSE);
        // The tag stands 14 px right of the head and below it.
        const [headX, headY] = await own.locator('.head-tag').evaluate((tag) => {
          const { e, f } = new DOMMatrix(getComputedStyle(tag).transform);
          return [e - 14, f - 14] as const;
        });
        const found = { near: 0, far: 0, darker: 0 };
        for (let k = 0; k < plain.data.length; k += 4) {
          const more = glowing.data[k]! - plain.data[k]!;
          const [x, y] = [(k / 4) % plain.width, Math.floor(k / 4 / plain.width)];
          const awayPx = Math.hypot(x - headX, y - headY);
          // The wisp of smoke at the beam may lie darker on the wood.
          if (more < -2 && awayPx > SMOKE_PX) found.darker++;
          if (more > 24) found[awayPx < 60 ? 'near' : 'far']++;
        }
        return found;
      };
      const whole = await clock(own);
      await own.keyboard.press('Home');
      for (let k = 0; k < 9; k++) await own.keyboard.press('Shift+ArrowRight');
      const amidRows = await glow();
      expect(amidRows).toEqual({ near: expect.any(Number), far: 0, darker: 0 });
      expect(amidRows.near).toBeGreaterThan(5);
      // The slow way with the beam off takes the longest by far.
      for (let k = 0; k < 20; k++) await own.keyboard.press('Shift+ArrowRight');
      expect(await clock(own)).not.toBe(whole);
      await still(own);
      expect(await said(own.locator('.head-tag'))).toMatch(/\b0 W/);
      expect(await glow()).toEqual({ near: 0, far: 0, darker: 0 });
      await own.context().close();
    },
    SLOW,
  );
});
