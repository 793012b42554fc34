import { dirname } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readSetup } from '../../src/cli/setup.ts';
import { workplace } from '../support/workplace.ts';

const place = workplace();
const woodOf = (material: string): string => readSetup({ material }).material.name;

describe('--material', () => {
  test.each([
    ['poplar', 'poplar plywood'],
    ['Poplar Plywood', 'poplar plywood'],
    ['birch', 'birch plywood'],
    ['birch_ply', 'birch plywood'],
    ['leather', 'leather-like'],
    ['bass', 'basswood'],
  ])('%s is %s', (words, name) => {
    expect(woodOf(words)).toBe(name);
  });

  test('that several woods could be is refused, and they are named', () => {
    for (const words of ['plywood', 'ply'])
      expect(() => woodOf(words)).toThrow(
        `found --material ${words}, which could be poplar plywood or birch plywood; expected one of them`,
      );
  });

  // Value from memory: knowledge of the trade, no source.
  test.each([
    ['PVC', /must never go under a laser: PVC gives off hydrogen chloride/],
    ['self-adhesive vinyl', /must never go under a laser: PVC/],
    ['faux-leather', /must never go under a laser: PVC/],
    ['chrome leather', /must never go under a laser: chrome-tanned leather/],
    ['leather, chrome-tanned', /must never go under a laser: chrome-tanned leather/],
    ['ABS', /must not go under a laser: it melts, catches fire/],
    ['polycarbonate', /must not go under a laser: it chars/],
    ['cast acrylic', /no forecast is made: its vapour harms and catches fire, burning drops/],
    ['3mm MDF', /no forecast is made: it holds much glue, so its smoke/],
  ])('%s is named as what it is, and refused', (words, danger) => {
    expect(() => woodOf(words)).toThrow(danger);
    expect(() => woodOf(words)).toThrow(/; expected a file or one of poplar plywood/);
    expect(() => woodOf(words)).not.toThrow(/safe|neither a file/);
  });

  test.each(['walnut', 'cork', 'absent', 'foamy', 'pine', 'lar', 'ch', 'p', 'wood'])(
    '%s, which no name begins with, is no wood',
    (words) => {
      expect(() => woodOf(words)).toThrow(
        /neither a file nor a known wood; expected a file or one of poplar/,
      );
    },
  );

  test('a file goes before a part of a name', () => {
    const file = place.write('poplar', '{"name": "my poplar"}');
    const before = process.cwd();
    process.chdir(dirname(file));
    try {
      expect(woodOf('poplar')).toBe('my poplar');
    } finally {
      process.chdir(before);
    }
  });
});

test('whether a profile tells the size of the bed is known', () => {
  const laser = { optical_power_w: 5 };
  const bare = place.write('bare.json', JSON.stringify({ laser }));
  const told = place.write('told.json', JSON.stringify({ laser, work_area_mm: [400, 400] }));
  const isAssumed = (machine?: string) => readSetup(machine === undefined ? {} : { machine }).bedIsAssumed;
  expect([isAssumed(), isAssumed(bare), isAssumed(told)]).toEqual([true, true, false]);
});

test('and where it tells none, a forecast says that the size is assumed', async () => {
  const bare = place.write('bare.json', JSON.stringify({ laser: { optical_power_w: 5 } }));
  const job = place.write('off.nc', 'G21 G90\nM4 S0\nG0 X-5 Y5\nG1 X5 F600 S500\nM5\n');
  const words = ['--machine', bare, '--cell', '0.5', '--out', place.path('off')];
  const { out } = await place.charcast('forecast', job, ...words);
  expect(out.replace(/\s+/g, ' ')).toContain('off the bed of 400 × 400 mm (this size is assumed');
});
