import { describe, expect, test } from 'vitest';
import { readSize } from '../../src/cli/checks.ts';
import { forecast } from '../../src/forecast.ts';
import { workplace } from '../support/workplace.ts';
import { bench, board, poplar, readJob } from './pairs.ts';

/** The size the burn should have, and the depth engraving may have: as options of the library and of the command. */

/** Of long sides only the ends burn: that is all of their size. */
const side = (axis: string, from: number, to: number): string => {
  const endMm = 20 * Math.sign(to - from);
  const ends = Math.abs(to - from) > 60 ? `${axis}${from + endMm} S300\n${axis}${to - endMm} S0\n` : '';
  return `${ends}${axis}${to} S300\n`;
};
const rectangle = (widthMm: number, heightMm: number): string => {
  const [right, top] = [5 + widthMm, 5 + heightMm];
  const sides = side('X', 5, right) + side('Y', 5, top) + side('X', right, 5) + side('Y', top, 5);
  return `G21 G90\nM4 S0\nG0 X5 Y5\nG1 F1200\n${sides}M5\nM2\n`;
};
const sizeOf = (widthMm: number, heightMm: number, wantedWidth: number, wantedHeight: number) =>
  forecast(rectangle(widthMm, heightMm), bench({ work_area_mm: [3000, 3000] }), poplar, {
    expectMm: { widthMm: wantedWidth, heightMm: wantedHeight },
    cellMm: 1,
  }).findings;

describe('the slip that explains a wrong size', () => {
  // An inch is 25.4 mm; a picture of d dots per inch has dots of 25.4/d mm (arithmetic; 72, 90 and 96 are common
  // practice, no source).
  test.each([
    ['inches were taken for millimetres', 1 / 25.4],
    ['millimetres were taken for inches', 25.4],
    ['96 dots per inch were read as 72', 96 / 72],
    ['96 dots per inch were read as 90', 96 / 90],
    ['90 dots per inch were read as 72', 90 / 72],
    ['72 dots per inch were read as 96', 72 / 96],
    ['90 dots per inch were read as 96', 90 / 96],
    ['72 dots per inch were read as 90', 72 / 90],
    ['dots of 96 to the inch were taken for millimetres', 96 / 25.4],
    ['millimetres were taken for dots of 96 to the inch', 25.4 / 96],
    ['it was scaled twice', 2],
    ['it was halved', 0.5],
  ])('%s', (words, factor) => {
    for (const off of [1, 1.004, 0.996]) {
      const [finding] = sizeOf(80 * factor * off, 50 * factor * off, 80, 50);
      expect(finding?.kind).toBe('wrong-size');
      expect(finding!.message).toContain(words);
      expect(finding!.remedy).toMatch(/scale it by/);
    }
  });

  test('no slip: says by how much, and which way', () => {
    expect(sizeOf(88, 55, 80, 50)[0]!.message).toMatch(/110 % of its size, which no usual slip explains/);
    expect(sizeOf(50, 80, 80, 50)[0]!.message).toMatch(/turned by a quarter/);
    expect(sizeOf(80, 70, 80, 50)[0]!.message).toMatch(/100 % of the width and 140 % of the height/);
  });

  test('half a millimetre, or one in a hundred, is the same size', () => {
    expect(sizeOf(80.4, 49.6, 80, 50)).toEqual([]);
    expect(sizeOf(202, 198, 200, 200)).toEqual([]);
  });
});

test('how deep engraving may go is a choice', () => {
  const deepest = (deepestEngraving: number) =>
    forecast(readJob('too-deep'), bench(), poplar, { stock: board(3), deepestEngraving }).findings.map(
      ({ kind }) => kind,
    );
  expect(deepest(0.5)).toEqual([]);
  expect(deepest(0.1)).toEqual(['too-deep']);
});

describe('charcast forecast', () => {
  const top = workplace();
  const job = top.write('rectangle.nc', rectangle(80, 50));
  const run = (...words: string[]) => top.charcast('forecast', job, '--json', '--cell', '0.2', ...words);

  test('--expect is checked and told in the report, with what to do', async () => {
    const right = await run('--expect', '80x50');
    expect(right.err).toBe('');
    const kinds = (out: string) => JSON.parse(out).findings.map(({ kind }: { kind: string }) => kind);
    expect(kinds(right.out)).not.toContain('wrong-size');
    const wrong = await run('--expect', '40 x 25 mm');
    expect(wrong.status).toBe(1);
    const told = JSON.parse(wrong.out).findings.find(({ kind }: { kind: string }) => kind === 'wrong-size');
    expect(told).toMatchObject({
      severity: 'stop',
      at_mm: [5, 5],
      measure: { width_mm: 80, expected_mm: [40, 25] },
      advice: null,
    });
  });

  test('a size or a depth that cannot be read is one plain sentence', async () => {
    for (const words of [
      ['--expect', '80'],
      ['--expect', '0x50'],
      ['--expect', '80x-5'],
      ['--expect', '8e9x5'],
      ['--expect', '800000x5'],
    ]) {
      const { status, err } = await run(...words);
      expect(status).toBe(2);
      expect(err).toMatch(
        /^charcast: found --expect .*; expected the burn's width x height in mm, as in 120x70\n$/,
      );
    }
    for (const part of ['0', '-3', '120', 'deep']) {
      const { status, err } = await run('--deepest', part);
      expect(status).toBe(2);
      expect(err).toMatch(
        /found --deepest .*; expected a part of the board's thickness in per cent, as in 25\n$/,
      );
    }
    expect((await run('--deepest', '30 %')).err).toBe('');
  });

  test('a size is read in the spellings people use', () => {
    for (const text of ['120x70', '120 x 70', '120X70', '120mmx70mm', ' 120.0x70 ']) {
      expect(readSize(text)).toEqual({ widthMm: 120, heightMm: 70 });
    }
  });
});
