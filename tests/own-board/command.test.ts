import { readFileSync, writeFileSync } from 'node:fs';
import { PNG } from 'pngjs';
import { expect, test } from 'vitest';
import { jpegOf } from '../support/jpeg.ts';
import { workplace } from '../support/workplace.ts';
import { photographed, type Shot, seenAt } from './camera.ts';

/** The whole way: a photo of an offcut beside a sheet of A4, and a job that is laid on it. */

const place = workplace();
const OFFCUT: [number, number][] = [
  [20, 20],
  [130, 25],
  [130, 70],
  [90, 100],
  [25, 95],
];
const shot: Shot = {
  widthPx: 1200,
  heightPx: 900,
  focal: 0.75,
  from: [150, 0, 420],
  at: [150, 110, 0],
  thicknessMm: 4,
  board: OFFCUT,
  noise: 0.02,
  quality: 85,
  seed: 4,
};
const photo = photographed(shot);
const jpg = place.path('offcut.jpg');
writeFileSync(jpg, jpegOf(photo, 90));
const corners = [
  [150, 10],
  [360, 10],
  [360, 307],
  [150, 307],
].map(([x, y]) =>
  seenAt(shot, [x!, y!, 0])
    .map((px) => px.toFixed(1))
    .join(','),
);
const points = `a4 at 150,10: ${corners.join('; ')}`;
const job = place.write(
  'leaf.nc',
  'G21 G90\nM4 S0\nG0 X40 Y40\nG1 X100 S600 F600\nY80\nX40\nY40\nM5\nG0 X0 Y0\n',
);
const own = ['--board', jpg, '--board-points', points, '--thickness', '4'];

test('an own board is found, burned on, and its true outline counts', async () => {
  const out = place.path('own');
  const { status, err, out: said } = await place.charcast('forecast', job, ...own, '--out', out, '--html');
  expect(err).toBe('');
  expect(said.replace(/\s+/g, ' ')).toMatch(
    /Its outline is known to about 1\.\d mm; .* A finer photo tells it better: from nearer or with more pixels/,
  );
  expect(status).toBeLessThan(2);
  const report = JSON.parse(readFileSync(`${out}/report.json`, 'utf8'));
  const { outline, thickness } = report.stock_mm;
  expect(thickness).toBe(4);
  // A pixel is about half a millimetre wide.
  expect(report.stock_mm.outline_plus_minus).toBeGreaterThan(1);
  expect(report.stock_mm.outline_plus_minus).toBeLessThan(1.4);
  for (const [x, y] of OFFCUT)
    expect(Math.min(...outline.map(([u, v]: number[]) => Math.hypot(u! - x, v! - y)))).toBeLessThan(0.7);
  const kinds = (of: typeof report) => of.findings.map(({ kind }: { kind: string }) => kind);
  expect(kinds(report)).not.toContain('off-stock');
  const picture = PNG.sync.read(readFileSync(`${out}/burn.png`));
  expect(picture.width).toBeGreaterThan(1000);
  expect(readFileSync(`${out}/report.html`, 'utf8')).toContain('The burn, as it will look.');
  // Moved into the corner that is cut off, it is still within the rectangle around the board.
  const moved = await place.charcast('forecast', job, ...own, '--change', 'all: shift 25x15', '--json');
  expect(kinds(JSON.parse(moved.out))).toContain('off-stock');
  const knot = await place.charcast('forecast', job, ...own, '--avoid', '60,40,3', '--json');
  expect(kinds(JSON.parse(knot.out))).toContain('on-spot');
}, 120_000);

test.each([
  [
    ['--board', jpg],
    /found --board without --board-points, so that the photo cannot be made flat; expected four/,
  ],
  [['--board', jpg, '--board-points', '1,2=3,4'], /--board-points: found one point of known place/],
  [['--board-points', points], /found --board-points without --board/],
  [['--thickness', '4'], /found --thickness without --board/],
  [['--avoid', '1,2,3'], /found --avoid without a board/],
  [[...own.slice(0, 4), '--thickness', 'thin'], /found --thickness thin; expected how thick/],
  [['--board', job, '--board-points', points], /leaf\.nc: .*expected/],
])('%j is refused', async (words, sentence) => {
  const { status, err } = await place.charcast('forecast', job, ...words, '--out', place.path('none'));
  expect(status).toBe(2);
  expect(err).toMatch(sentence);
});
