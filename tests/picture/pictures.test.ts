import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import type { Bounds } from '../../src/grid.ts';
import { burnPicture } from '../../src/picture/burn-picture.ts';
import { comparePicture } from '../../src/picture/compare-picture.ts';
import { dosePicture } from '../../src/picture/dose-picture.ts';
import type { Picture } from '../../src/picture/picture.ts';
import { gaussianLine, markerScene, type Scene, sceneOf, signScene, stockOf } from './scenes.ts';
import { keepSvg, type PlacedText, textsOf } from './sheet-text.ts';
import { expectPicture } from './snapshot.ts';

const small = { longSidePx: 520, stockThicknessMm: 4 };
const guess = 'The tone rests on a stand-in for this wood; burn a swatch and fit it to know better.';
const notes = ['Poplar plywood, 4 mm; reference gantry.'];
const marker = markerScene();
const sign = signScene(0.1);

/** The same board with every dose changed. */
function changed({ stock, dose }: Scene, change: (jPerMm2: number, xShare: number) => number): Scene {
  let k = 0;
  return sceneOf(stock, dose.cellMm, () => change(dose.data[k]!, (k++ % dose.nx) / dose.nx));
}

const tiny = () =>
  sceneOf(stockOf(3, 3), 0.05, (x, y) => {
    const ring = gaussianLine(Math.hypot(x - 1.5, y - 1.5) - 0.8, 0.5, 0.15);
    return ring + gaussianLine((y - x) / Math.SQRT2, 30, 0.15) + gaussianLine(y - 1.5, 0.2, 0.15);
  });
const wave = (stock: Bounds, along: 'x' | 'y') =>
  sceneOf(stock, 0.1, (x, y) => {
    const [far, across] = along === 'x' ? [x, y - stock.minYMm] : [y, x - stock.minXMm];
    return gaussianLine(2.5 + Math.sin(far / 8) - across, 0.6, 0.3);
  });

describe('the burn picture', () => {
  it('shows a plant marker', () => {
    const { burn, stock } = marker;
    expectPicture(
      'burn-marker',
      burnPicture(burn, { ...small, stock, title: 'basil-marker.nc', guess, notes }, drawSvg),
    );
  });

  it('shows a sign', () => {
    const { burn, stock } = sign;
    expectPicture(
      'burn-sign',
      burnPicture(burn, { ...small, longSidePx: 440, stock, title: 'herb-sign.nc', notes }, drawSvg),
    );
  });

  it('magnifies a tiny board', () => {
    const { burn, stock } = tiny();
    expectPicture(
      'burn-tiny',
      burnPicture(burn, { ...small, longSidePx: 300, stock, title: 'dot.nc', guess }, drawSvg),
    );
  });

  it('keeps a thin board legible, lying and standing', () => {
    const lying = stockOf(300, 5, 40, -12);
    const standing = stockOf(5, 300);
    const title =
      'a-very-long-job-name-that-somebody-gave-to-a-file-because-they-like-long-names-and-never-rename.nc';
    const options = { ...small, guess, notes };
    expectPicture(
      'burn-lying',
      burnPicture(wave(lying, 'x').burn, { ...options, stock: lying, title }, drawSvg),
    );
    expectPicture(
      'burn-standing',
      burnPicture(wave(standing, 'y').burn, { ...options, stock: standing, title }, drawSvg),
    );
  });

  it('is the same every time', () => {
    const { burn, stock } = tiny();
    const once = burnPicture(burn, { ...small, stock, title: 'dot.nc', guess }, drawSvg);
    const again = burnPicture(burn, { ...small, stock, title: 'dot.nc', guess }, drawSvg);
    expect(once.data.length).toBe(once.width * once.height * 4);
    expect(again.data.every((value, k) => value === once.data[k])).toBe(true);
  });
});

describe('the dose picture', () => {
  it('shows a plant marker by ratio, since it is engraved and cut', () => {
    const { dose, stock } = marker;
    expectPicture(
      'dose-marker',
      dosePicture(dose, { ...small, stock, title: 'basil-marker.nc', notes }, drawSvg),
    );
  });

  it('keeps its scale when one point burn sticks out, and says so', () => {
    const stock = stockOf(60, 40);
    const { dose } = sceneOf(stock, 0.1, (x, y) => {
      const patch = x > 10 && x < 50 && y > 10 && y < 30 ? 0.1 + (0.3 * (x - 10)) / 40 : 0;
      return patch + 500 * Math.exp(-((x - 30) ** 2 + (y - 35) ** 2) / (2 * 0.1 ** 2));
    });
    expectPicture('dose-point-burn', dosePicture(dose, { ...small, stock, title: 'patch.nc' }, drawSvg));
    const kept = keepSvg();
    dosePicture(dose, { ...small, stock, title: 'patch.nc' }, kept.drawSvg);
    // The cells next to its middle are half a cell off both ways: 500 · exp(−0.05² / 0.1²) = 389.
    expect(textsOf(kept.svg()).map(({ text }) => text)).toContain('more, up to 390 J/mm²');
  });

  it('says so when nothing was burned', () => {
    const stock = stockOf(30, 20);
    const kept = keepSvg();
    dosePicture(sceneOf(stock, 0.5, () => 0).dose, { ...small, stock, title: 'empty.nc' }, kept.drawSvg);
    expect(textsOf(kept.svg()).map(({ text }) => text)).toContain('No energy landed on the board.');
  });
});

describe('the comparison', () => {
  const options = {
    ...small,
    nameA: 'as written',
    nameB: 'operation 2 at 1500 mm/min, 70 % power',
    title: 'basil-marker.nc',
  };

  it('stacks wide boards', () => {
    const a = markerScene(0.1);
    const b = changed(a, (dose, x) => dose * (0.6 + 0.8 * x));
    expectPicture(
      'compare-marker',
      comparePicture(a.burn, b.burn, { ...options, stock: a.stock, notes, guess }, drawSvg),
    );
  });

  it('puts others side by side', () => {
    const a = sign;
    const b = changed(a, (dose) => (dose < 3 ? dose * 1.4 : dose * 0.5));
    expectPicture(
      'compare-sign',
      comparePicture(a.burn, b.burn, { ...options, title: 'herb-sign.nc', stock: a.stock }, drawSvg),
    );
  });

  it('finds no difference between a burn and itself, even on another grid, and says so', () => {
    const { burn, stock } = signScene(0.2);
    const kept = keepSvg();
    const picture = comparePicture(burn, burn, { ...options, stock }, kept.drawSvg);
    const texts = textsOf(kept.svg()).map(({ text }) => text);
    expect(texts).toContain('The two come out in the same tone everywhere.');
    expect(texts.filter((text) => text.startsWith('cut through'))).toEqual([]);
    expect(picture.width).toBeGreaterThan(3 * 200);
  });

  it('tells where only one of the two is cut through', () => {
    const stock = stockOf(20, 20);
    const left = sceneOf(stock, 0.1, (x) => (x > 4 && x < 6 ? 20 : 0));
    const right = sceneOf(stock, 0.1, (x) => (x > 14 && x < 16 ? 20 : 0));
    const kept = keepSvg();
    comparePicture(left.burn, right.burn, { ...options, stock }, kept.drawSvg);
    const both = textsOf(kept.svg()).map(({ text }) => text);
    expect(both).toContain('cut through in A only');
    expect(both).toContain('cut through in B only');
  });

  it('does not take a wider kerf for a cut of its own', () => {
    const stock = stockOf(20, 20);
    const narrow = sceneOf(stock, 0.1, (x) => (x > 9 && x < 9.4 ? 20 : 0));
    const wide = sceneOf(stock, 0.1, (x) => (x > 8.8 && x < 9.6 ? 20 : 0));
    const kept = keepSvg();
    comparePicture(narrow.burn, wide.burn, { ...options, stock }, kept.drawSvg);
    const told = textsOf(kept.svg()).map(({ text }) => text);
    expect(told.filter((text) => text.startsWith('cut through'))).toEqual([]);
    comparePicture(sceneOf(stock, 0.1, () => 0).burn, wide.burn, { ...options, stock }, kept.drawSvg);
    expect(textsOf(kept.svg()).map(({ text }) => text)).toContain('cut through in B only');
  });
});

describe('both pictures', () => {
  it('have y up: what was burned at the top of the board is at the top of the picture', () => {
    const stock = stockOf(30, 20, -5, 8);
    const scene = sceneOf(stock, 0.5, (x, y) => (x < -4.5 && y > 27.5 ? 5 : 0));
    const options = { stock, title: 'corner.nc', longSidePx: 300 };
    // The hot cell is the darkest of the wood, and the brightest of the dose.
    const burn = burnPicture(scene.burn, options, keepSvg().drawSvg);
    const dose = dosePicture(scene.dose, options, keepSvg().drawSvg);
    const darkest = extremePixel(burn, (light) => -light);
    const brightest = extremePixel(dose, (_, r, g, b) => r + g - b);
    for (const [at, { height, width }] of [
      [darkest, burn],
      [brightest, dose],
    ] as const) {
      expect(at.y).toBeLessThan(height * 0.3);
      expect(at.x).toBeLessThan(width * 0.3);
    }
  });

  it('never let two texts run into each other or over the edge, whatever the board', {
    timeout: 60_000,
  }, () => {
    const size = fc.oneof(
      fc.double({ min: 0.5, max: 12, noNaN: true }),
      fc.double({ min: 10, max: 900, noNaN: true }),
    );
    const place = fc.double({ min: -400, max: 1200, noNaN: true });
    const job = fc.constantFrom('a.nc', `${'long-name-'.repeat(20)}.nc`, 'Дощечка №5 <&>');
    const peak = fc.constantFrom(0, 0.004, 0.4, 30, 2e4);
    fc.assert(
      fc.property(
        fc.tuple(size, size),
        fc.tuple(place, place),
        job,
        peak,
        fc.integer({ min: 160, max: 900 }),
        ([w, h], [x, y], title, jPerMm2, longSidePx) => {
          const stock = stockOf(w, h, x, y);
          const { burn, dose } = sceneOf(stock, Math.max(w, h) / 40, (px) => (jPerMm2 * (px - x)) / w);
          const options = { stock, title, longSidePx, notes, stockThicknessMm: 3.25 };
          const names = { nameA: title, nameB: 'b' };
          for (const draw of [
            () => burnPicture(burn, { ...options, guess }, kept.drawSvg),
            () => dosePicture(dose, options, kept.drawSvg),
            () => comparePicture(burn, burn, { ...options, guess, ...names }, kept.drawSvg),
          ]) {
            const picture = draw();
            expectApart(textsOf(kept.svg()), picture);
          }
        },
      ),
      { numRuns: 40, seed: 20 },
    );
  });
  const kept = keepSvg();
});

function extremePixel(
  { data, width }: Picture,
  rank: (light: number, r: number, g: number, b: number) => number,
): { x: number; y: number } {
  let best = 0;
  let most = -Infinity;
  for (let k = 0; k < data.length; k += 4) {
    const [r, g, b] = [data[k]!, data[k + 1]!, data[k + 2]!];
    const value = rank(r + g + b, r, g, b);
    if (value > most) [most, best] = [value, k / 4];
  }
  return { x: best % width, y: Math.floor(best / width) };
}

function expectApart(texts: readonly PlacedText[], { width, height }: Picture): void {
  expect(texts.length).toBeGreaterThan(4);
  const wrong: string[] = [];
  for (const [k, a] of texts.entries()) {
    if (a.sizePx < 9) wrong.push(`"${a.text}" is too small to read`);
    if (a.left < 0 || a.right > width || a.top < 0 || a.bottom > height) wrong.push(`"${a.text}" is cut off`);
    for (const b of texts.slice(k + 1)) {
      const apart = a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
      if (!apart) wrong.push(`"${a.text}" and "${b.text}" overlap`);
    }
  }
  expect(wrong).toEqual([]);
}
