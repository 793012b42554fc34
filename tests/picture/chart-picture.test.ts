import { lab } from 'd3-color';
import { describe, expect, it } from 'vitest';
import { speedPower, type Use, wattsAt } from '../../src/burn/speed-power.ts';
import { type Chart, chartOf } from '../../src/chart/chart.ts';
import { chartNotes, pointSentence } from '../../src/chart/notes.ts';
import { pointsOf } from '../../src/chart/points.ts';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import { readOptions } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { type Box, crosses, onCurveAtY, overlap, textBox, within } from '../../src/picture/chart-labels.ts';
import { chartBurn } from '../../src/picture/chart-panel.ts';
import { type ChartPictureOptions, chartPicture, chartSheet } from '../../src/picture/chart-picture.ts';
import { setSheet } from '../../src/picture/sheet.ts';
import { textWidthPx } from '../../src/picture/text.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { readProgram } from '../../src/program/read.ts';
import { wood } from '../burn/anything.ts';
import { benchGantry, workshopGantry } from '../support/demo-machines.ts';
import { machineWith } from '../support/machines.ts';
import { seeded } from '../support/random.ts';
import { lineJob, rowsJob } from '../support/setting-jobs.ts';
import { expectPicture } from './snapshot.ts';

const line: Use = { kind: 'line' };
const rows = (rowSpacingMm: number): Use => ({ kind: 'rows', rowSpacingMm });

interface Scene {
  readonly chart: Chart;
  readonly options: ChartPictureOptions;
}

function sceneOf(
  name: string,
  machine: Machine,
  thicknessMm: number | null,
  uses: readonly Use[],
  job = '',
  widthPx = 760,
): Scene {
  const setup = { machine, material: wood(name), thicknessMm };
  const points = job === '' ? [] : pointsOf(readProgram(job, readOptions(machine)), setup);
  const chart = chartOf({ ...setup, passes: 1 }, uses, points);
  const options = {
    title: `Speed and power on ${name}`,
    about: `${thicknessMm ?? 'some'} mm thick, ${machine.name}`,
    operations: points.map(pointSentence),
    notes: chartNotes(chart),
    tonePath: tonePathOf(setup.material),
    widthPx,
  };
  return { chart, options };
}

const herbMarker =
  rowsJob({ feedMmPerMin: 3000, s: 600, rowSpacingMm: 0.1 }) +
  lineJob({ feedMmPerMin: 1200, s: 400, passes: 1 }) +
  lineJob({ feedMmPerMin: 240, s: 1000, passes: 5 });

describe('the chart picture', () => {
  it('shows both uses with the operations of a job', () => {
    const { chart, options } = sceneOf('poplar plywood', benchGantry, 4, [], herbMarker);
    expectPicture('chart-marker', chartPicture(chart, options, drawSvg));
  });

  it('shows one use alone, wide', () => {
    const { chart, options } = sceneOf('beech', workshopGantry, 6, [line]);
    expectPicture('chart-line', chartPicture(chart, options, drawSvg));
  });

  it('shows the steps of a controller with few power levels', () => {
    const machine = machineWith({
      max_speed_mm_s: [100, 100, 10],
      laser: { power_levels: 20, threshold_fraction: 0.12, optical_power_w: 5 },
    });
    const { chart, options } = sceneOf('leather-like', machine, null, [rows(0.1)]);
    expectPicture('chart-steps', chartPicture(chart, { ...options, grain: 0 }, drawSvg));
  });
});

describe('the board of a panel', () => {
  it('is burned at every place as that speed and power burn', () => {
    const { chart } = sceneOf('spruce', workshopGantry, 4, [rows(0.08), line]);
    for (const panel of chart.panels) {
      const [nx, ny] = [90, 60];
      const { tone, depthMm, through } = chartBurn(panel, { nx, ny, x0Mm: 0, y0Mm: 0, cellMm: 1 });
      expect(through).toBeNull();
      const answers = speedPower({ ...panel.work, thicknessMm: null });
      const [from, to] = panel.speedsMmPerS;
      for (let j = 0; j < ny; j += 7) {
        for (let i = 0; i < nx; i += 7) {
          const speed = from * (to / from) ** ((i + 0.5) / nx);
          const made = answers.outcome(speed, wattsAt(workshopGantry.laser, (j + 0.5) / ny));
          expect(tone[j * nx + i]).toBeCloseTo(made.tone, 3);
          expect(depthMm[j * nx + i]! / Math.max(0.01, made.depthMm)).toBeCloseTo(
            made.depthMm / Math.max(0.01, made.depthMm),
            2,
          );
        }
      }
    }
  });

  it('has the wood’s own tones: bare at the lower right, char at the upper left, paper where it is cut', () => {
    const { chart, options } = sceneOf('poplar plywood', benchGantry, 4, [line], '', 900);
    const picture = chartPicture(chart, { ...options, grain: 0 }, drawSvg);
    const at = (x: number, y: number) => {
      const k = (Math.round(y * picture.height) * picture.width + Math.round(x * picture.width)) * 4;
      const [r, g, b] = picture.data.subarray(k, k + 3);
      return [r!, g!, b!] as const;
    };
    const lightness = (rgb: readonly [number, number, number]) => lab(`rgb(${rgb.join(',')})`).l;
    const bare = wood('poplar plywood').colour.bare_lab.value[0];
    const char = wood('poplar plywood').colour.char_lab.value[0];
    expect(Math.abs(lightness(at(0.93, 0.61)) - bare)).toBeLessThan(6);
    expect(Math.abs(lightness(at(0.5, 0.28)) - char)).toBeLessThan(8);
    expect(at(0.08, 0.13)).toEqual([246, 241, 231]);
  });
});

/** Every text on the sheet as a box, moved and turned as its groups say. */
function boxesOf(svg: string): (Box & { text: string; sizePx: number })[] {
  const boxes: (Box & { text: string; sizePx: number })[] = [];
  const stack = [{ x: 0, y: 0, angle: 0 }];
  for (const [, tag, attributes, content] of svg.matchAll(/<(g|\/g|text)\b([^>]*)>([^<]*)/g)) {
    const now = stack.at(-1)!;
    if (tag === '/g') stack.pop();
    else if (tag === 'g') {
      const move = /translate\(([-\d.]+) ([-\d.]+)\)/.exec(attributes!) ?? ['', '0', '0'];
      const turn = Number(/rotate\(([-\d.]+)\)/.exec(attributes!)?.[1] ?? 0);
      // No group inside a turned one is moved.
      stack.push({ x: now.x + Number(move[1]), y: now.y + Number(move[2]), angle: (turn * Math.PI) / 180 });
    } else {
      const value = (name: string) => new RegExp(`${name}="([^"]*)"`).exec(attributes!)?.[1];
      const text = content!.replace(/&[a-z]+;/g, 'x');
      const sizePx = Number(value('font-size'));
      const width = textWidthPx(text, sizePx, value('font-weight') === '600');
      const anchor = value('text-anchor');
      const dx = Number(value(' x')) + (anchor === 'middle' ? 0 : anchor === 'end' ? -width / 2 : width / 2);
      const dy = Number(value(' y')) - 0.3 * sizePx;
      const [cos, sin] = [Math.cos(now.angle), Math.sin(now.angle)];
      boxes.push({
        text,
        sizePx,
        x: now.x + dx * cos - dy * sin,
        y: now.y + dx * sin + dy * cos,
        halfWidth: width / 2,
        halfHeight: 0.42 * sizePx,
        angle: now.angle,
      });
    }
  }
  return boxes;
}

describe('its words', () => {
  const machines = [
    benchGantry,
    workshopGantry,
    machineWith({ laser: { optical_power_w: 40 }, spot: { width_mm: [0.1, 0.1], rayleigh_mm: 1 } }),
    machineWith({ laser: { optical_power_w: 0.5, threshold_fraction: 0.3 }, max_speed_mm_s: [20, 20, 5] }),
    machineWith({ laser: { power_levels: 16 } }),
    machineWith({ max_speed_mm_s: [0.01, 0.01, 1] }),
    machineWith({ max_speed_mm_s: [1e5, 1e5, 1], laser: { optical_power_w: 9000 } }),
  ];
  const crowd = [1, 2, 3, 4, 5, 6]
    .map((k) => lineJob({ feedMmPerMin: 1200 + k, s: 400 + k, passes: k }))
    .join('');

  it('never run into each other, an axis or the edge, whatever machine, wood and job', () => {
    const random = seeded(5);
    for (const machine of machines) {
      for (const [k, job] of ['', herbMarker, crowd].entries()) {
        const names = ['poplar plywood', 'card', 'beech'];
        const thicknessMm = [4, null, 0.3, 12][Math.floor(random() * 4)]!;
        const uses = job === '' ? [[line], [rows(0.1)], [line, rows(0.1), rows(0.4)]][k % 3]! : [];
        const widthPx = 600 + Math.floor(random() * 1300);
        const { chart, options } = sceneOf(names[k]!, machine, thicknessMm, uses, job, widthPx);
        const { width, height, svg } = setSheet(chartSheet(chart, options));
        const boxes = boxesOf(svg);
        expect(boxes.length).toBeGreaterThan(15);
        const wrong: string[] = [];
        boxes.forEach((box, i) => {
          if (!within(box, width, height)) wrong.push(`${box.text} over the edge`);
          if (!(box.sizePx > 8)) wrong.push(`${box.text} too small`);
          for (const other of boxes.slice(i + 1))
            if (overlap(box, other)) wrong.push(`"${box.text}" and "${other.text}" overlap`);
        });
        expect(wrong).toEqual([]);
      }
    }
  }, 60_000);

  it('name every region, label doses, number operations and mark several passes', () => {
    const { chart, options } = sceneOf('poplar plywood', benchGantry, 4, [], herbMarker, 1800);
    const texts = boxesOf(setSheet(chartSheet(chart, options)).svg).map(({ text }) => text);
    for (const region of ['no mark', 'tan', 'brown', 'char', 'cut']) {
      // In each of two panels, and under its sample in the key.
      expect(
        texts.filter((text) => text === region),
        region,
      ).toHaveLength(3);
    }
    for (const text of [
      '1',
      '2',
      '3',
      '5 passes',
      'cut in 3 passes',
      '1 J/mm²',
      'speed, mm/min',
      'power, %',
      'guess',
    ]) {
      expect(texts, text).toContain(text);
    }
  });
});

describe('boxes and curves', () => {
  it('overlap exactly where some point lies in both', () => {
    const random = seeded(3);
    const box = (): Box => ({
      x: random() * 40,
      y: random() * 40,
      halfWidth: 2 + random() * 12,
      halfHeight: 1 + random() * 5,
      angle: random() * Math.PI,
    });
    const inside = (b: Box, x: number, y: number): boolean => {
      const [dx, dy] = [x - b.x, y - b.y];
      const [cos, sin] = [Math.cos(b.angle), Math.sin(b.angle)];
      return Math.abs(dx * cos + dy * sin) <= b.halfWidth && Math.abs(dy * cos - dx * sin) <= b.halfHeight;
    };
    let met = 0;
    for (let k = 0; k < 400; k++) {
      const [a, b] = [box(), box()];
      let shared = false;
      for (let u = -1; u <= 1; u += 0.1) {
        for (let v = -1; v <= 1; v += 0.1) {
          const [along, across] = [u * a.halfWidth, v * a.halfHeight];
          const [cos, sin] = [Math.cos(a.angle), Math.sin(a.angle)];
          shared ||= inside(b, a.x + along * cos - across * sin, a.y + along * sin + across * cos);
        }
      }
      if (shared) expect(overlap(a, b)).toBe(true);
      // A box half a step smaller that shares nothing with the samples of the other lies apart from it, or nearly.
      else
        expect(
          overlap(
            { ...a, halfWidth: a.halfWidth * 0.8, halfHeight: a.halfHeight * 0.8 },
            { ...b, halfWidth: b.halfWidth - 1, halfHeight: b.halfHeight - 1 },
          ),
        ).toBe(false);
      if (shared) met++;
    }
    expect(met).toBeGreaterThan(50);
    expect(met).toBeLessThan(350);
  });

  it('cross where a piece runs through, even with no end of it inside', () => {
    const box = textBox('1 J/mm²', 20, { x: 50, y: 50, angle: -0.6 });
    expect(
      crosses(
        [
          [0, 50],
          [100, 50],
        ],
        box,
      ),
    ).toBe(true);
    expect(
      crosses(
        [
          [50, 0],
          [50, 100],
        ],
        box,
      ),
    ).toBe(true);
    expect(
      crosses(
        [
          [0, 0],
          [40, 0],
        ],
        box,
      ),
    ).toBe(false);
    expect(
      crosses(
        [
          [0, 95],
          [100, 95],
        ],
        box,
      ),
    ).toBe(false);
    expect(
      crosses(
        [
          [50, 50],
          [51, 50],
        ],
        box,
      ),
    ).toBe(true);
  });

  it('are found by height, with the slope there', () => {
    const curve = [
      [0, 100],
      [10, 90],
      [10, 50],
      [40, 20],
    ] as const;
    expect(onCurveAtY(curve, 95)).toMatchObject({ x: 5, y: 95, angle: -Math.PI / 4 });
    expect(onCurveAtY(curve, 60)).toMatchObject({ x: 10, angle: -Math.PI / 2 });
    expect(onCurveAtY(curve, 35)!.x).toBe(25);
    expect(onCurveAtY(curve, 10)).toBeNull();
    expect(onCurveAtY(curve, 101)).toBeNull();
  });
});
