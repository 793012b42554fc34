import { describe, expect, test } from 'vitest';
import { type Material, readMaterial } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { plainDoseForTone } from '../../src/burn/tone.ts';
import { woodAnswer } from '../../src/burn/wood-answer.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { normalQuantile } from '../../src/dose/normal.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { type LearnOptions, learn } from '../../src/outcome/learn.ts';
import { readSaid } from '../../src/outcome/say.ts';
import type { ToneSeen } from '../../src/piece/tones.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { drawBoards } from '../../src/sure/boards.ts';
import { startSureness } from '../../src/sure/come-through.ts';
import { sharesOf } from '../../src/sure/contributions.ts';
import type { LeastPlace } from '../../src/sure/place.ts';
import { jointOf } from '../../src/sure/together.ts';
import { machineWith } from '../support/machines.ts';
import { tryWorkshop } from './simulate.ts';
import { swatchTrial, trySwatch } from './swatch-workshop.ts';

/** What burns that were told of teach, and what they do not. */

const wood = shippedMaterials['poplar plywood']!;
const machine = machineWith({ spot: { width_mm: [0.15, 0.15] } });
const stock = { widthMm: 30, heightMm: 20, thicknessMm: 4, xMm: 0, yMm: 0 };
const rows = Array.from({ length: 6 }, (_, k) => [
  `G1 X${k % 2 === 0 ? 3 : 9} Y${(2 + k * 0.1).toFixed(1)} S0 F3000`,
  `X${k % 2 === 0 ? 9 : 3} S220`,
]).flat();
const job = [
  'G21 G90',
  'M4 S0',
  'G0 X3 Y2',
  ...rows,
  'M5',
  'M3 S0',
  'G0 X3 Y12',
  'G1 X27 S1000 F700',
  'M5',
  'M2',
]
  .join('\n')
  .concat('\n');
const burn = { date: '2026-05-01', job: 'job.nc', jobHash: 'abc' };

const known = new Map<Material, Map<Machine, Forecast>>();
/** The forecast of the job with its line meant to cut, made once for a wood and a machine: nobody writes into it. */
function made(material: Material = wood, on: Machine = machine): Forecast {
  const ofWood = known.get(material) ?? new Map<Machine, Forecast>();
  known.set(material, ofWood);
  const before = ofWood.get(on);
  if (before) return before;
  const base = forecast(job, on, material, { stock, cellMm: 0.25 });
  const fresh = forecastChanged(base, parseChanges('2: cut'));
  ofWood.set(on, fresh);
  return fresh;
}
const taught = (words: string, material: Material = wood, options: LearnOptions = {}) =>
  learn(made(material), readSaid(words), burn, options);
const depth = (material: Material, on?: Machine) => made(material, on).cuts[0]!.shallowestMm;
const expected = depth(wood);

describe('a depth', () => {
  test('that is less than forecast makes the forecast less deep, and surer', () => {
    const told = Number((0.75 * expected).toFixed(1));
    const { material, sentence, isContradictory } = taught(`2: ${told} mm`);
    expect(isContradictory).toBe(false);
    expect(depth(material)).toBeLessThan(expected);
    expect(Math.abs(depth(material) - told)).toBeLessThan(0.5 * (expected - told));
    expect(material.removal_j_mm3.plus_minus! / material.removal_j_mm3.value).toBeLessThan(
      wood.removal_j_mm3.plus_minus! / wood.removal_j_mm3.value,
    );
    expect(sentence).toMatch(/^Learned: .*removal, before 2\.3 ± 0\.3, now 2\.\d+ ± 0\.\d+ J\/mm³/);
  });

  test('that is as forecast moves hardly anything', () => {
    const { material } = taught('2: as forecast');
    expect(Math.abs(depth(material) / expected - 1)).toBeLessThan(0.02);
    expect(material.removal_j_mm3.plus_minus!).toBeLessThan(wood.removal_j_mm3.plus_minus!);
  });

  test('each goes in the profile’s history, and the profile can be read again', () => {
    const { material } = taught('2: as forecast', taught('2: 1.2 mm; 1: darker').material);
    const again = readMaterial(JSON.parse(JSON.stringify(material)));
    expect(again).toEqual(material);
    expect(again.history.map(({ said, date, job_hash }) => [said, date, job_hash])).toEqual([
      ['2: 1.2 mm; 1: darker', '2026-05-01', 'abc'],
      ['2: as forecast', '2026-05-01', 'abc'],
    ]);
    expect(again.history[0]!.learned).toMatch(/^Learned: /);
  });
});

describe('a tone', () => {
  const tone = (material: Material) => made(material).operations[0]!;
  test('that is darker lowers what the wood needs; lighter raises it', () => {
    const dark = taught('1: darker').material;
    const light = taught('1: lighter').material;
    expect(dark.full_char_j_mm2.value).toBeLessThan(wood.full_char_j_mm2.value);
    expect(light.full_char_j_mm2.value).toBeGreaterThan(wood.full_char_j_mm2.value);
    expect(tone(dark).energyJ).toBeCloseTo(tone(light).energyJ, 9);
  });

  test('much darker teaches more than darker', () => {
    const value = (words: string) => taught(words).material.full_char_j_mm2.value;
    expect(value('1: much darker')).toBeLessThan(value('1: darker'));
  });
});

describe('wood and machine together', () => {
  test('the drawn numbers hang together as they were learned', () => {
    const { material } = taught('2: 1.4 mm; 1: darker');
    const { names, covariance, mean } = jointOf(material, machine)!;
    const boards = drawBoards(material, machine, stock);
    const at = names.indexOf('removal_j_mm3');
    const logs = Array.from(boards.power, (power, k) => [
      Math.log(power),
      Math.log(boards.material(k).removal_j_mm3.value / material.removal_j_mm3.value),
    ]);
    const average = (of: (pair: number[]) => number) =>
      logs.reduce((sum, pair) => sum + of(pair), 0) / logs.length;
    const [p, r] = [average(([a]) => a!), average(([, b]) => b!)];
    expect(p).toBeCloseTo(mean[0]!, 3);
    expect(r).toBeCloseTo(mean[at]!, 3);
    const both = average(([a, b]) => (a! - p) * (b! - r));
    expect(both).toBeCloseTo(covariance[0]![at]!, 3);
    expect(Math.abs(covariance[0]![at]!)).toBeGreaterThan(1e-3);
  });

  test('what is not known is told as it hangs together', () => {
    const { material } = taught('2: 1.4 mm; 1: darker');
    const sureness = startSureness(material, machine, stock);
    const need = woodAnswer(material, beamOf(machine)).doseForDepth(4, 0.01, 0);
    const place = (doseJPerMm2: number): LeastPlace => ({
      doseJPerMm2,
      dwellS: 0.01,
      headZMm: 0,
      passes: 1,
      perPassJPerMm2: doseJPerMm2,
      needTimes: 1,
      firings: null,
    });
    // By how much the logarithm of the margin varies on the drawn boards: from the chances of two doses.
    const z = (times: number) => normalQuantile(sureness.comesThrough(place(times * need)).chanceThrough);
    const drawn = Math.log(1.15 / 0.9) / (z(1.15) - z(0.9));
    const { effects } = sureness.cutUnsure(place(need));
    expect(Math.abs(Math.hypot(...effects.values()) / drawn - 1)).toBeLessThan(0.08);
    // As if each stood for itself it would be more: one burn told of their sum.
    const alone = startSureness({ ...material, learned: null }, machine, stock).cutUnsure(place(need));
    expect(Math.hypot(...alone.effects.values()) / drawn).toBeGreaterThan(1.15);
    const shares = sharesOf({ effects, ofSwatch: 0 }).map(([, share]) => share);
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
  });

  test('a suggestion is as sure as what was learned', () => {
    const { material } = taught('2: 1.4 mm; 1: darker');
    const tan = { kind: 'region', region: 'tan' } as const;
    const uncertainty = (of: Material) =>
      suggest(tan, of, machine, { thicknessMm: 4 }).suggestions[0]!.uncertainty!;
    expect(uncertainty(material)).toBeLessThan(0.9 * uncertainty({ ...material, learned: null }));
    expect(uncertainty(material)).toBeLessThan(uncertainty(wood));
  });

  test('what cannot hang together is refused when the profile is read', () => {
    const { material } = taught('2: 1.4 mm');
    const edited = (change: (learned: NonNullable<Material['learned']>) => void) => {
      const copy = JSON.parse(JSON.stringify(material));
      change(copy.learned);
      return () => readMaterial(copy, 'w.json');
    };
    expect(edited((learned) => learned.correlation.pop())).toThrow(
      /w\.json: found .* for learned\.correlation; expected a row and a column of correlation for each name/,
    );
    expect(edited((learned) => learned.names.reverse())).toThrow(
      /for learned\.names; expected optical_power and spot_width before all others/,
    );
    expect(edited((learned) => Object.assign(learned, { doubt: 0 }))).toThrow(/found 0 for learned\.doubt/);
    // Correlations that no numbers can have do no harm.
    const odd = edited((learned) => {
      for (const row of learned.correlation) row.fill(1);
    })();
    expect(drawBoards(odd, machine, stock).power.every((factor) => factor > 0)).toBe(true);
  });

  test('on another machine only the wood’s part is left', () => {
    const { material } = taught('2: 1.4 mm');
    expect(jointOf(material, machine)!.names.slice(0, 2)).toEqual(['optical_power', 'spot_width']);
    const other = machineWith({ name: 'another', spot: { width_mm: [0.15, 0.15] } });
    expect(jointOf(material, other)!.names).not.toContain('optical_power');
    expect(jointOf(wood, machine)).toBeNull();
  });

  test('the machine can be kept as learned, and forecasts alike with it', () => {
    const words = '2: 1.2 mm; 1: lighter';
    const kept = taught(words, wood, { keepsMachine: true });
    expect(kept.machine.laser.optical_power_w).toBeLessThan(machine.laser.optical_power_w);
    expect(kept.machine.plus_minus.optical_power_percent).toBeLessThan(10);
    const asItStands = taught(words).material;
    // The likeliest point of both is the same but for what is not straight in between.
    expect(Math.abs(depth(kept.material, kept.machine) / depth(asItStands) - 1)).toBeLessThan(0.1);
    expect(depth(kept.material, kept.machine)).toBeLessThan(expected);
  });

  test('burn after burn too shallow and too light: the laser is suspected', () => {
    const weak = {
      ...machine,
      laser: { ...machine.laser, optical_power_w: 0.65 * machine.laser.optical_power_w },
    };
    let material = wood;
    let remarks: readonly string[] = [];
    const first = `2: ${depth(wood, weak).toFixed(1)} mm; 1: much lighter`;
    // One burn may be its board's doing.
    expect(taught(first).remarks).toEqual([]);
    const really = depth(wood, weak).toFixed(1);
    for (const words of [first, `2: ${really} mm; 1: as forecast`, `2: ${really} mm`]) {
      ({ material, remarks } = taught(words, material));
    }
    expect(remarks.join(' ')).toMatch(
      /^Three burns say that the laser gives \d+ % less light than its profile says/,
    );
    expect(material.history.map(({ moved }) => Math.sign(moved!.optical_power_percent))).toEqual([
      -1, -1, -1,
    ]);
    // A burn that says the opposite is not counted with them.
    const against = taught('1: darker', material);
    expect(against.material.history.at(-1)!.moved!.optical_power_percent).toBeGreaterThan(0);
    expect(against.remarks.join(' ')).not.toMatch(/Four burns/);
    // What the machine's own profile has by then is not said of it again.
    const kept = taught(`2: ${really} mm`, material, { keepsMachine: true });
    expect(kept.material.history.filter(({ moved }) => moved)).toEqual([]);
  });
});

describe('what does not go together', () => {
  test('takes the wood back to what it was, and later burns are believed less', () => {
    const first = taught('1: much darker; 2: as forecast').material;
    expect(first.full_char_j_mm2.value).not.toBe(wood.full_char_j_mm2.value);
    const second = learn(made(first), readSaid('1: much lighter; 2: 0.3 mm'), burn);
    expect(second.isContradictory).toBe(true);
    expect(second.remarks.join(' ')).toMatch(/does not go together/);
    expect(second.sentence).toMatch(/^Gone back to what was known before/);
    expect(second.material.full_char_j_mm2.value).toBeCloseTo(wood.full_char_j_mm2.value, 6);
    expect(second.material.full_char_j_mm2.plus_minus).toBeCloseTo(wood.full_char_j_mm2.plus_minus!, 5);
    expect(second.material.history).toHaveLength(2);
    const later = taught('1: darker', second.material).material.full_char_j_mm2.value;
    expect(wood.full_char_j_mm2.value - later).toBeLessThan(
      0.6 * (wood.full_char_j_mm2.value - taught('1: darker').material.full_char_j_mm2.value),
    );
  });

  test('leaves the wood as it is where it is the first burn that is told of', () => {
    const { material, sentence, isContradictory } = taught('1: much lighter; 2: 3.9 mm');
    expect(isContradictory).toBe(true);
    expect(sentence).toMatch(/^Nothing was learned: /);
    for (const name of ['full_char_j_mm2', 'first_mark_j_mm2', 'removal_j_mm3'] as const) {
      expect(material[name].value).toBeCloseTo(wood[name].value, 6);
      expect(material[name].plus_minus).toBeCloseTo(wood[name].plus_minus!, 5);
    }
    expect(material.history).toHaveLength(1);
    expect(material.learned?.doubt).toBeGreaterThan(1);
  });

  test('one thing told that is rarer than once in sixty times is named, and learned from all the same', () => {
    // Deeper and deeper off, until it is odd; what is odd without being contradictory lies between.
    const lessons = [0.85, 0.7, 0.65, 0.6, 0.57, 0.54, 0.51, 0.48, 0.45].map((part) =>
      taught(`2: ${(part * expected).toFixed(2)} mm; 1: as forecast`),
    );
    expect(lessons[0]!.odd).toEqual([]);
    const { remarks, odd, material } = lessons.find((each) => each.odd.length > 0)!;
    expect(odd).toEqual([2]);
    expect(remarks.join(' ')).toMatch(
      /What was told of operation 2 \(“[\d.]+ mm”\) is to be expected less than once in sixty times/,
    );
    expect(material.removal_j_mm3.value).toBeGreaterThan(lessons[0]!.material.removal_j_mm3.value);
  });

  test.each([
    ['1: 2 mm', /found “2 mm” told of operation 1, which is rows; expected an outline/],
    ['2: darker', /found a tone told of operation 2, which is meant to cut; expected how deep it is/],
    ['darker', /found “darker” told of no operation; expected its number before a colon, as in 1: darker/],
    ['7: darker', /found operation 7; expected one of the job's, from 1 to 2/],
    ['2: 4.5 mm', /found a depth of 4\.5 mm reached in a board of 4 mm/],
    [
      '2: through; 2: not through',
      /found “through” and “not through” told of operation 2; expected one answer to how far it came/,
    ],
    [
      '1: lighter; 3.9 mm; 1: darker',
      /found “lighter” and “darker” told of operation 1; expected one answer to how dark it came out/,
    ],
    [
      '3.9 mm; 2: through',
      /found “3\.9 mm” and “through” told of operation 2; expected one answer to how far it came/,
    ],
  ])('%s is refused', (words, sentence) => {
    expect(() => taught(words)).toThrow(sentence);
  });

  test('dark corners say something of the machine’s speeds, of which nothing is learned', () => {
    const { remarks, material } = taught('1: corners dark');
    expect(remarks.join(' ')).toMatch(/Dark corners of operation 1 were (not )?forecast/);
    expect(material.full_char_j_mm2.value).toBeCloseTo(wood.full_char_j_mm2.value, 6);
  });
});

describe('words and a photo of one operation', () => {
  const shown = (shift: number, more: Partial<ToneSeen> = {}): ToneSeen => {
    const forecastTone = made().engravings.find(({ operation }) => operation === 1)!.tone;
    const lnTimes = shift * Math.log(wood.full_char_j_mm2.value / wood.first_mark_j_mm2.value);
    return {
      operation: 1,
      forecastTone,
      seenTone: forecastTone + shift,
      localTone: forecastTone + shift,
      lnTimes,
      isAtLeast: false,
      marks: [{ part: 1, plainJPerMm2: plainDoseForTone(forecastTone, wood) }],
      lnTimesPerLnWidth: 0,
      plusMinus: 0.05,
      byDoubt: [0.05, 0.03, 0.05, 0, 0],
      ...more,
    };
  };

  test.each([
    ['much darker', -0.02],
    ['darker', -0.1],
    ['lighter', 0.1],
    ['as forecast', 0.2],
    ['tone 5 %', 0],
  ])('that do not go together (%s, shown off by %d): the photo is taken, and it is told', (words, shift) => {
    const photo = [shown(shift)];
    const alone = taught('2: as forecast', wood, { photo });
    const both = taught(`1: ${words}; 2: as forecast`, wood, { photo });
    expect(both.material.full_char_j_mm2).toEqual(alone.material.full_char_j_mm2);
    expect(both.overruled).toEqual([1]);
    expect(both.told.map(({ operation, said }) => [operation, said.kind])).toEqual([
      [2, 'as forecast'],
      [1, 'tone'],
    ]);
    const [seen, forecastTone] = [photo[0]!.seenTone, photo[0]!.forecastTone].map((tone) =>
      Math.round(100 * tone),
    );
    expect(both.remarks).toContain(
      `Photo and words do not go together about operation 1: the photo shows tone ${seen} %, forecast ${forecastTone} %, and “${words}” was said; the photo was taken, the words were not.`,
    );
    expect(both.seen).toEqual(alone.seen);
  });

  test.each([
    ['much darker', 0.2, {}],
    ['darker', 0.04, {}],
    ['lighter', -0.08, {}],
    ['as forecast', 0.05, {}],
    ['much darker', 0.02, { isAtLeast: true }],
  ] as const)('that go together (%s, shown off by %d): the words count', (words, shift, more) => {
    const photo = [shown(shift, more)];
    const both = taught(`1: ${words}`, wood, { photo });
    expect(both.material.full_char_j_mm2).toEqual(taught(`1: ${words}`).material.full_char_j_mm2);
    expect(both.overruled).toEqual([]);
    expect(both.remarks.join(' ')).not.toMatch(/Photo and words/);
    // What the photo shows is told all the same.
    expect(both.seen).toEqual([expect.stringMatching(/^Operation 1 came out /)]);
  });

  test('of a cut, of which words tell the depth, have nothing to do with each other', () => {
    const photo = [{ ...shown(-0.3), operation: 2 }];
    expect(taught('2: as forecast', wood, { photo }).overruled).toEqual([]);
  });

  test('words that cannot be are refused beside a photo too', () => {
    expect(() => taught('2: darker', wood, { photo: [shown(0), { ...shown(-0.2), operation: 2 }] })).toThrow(
      /found a tone told of operation 2, which is meant to cut/,
    );
  });
});

describe('workshops with a truth of their own', () => {
  const typical = (values: readonly number[]) =>
    Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
  const trial = { material: wood, machine };

  test('five burns that were told of halve the error of tone', () => {
    const tried = Array.from({ length: 12 }, (_, k) => tryWorkshop({ ...trial, burns: 5 }, k + 1));
    const [before, after] = [
      typical(tried.map((each) => each.before)),
      typical(tried.map((each) => each.after)),
    ];
    expect(before).toBeGreaterThan(0.08);
    expect(after).toBeLessThan(0.5 * before);
    expect(tried.filter(({ flagged }) => flagged > 0).length).toBeLessThanOrEqual(1);
  }, 240_000);

  test('a swatch halves the error of tone, and what is sure then comes through', () => {
    const swatch = swatchTrial(wood, machine, [56, 50]);
    const tried = [4, 5, 6, 7, 8].map((seed) => trySwatch(swatch, seed));
    expect(tried.map(({ refused }) => refused)).toEqual([null, null, null, null, null]);
    expect(typical(tried.map((each) => each.after))).toBeLessThan(
      0.5 * typical(tried.map((each) => each.before)),
    );
    expect(tried.every(({ sureCame }) => sureCame)).toBe(true);
  }, 240_000);

  test('answers that are mixed up make it no worse than by a tenth, and are found out in part', () => {
    const tried = Array.from({ length: 12 }, (_, k) =>
      tryWorkshop({ ...trial, burns: 5, mixedUp: true }, k + 1),
    );
    const [before, after] = [
      typical(tried.map((each) => each.before)),
      typical(tried.map((each) => each.after)),
    ];
    expect(after).toBeLessThan(1.1 * before);
    expect(tried.some(({ flagged }) => flagged > 0)).toBe(true);
  }, 240_000);
});
