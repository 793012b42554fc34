import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { demoJobs, demoMachines } from '../../src/demo/index.ts';
import { makeJobs } from '../../src/demo/make.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { readProgram } from '../../src/program/read.ts';
import { font } from './font.ts';
import { boxOf, burns, pointsOf, type Step, walk } from './walk.ts';

const made = makeJobs(font);
const machineOf = (name: keyof typeof demoMachines) => readMachine(demoMachines[name], name);
const inPart = (steps: readonly Step[], part: string) => steps.filter((step) => step.part.startsWith(part));
const rowsOf = (steps: readonly Step[]) => new Set(steps.filter(burns).map((step) => step.toMm[1]));

describe('the machines', () => {
  it.each(Object.keys(demoMachines) as (keyof typeof demoMachines)[])('%s is a sound profile', (name) => {
    const machine = machineOf(name);
    expect(machine.name).toBe(name.replace('-', ' '));
    expect(machine.laser.s_max).toBe(1000);
  });

  it('differ as told: one small and slow, one fast', () => {
    const bench = machineOf('bench-gantry');
    const workshop = machineOf('workshop-gantry');
    expect(workshop.acceleration_mm_s2[0]).toBeGreaterThan(5 * bench.acceleration_mm_s2[0]);
    expect(workshop.laser.optical_power_w).toBeGreaterThan(2 * bench.laser.optical_power_w);
    expect(bench.cornering.rule).not.toBe(workshop.cornering.rule);
  });
});

describe.each(demoJobs.map((job) => [job.name, job] as const))('%s', (name, job) => {
  const text = readFileSync(new URL(`../../src/demo/jobs/${name}.nc`, import.meta.url), 'utf8');
  const steps = walk(text);
  const machine = machineOf(job.machine);
  const { stock } = job;

  it('is on disk what the generator makes, byte for byte, and what the demo hands out', async () => {
    expect(text === made[name]).toBe(true);
    expect((await job.readText()) === text).toBe(true);
  });

  it('keeps a reasonable size', () => expect(text.length).toBeLessThan(600_000));

  it('stays on its board and the board on the bed, overscan included', () => {
    const box = boxOf(steps);
    const [bedX, bedY] = machine.work_area_mm;
    expect(box.minX).toBeGreaterThanOrEqual(stock.xMm);
    expect(box.minY).toBeGreaterThanOrEqual(stock.yMm);
    expect(box.maxX).toBeLessThanOrEqual(stock.xMm + stock.widthMm);
    expect(box.maxY).toBeLessThanOrEqual(stock.yMm + stock.heightMm);
    expect(stock.xMm + stock.widthMm).toBeLessThanOrEqual(bedX);
    expect(stock.yMm + stock.heightMm).toBeLessThanOrEqual(bedY);
  });

  it('burns inside what it cuts free, but for the cut', () => {
    const cut = boxOf(inPart(steps, 'Cut free').filter(burns));
    const inside = boxOf(steps.filter((step) => burns(step) && !step.part.startsWith('Cut')));
    expect(inside.minX).toBeGreaterThan(cut.minX + 1);
    expect(inside.minY).toBeGreaterThan(cut.minY + 1);
    expect(inside.maxX).toBeLessThan(cut.maxX - 1);
    expect(inside.maxY).toBeLessThan(cut.maxY - 1);
    expect(cut.minX).toBeCloseTo(5, 3);
    expect(cut.maxX).toBeCloseTo(125, 3);
  });

  it('engraves, scores, cuts holes, cuts free, in that order', () => {
    const order = [
      ...new Set(steps.map((step) => step.part.split(' ').slice(0, 2).join(' ').replace(':', ''))),
    ];
    const expected = ['Engrave', 'Score', 'Cut the', 'Cut free'];
    const places = order.map((part) => expected.findIndex((start) => part.startsWith(start)));
    expect(places).toEqual([...places].sort());
    expect(places).not.toContain(-1);
  });

  it('keeps S on the scale, feeds within the machine, and ends with the beam off', () => {
    const topMmPerMin = 60 * Math.min(machine.max_speed_mm_s[0], machine.max_speed_mm_s[1]);
    const feeds = new Set(steps.filter((step) => step.motion > 0).map((step) => step.feedMmPerMin));
    const levels = new Set(steps.map((step) => step.s));
    expect(Math.min(...feeds)).toBeGreaterThan(0);
    expect(Math.max(...feeds)).toBeLessThanOrEqual(topMmPerMin);
    expect(Math.min(...levels)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...levels)).toBe(machine.laser.s_max);
    expect(text.endsWith('M5\nM2\n')).toBe(true);
  });

  it('has arcs that end on their own circle', () => {
    // Common practice among open-source motion controllers refuses more than 0.005 mm; rounding the words to
    // a micrometre leaves at most 2 µm.
    const arcs = steps.filter((step) => step.centreMm);
    expect(arcs.length).toBeGreaterThan(0);
    for (const { fromMm, toMm, centreMm } of arcs) {
      const radius = (p: readonly [number, number]) => Math.hypot(p[0] - centreMm![0], p[1] - centreMm![1]);
      expect(Math.abs(radius(fromMm) - radius(toMm))).toBeLessThan(0.003);
    }
  });

  it('cuts every outline and hole closed, all passes from the same point', () => {
    const cut = steps.filter((step) => step.part.startsWith('Cut'));
    const loops: Step[][] = [];
    for (const step of cut) {
      if (step.motion === 0) loops.push([]);
      else loops.at(-1)!.push(step);
    }
    const passes = Number(/(\d+) passes/.exec(cut[0]!.part)![1]);
    expect(loops.length).toBeGreaterThan(0);
    for (const loop of loops) {
      const start = loop[0]!.fromMm;
      expect(loop.at(-1)!.toMm).toEqual(start);
      expect(loop.length % passes).toBe(0);
      const once = loop.slice(0, loop.length / passes).map((step) => step.toMm);
      expect(loop.map((step) => step.toMm)).toEqual(Array.from({ length: passes }, () => once).flat());
      expect(once.at(-1)).toEqual(start);
    }
  });

  it('never scores where it engraves', () => {
    // Closer than this, the two would darken each other.
    const clearMm = 0.2;
    const rows = new Map<number, [number, number][]>();
    for (const step of inPart(steps, 'Engrave').filter(burns)) {
      const key = step.toMm[1];
      const run: [number, number] = [
        Math.min(step.fromMm[0], step.toMm[0]),
        Math.max(step.fromMm[0], step.toMm[0]),
      ];
      rows.set(key, [...(rows.get(key) ?? []), run]);
    }
    const heights = [...rows.keys()];
    const touched = inPart(steps, 'Score')
      .filter(burns)
      .flatMap(pointsOf)
      .filter(([x, y]) =>
        heights
          .filter((height) => Math.abs(height - y) < clearMm)
          .some((height) => rows.get(height)!.some(([from, to]) => x > from - clearMm && x < to + clearMm)),
      );
    expect(touched).toEqual([]);
  });
});

describe('the two basil markers', () => {
  const bench = machineOf('bench-gantry');
  const first = walk(made.marker);
  const careful = walk(made['marker-careful']);
  const engraved = (steps: Step[]) => inPart(steps, 'Engrave').filter((step) => step.motion === 1);
  /** Line energy of all passes at full speed, J/mm. */
  const cutJPerMm = (steps: Step[]) => {
    const { feedMmPerMin, s, part } = inPart(steps, 'Cut free').find(burns)!;
    const passes = Number(/(\d+) passes/.exec(part)![1]);
    return (passes * bench.laser.optical_power_w * (s / bench.laser.s_max)) / (feedMmPerMin / 60);
  };

  it('burn the same picture: equal runs, equal scored lines', () => {
    const picture = (steps: Step[]) =>
      steps
        .filter((s) => burns(s) && !s.part.startsWith('Cut'))
        .map((s) => [s.fromMm, s.toMm, s.s, s.feedMmPerMin]);
    expect(picture(first)).toEqual(picture(careful));
    expect(rowsOf(engraved(first)).size).toBe(125);
  });

  it('engrave at feeds usual for wood', () => {
    // 2000 to 3000 mm/min: common practice, no source.
    for (const step of engraved(first)) {
      expect(step.feedMmPerMin).toBeGreaterThanOrEqual(2000);
      expect(step.feedMmPerMin).toBeLessThanOrEqual(3000);
    }
  });

  it('differ in power mode: constant for the first try, proportional with care', () => {
    expect(new Set(first.filter(burns).map((s) => s.power))).toEqual(new Set(['M3']));
    expect(new Set(careful.filter(burns).map((s) => s.power))).toEqual(new Set(['M4']));
  });

  it('differ in room to turn: none for the first try, more than v²/2a with care', () => {
    const neededMm = (3000 / 60) ** 2 / (2 * bench.acceleration_mm_s2[0]);
    /** The beam-off way between the last burn of each row and where the head leaves the row. */
    const roomMm = (steps: Step[]) =>
      [...rowsOf(steps)].map((y) => {
        const row = steps.filter((step) => step.fromMm[1] === y && step.toMm[1] === y);
        const off = row.at(-1)!;
        return burns(off) ? 0 : Math.abs(off.toMm[0] - off.fromMm[0]);
      });
    expect(Math.max(...roomMm(engraved(first)))).toBe(0);
    expect(Math.min(...roomMm(engraved(careful)))).toBeGreaterThan(neededMm);
  });

  it('differ in the cut: energy for less than a lossless kerf, energy as practice has it', () => {
    // 2.2 J/mm³ is the low end of the published energy to remove soft wood (spruce char depth under a radiant
    // heater: Parnicanova, Zachar, Kacikova 2024, Polymers 16(18), 2657); the kerf is as wide as the spot.
    const [across, along] = bench.spot.width_mm;
    const losslessJPerMm = 2.2 * ((across + along) / 2) * 4;
    expect(cutJPerMm(first)).toBeLessThan(0.6 * losslessJPerMm);
    // About three passes at 300 mm/min with 10 W: common practice, no source.
    expect(cutJPerMm(careful)).toBeGreaterThan((3 * 10) / (300 / 60));
  });
});

describe('the sign', () => {
  const steps = walk(made.sign);
  const picture = inPart(steps, 'Engrave the leaf in shades');

  it('is a picture in many shades, in many short moves', () => {
    const burned = picture.filter(burns);
    expect(burned.length).toBeGreaterThan(20_000);
    expect(new Set(burned.map((step) => step.s)).size).toBeGreaterThan(15);
    const lengths = burned.map((step) => Math.abs(step.toMm[0] - step.fromMm[0])).sort((a, b) => a - b);
    expect(lengths[Math.floor(lengths.length / 2)]).toBeLessThan(0.5);
  });

  it('burns above the threshold of its machine everywhere', () => {
    const workshop = machineOf('workshop-gantry');
    const leastS = Math.min(...picture.filter(burns).map((step) => step.s));
    expect(leastS / workshop.laser.s_max).toBeGreaterThan(2 * workshop.laser.threshold_fraction);
  });

  it('lies upright: the leaf points up, "Herb" stands above "garden"', () => {
    const leafRows = [...rowsOf(picture)].sort((a, b) => a - b);
    const burnedMm = (y: number) =>
      picture
        .filter((step) => burns(step) && step.toMm[1] === y)
        .reduce((sum, step) => sum + Math.abs(step.toMm[0] - step.fromMm[0]), 0);
    // An ovate leaf is broader in its lower half.
    expect(burnedMm(leafRows[Math.floor(leafRows.length * 0.3)]!)).toBeGreaterThan(
      1.2 * burnedMm(leafRows[Math.floor(leafRows.length * 0.8)]!),
    );
    const words = inPart(steps, 'Engrave: rows').filter(burns);
    const widthAt = (from: number, to: number) => {
      const box = boxOf(words.filter((step) => step.toMm[1] > from && step.toMm[1] < to));
      return box.maxX - box.minX;
    };
    expect(widthAt(42, 58)).toBeLessThan(widthAt(20, 37));
  });
});

describe('the set of three', () => {
  it('has three names, three holes, three outlines', () => {
    const steps = walk(made['marker-set']);
    const starts = (part: string) => inPart(steps, part).filter((step) => step.motion === 0).length;
    expect(starts('Cut the holes')).toBe(3);
    expect(starts('Cut free')).toBe(3);
  });
});

describe('as the program reader takes them', () => {
  const operationsOf = (name: keyof typeof made) =>
    readProgram(made[name], { arcToleranceMm: 0.002, dwellUnit: 's' });
  const story = (name: keyof typeof made) =>
    operationsOf(name).operations.map((o) => [o.kind, o.powerMode, Math.round(o.feedMmPerS * 60), o.passes]);

  it('leave nothing unexplained and end with the beam off', () => {
    for (const { name } of demoJobs) {
      const program = operationsOf(name);
      expect(program.notSimulated).toEqual([]);
      expect(program.understood).toEqual([]);
      expect(program.endsWithBeamOn).toBeNull();
    }
  });

  it('are engraving, scoring and a cut in passes', () => {
    expect(story('marker')).toEqual([
      ['rows', 'constant', 3000, 1],
      ['outline', 'constant', 1200, 1],
      ['outline', 'constant', 900, 2],
    ]);
    expect(story('marker-careful')).toEqual([
      ['rows', 'proportional', 3000, 1],
      ['outline', 'proportional', 1200, 1],
      ['outline', 'proportional', 240, 5],
    ]);
    for (const name of ['marker-set', 'sign'] as const) {
      expect(story(name)).toEqual([
        ['rows', 'proportional', 6000, 1],
        ['outline', 'proportional', 1800, 1],
        ['outline', 'proportional', 360, 3],
      ]);
    }
  });
});
