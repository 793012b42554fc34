import { describe, expect, test } from 'vitest';
import { L_SEEN_FROM, labOf } from '../../src/burn/colour.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Change } from '../../src/change/change.ts';
import type { Changed } from '../../src/change/changed.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { readLines } from '../../src/change/line-table.ts';
import { changeLines, writeChanged } from '../../src/change/write-changed.ts';
import { evenLines } from '../../src/dosing/even-lines.ts';
import { trueTones } from '../../src/dosing/true-tones.ts';
import { TONE_ENDS } from '../../src/dosing/wish.ts';
import type { Finding } from '../../src/findings/finding.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { PICTURES, type Picture, type Raster, rasterJob, SMALL } from '../dosing/pictures.ts';
import { machineWith } from '../support/machines.ts';

/**
 * Whether tones are lost is asked of the burn itself: how dark a column of the picture is, rows and all that stays pale
 * between them, beside another.
 */

const basswood = shippedMaterials.basswood!;
const machineOf = (watts: number): Machine =>
  machineWith({ spot: { width_mm: [0.1, 0.1] }, laser: { optical_power_w: watts } });
const twiceAsStrong = (machine: Machine): Machine => machineOf(2 * machine.laser.optical_power_w);

const job = (picture: Picture, changes: Partial<Raster>): string =>
  rasterJob(picture, { ...SMALL, heightMm: 2.4, beamWord: 'M4', overscanMm: 2, ...changes });
const ramp = PICTURES.ramp!;
/** Three fifths of it are as dark as it gets. */
const darkSide: Picture = (x) => (x > 0.4 ? 1 : x / 0.4);

/** The job with changes, as it is written. */
function written(
  text: string,
  machine: Machine,
  changes: readonly Change[],
  dosed: (changed: Changed) => Changed = (changed) => changed,
): string {
  const table = readLines([text], readOptions(machine));
  const pieces: string[] = [];
  const changed = dosed(changeLines(table, changes, machine));
  writeChanged([text], table, changed, machine, (piece) => pieces.push(piece));
  return pieces.join('');
}

const inTrueTones = (text: string, machine: Machine): string =>
  written(
    text,
    machine,
    [],
    (changed) =>
      trueTones(changed, { machine, material: basswood, options: {} }, { ends: TONE_ENDS, photo: null })
        .changed,
  );

function look(text: string, machine: Machine) {
  const { findings, burn } = forecast(text, machine, basswood);
  /** The mean L* of a column in the middle rows; the picture lies from x = 5 to 17 and from y = 5 on. */
  const lightnessAt = (part: number): number => {
    const places = 3000;
    let sum = 0;
    for (let k = 0; k < places; k++) {
      const cell = cellAt(burn.frame, 5 + 12 * part, 6 + k / places);
      sum += labOf(burn.tone[cell]!, basswood)[0];
    }
    return sum / places;
  };
  return {
    lost: findings.find(({ kind }) => kind === 'tones-lost') as Finding | undefined,
    /** By how much L* one part of the picture is darker than another. */
    darker: (one: number, other: number): number => lightnessAt(other) - lightnessAt(one),
  };
}

describe('a job written by true tones', () => {
  // From rows a spot apart to rows three spots apart, whose middle is black by brown already.
  test.each([
    [0.1, darkSide, 20],
    [0.13, ramp, 20],
    [0.15, darkSide, 8],
    [0.3, ramp, 8],
  ])('of rows %d mm apart keeps its tones, and nothing else is told', (spacingMm, picture, watts) => {
    const machine = machineOf(watts);
    const { lost, darker } = look(inTrueTones(job(picture, { spacingMm }), machine), machine);
    expect(darker(0.35, 0.2)).toBeGreaterThan(L_SEEN_FROM);
    expect(lost).toBeUndefined();
  });

  test.each([
    [0.06, ramp, 0.8],
    [0.1, darkSide, 0.38],
  ])(
    'of rows %d mm apart loses them on a laser twice as strong, which is told',
    (spacingMm, picture, from) => {
      const machine = machineOf(20);
      const strong = twiceAsStrong(machine);
      const text = inTrueTones(job(picture, { spacingMm }), machine);
      const { lost, darker } = look(text, strong);
      expect(darker(0.95, from)).toBeLessThan(L_SEEN_FROM);
      expect(lost!.measure.lost_share).toBeGreaterThan(0.25);
      // What is advised gives back about what was meant.
      const mended = written(text, strong, parseChanges(lost!.advice!.change));
      expect(look(mended, strong).lost).toBeUndefined();
    },
  );
});

describe('rows further apart than the spot', () => {
  test('that are black in their middle still darken as they grow wider', () => {
    // From S441 on the middle gets what burns it black; the area is no darker than brown.
    const { lost, darker } = look(job(ramp, { spacingMm: 0.15 }), machineOf(8));
    expect(darker(0.95, 0.7)).toBeGreaterThan(2 * L_SEEN_FROM);
    expect(lost).toBeUndefined();
  });

  test('lose their tones where what lies between them burns black too', () => {
    const { lost, darker } = look(job(ramp, { spacingMm: 0.13 }), machineOf(80));
    expect(darker(0.95, 0.35)).toBeLessThan(L_SEEN_FROM);
    expect(lost!.message).toContain('from which on these rows look alike');
    expect(lost!.measure.dark_share).toBeCloseTo(0.72, 1);
  });
});

describe('where S follows the speed of the head', () => {
  const machine = machineOf(20);
  const evened = (text: string): string =>
    written(text, machine, [], (changed) => evenLines(changed, machine, 0.02).changed);

  test('rows of one level have no tones to lose, however many S they are written with', () => {
    const text = evened(job(() => 1, { beamWord: 'M3', overscanMm: 0 }));
    expect(new Set(text.match(/S[\d.]+/g)).size).toBeGreaterThan(20);
    expect(look(text, machine).lost).toBeUndefined();
  });

  test('a picture that burns too dark does still', () => {
    const text = job(ramp, { beamWord: 'M3', overscanMm: 0 });
    const share = (each: string) => look(each, machine).lost!.measure.dark_share as number;
    expect(share(evened(text))).toBeCloseTo(share(text), 2);
  });
});
