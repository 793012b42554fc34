import { describe, expect, test } from 'vitest';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { chartOf } from '../../src/chart/chart.ts';
import { chartNotes, panelSentence, pointSentence } from '../../src/chart/notes.ts';
import { pointsOf } from '../../src/chart/points.ts';
import { becomesOf, forecast, readOptions } from '../../src/forecast.ts';
import { headingWords } from '../../src/picture/chart-picture.ts';
import { readProgram } from '../../src/program/read.ts';
import { sentencesOf } from '../../src/suggest/sentences.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar } from './pairs.ts';

/** Lines side by side, too far apart for a fill: a hinge's slots, a ruler's ticks. */

const machine = machineWith({ laser: { optical_power_w: 5 }, spot: { width_mm: [0.15, 0.2] } });
const stock = board(3, 30, 30);

/** Slots of two pieces each, side by side, at one power. */
const slots = (apartMm: number, feed: number, s: number): string =>
  [
    'G21 G90',
    `M3 S0 F${feed}`,
    ...Array.from({ length: 7 }, (_, k) => {
      const [from, to] = k % 2 ? [22, 4] : [4, 22];
      const x = (5 + k * apartMm).toFixed(3);
      return `G0 X${x} Y${from}\nG1 Y${(2 * from + to) / 3} S${s}\nG0 Y${(from + 2 * to) / 3} S0\nG1 Y${to} S${s}\nS0`;
    }),
    'M5',
    '',
  ].join('\n');

describe('slots of a living hinge', () => {
  const made = forecast(slots(1.5, 300, 1000), machine, poplar, { stock });

  test('are a cut, and whether it comes through is told', () => {
    expect(made.operations.map(({ operation }) => operation.kind)).toEqual(['outline']);
    expect(made.cuts).toMatchObject([{ operation: 1, assumed: true }]);
    expect(made.findings.filter(({ kind }) => kind === 'stripes' || kind === 'too-deep')).toEqual([]);
  });

  test('are what somebody says they are', () => {
    const faster = forecast(slots(1.5, 3000, 1000), machine, poplar, { stock });
    expect(faster.cuts).toEqual([]);
    expect(forecastChanged(faster, parseChanges('1: cut')).cuts).toMatchObject([
      { operation: 1, assumed: false },
    ]);
    expect(forecastChanged(made, parseChanges('1: engrave')).cuts).toEqual([]);
  });
});

test('ticks of a ruler are lines and no stripes of a fill', () => {
  const ticks = Array.from(
    { length: 20 },
    (_, k) => `G0 X${2 + 1.2 * k} Y20\nG1 Y${k % 5 ? 16 : 12} S350\nS0`,
  );
  const { findings, engravings } = forecast(
    `G21 G90\nM3 S0 F1200\n${ticks.join('\n')}\nM5`,
    machine,
    poplar,
    { stock },
  );
  expect(engravings).toHaveLength(1);
  expect(findings.filter(({ kind }) => kind === 'stripes')).toEqual([]);
});

describe('what is lines', () => {
  const kindsOf = (text: string, spots: number | null = 5) =>
    readProgram(text, {
      arcToleranceMm: 0.002,
      dwellUnit: 's',
      ...(spots === null
        ? {}
        : { fillStepMm: (_ux: number, _uy: number, z: number) => spots * 0.2 * (1 + z) }),
    }).operations.map(({ kind }) => kind);

  test('is as far apart as the machine’s spot says', () => {
    expect(kindsOf(slots(0.9, 300, 1000))).toEqual(['rows']);
    expect(kindsOf(slots(1.1, 300, 1000))).toEqual(['outline']);
    expect(kindsOf(slots(1.1, 300, 1000), null)).toEqual(['rows']);
    // With the head raised the spot is wider.
    expect(kindsOf(slots(1.1, 300, 1000).replace('M3', 'G0 Z1\nM3'))).toEqual(['rows']);
  });

  test('goes by the spot’s width across them', () => {
    // 0.15 mm across what runs along y, 0.2 mm across what runs along x.
    const turned = (text: string): string => text.replace(/[XY]/g, (axis) => (axis === 'X' ? 'Y' : 'X'));
    const of = (text: string) =>
      forecast(text, machine, poplar, { stock }).operations.map(({ operation }) => operation.kind);
    const [fill, between, lines] = [0.7, 0.9, 1.1].map((apartMm) => slots(apartMm, 300, 1000)) as [
      string,
      string,
      string,
    ];
    expect([of(fill), of(turned(fill))]).toEqual([['rows'], ['rows']]);
    expect([of(between), of(turned(between))]).toEqual([['outline'], ['rows']]);
    expect([of(lines), of(turned(lines))]).toEqual([['outline'], ['outline']]);
  });

  test('has one power, and no dots: coarse pictures are rows', () => {
    expect(kindsOf(slots(1.1, 300, 1000).replace('S1000', 'S900'))).toEqual(['rows']);
    const dots = Array.from({ length: 8 }, (_, k) =>
      Array.from(
        { length: 9 },
        (_, x) => `G0 X${2 * x} Y${(k * 1.1).toFixed(1)}\nG1 X${2 * x + 1} S300`,
      ).join('\n'),
    );
    expect(kindsOf(`G21 G90\nM3 S0 F900\n${dots.join('\n')}\nM5`)).toEqual(['rows']);
  });
});

describe('where a tone is of lines and not of an area, that is said', () => {
  const OF_LINES = /\(its lines; between them the wood stays bare\)/;
  const engrave = { speed: 3000, s: 300 };
  const job = (apartMm: number): string => slots(apartMm, engrave.speed, engrave.s);
  const square = 'G21 G90\nM3 S0 F3000\nG0 X5 Y5\nG1 X12 S300\nY12\nX5\nY5\nM5\n';
  const points = (text: string) =>
    pointsOf(readProgram(text, readOptions(machine)), { machine, material: poplar, thicknessMm: 3 });

  // The spot is 0.15 mm wide across them: up to 0.75 mm apart they are seen as one area.
  test.each([
    ['near', job(0.7), false],
    ['apart', job(0.8), true],
    ['an outline', square, false],
  ] as const)('by forecast and chart: %s', (_, text, isOfLines) => {
    const sentences = [
      ...becomesOf(forecast(text, machine, poplar, { stock })),
      ...points(text).map(pointSentence),
    ];
    expect(sentences).toHaveLength(2);
    for (const sentence of sentences) expect(OF_LINES.test(sentence)).toBe(isOfLines);
  });

  test('by the panel of a chart, and by what is suggested', () => {
    // Rows along x, across which it is 0.2 mm wide.
    for (const [rowSpacingMm, isOfLines] of [
      [0.9, false],
      [1.1, true],
    ] as const) {
      const use = { kind: 'rows', rowSpacingMm } as const;
      const chart = chartOf({ machine, material: poplar, thicknessMm: 3, passes: 1 }, [use]);
      const [panel] = chart.panels;
      expect(OF_LINES.test(panelSentence(panel!))).toBe(isOfLines);
      expect(chartNotes(chart).join(' ')).toMatch(isOfLines ? /are told by their lines/ : /show as stripes/);
      expect(headingWords(panel!)[1]).toMatch(isOfLines ? /dose along the middle of each$/ : /mean dose/);
      const { suggestions } = sentencesOf(
        suggest({ kind: 'tone', tone: 0.1 }, poplar, machine, { thicknessMm: 3, rowSpacingMm }),
      );
      expect(suggestions.length).toBeGreaterThan(0);
      for (const [, outcome] of suggestions) expect(OF_LINES.test(outcome!)).toBe(isOfLines);
    }
  });

  test('and their dark ends are found as those of rows are, but no stripes', () => {
    const kinds = (apartMm: number) =>
      forecast(job(apartMm), machine, poplar, { stock }).findings.map(({ kind }) => kind);
    expect(kinds(0.7)).toEqual(expect.arrayContaining(['stripes', 'dark-row-end']));
    expect(kinds(0.8)).toContain('dark-start-stop');
    expect(kinds(0.8)).not.toContain('stripes');
  });
});
