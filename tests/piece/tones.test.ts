import { beforeAll, describe, expect, test } from 'vitest';
import { stockBounds } from '../../src/board.ts';
import { labOf } from '../../src/burn/colour.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { statedRelative } from '../../src/burn/uncertainty.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { type Forecast, toldOf } from '../../src/forecast.ts';
import { type Lesson, learn } from '../../src/outcome/learn.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { labOfLinear, linearOfLab } from '../../src/photo/colour-space.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { viewOver } from '../../src/picture/view.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import { darkerSeen, darkerSentence } from '../../src/piece/darker.ts';
import { type PieceReading, readPiece } from '../../src/piece/read-piece.ts';
import {
  farthestOff,
  forecastBy,
  forecastOf,
  HALF_A_MM,
  isOnTag,
  machine,
  type Piece,
  photoOfPiece,
  pieces,
  type Taken,
  truthBySeed,
  wood,
} from './pieces.ts';

/**
 * Where photos of pieces are laid, and the tones read off them, against the truth they were burned with; and what is learned
 * from them.
 */

const [tag, coaster, label] = pieces as [Piece, Piece, Piece];
const burn = { date: '2026-05-01', job: 'job.nc', jobHash: '0' };

/** The photo is laid on its forecast by the job's own marks. */
function expectLaid(
  piece: Piece,
  { camera }: Taken,
  { registered: { view, plusMinusMm } }: PieceReading,
): void {
  expect(farthestOff(piece, forecastOf(piece), camera, view)).toBeLessThan(HALF_A_MM);
  expect(plusMinusMm).toBeLessThan(HALF_A_MM);
}

/** What a forecast's wood looks like, without a camera's faults; and where the board's corners lie on it. */
function pictureOf({ stock }: Piece, made: Forecast) {
  const view = viewOver(stockBounds(stock), made.burn.frame, 10 * stock.widthMm);
  const { widthPx, heightPx } = view;
  const points = [
    [0, heightPx],
    [widthPx, heightPx],
    [widthPx, 0],
    [0, 0],
  ] as const;
  return { photo: woodRaster(made.burn, view, tonePathOf(wood)), points };
}

const marks = ['first_mark_j_mm2', 'full_char_j_mm2'] as const;

const straightTone = (made: Forecast, n: number): number => {
  const { straightJPerMm2, straightDwellS } = gatherEvidence(toldOf(made)).operations[n - 1]!;
  return toneOf(straightJPerMm2, straightDwellS, made.material, made.machine.laser.wavelength_nm);
};

describe('fields', () => {
  let expected: Forecast;
  let truth: Forecast;
  let taken: Taken;
  let reading: PieceReading;
  beforeAll(() => {
    expected = forecastOf(tag);
    truth = forecastBy(tag, truthBySeed(tag, 3));
    taken = photoOfPiece(tag, 3, {}, truth);
    reading = readPiece(taken.photo, expected);
  }, 300_000);

  test('in an outline lie within half a millimetre of where they are', () => {
    expectLaid(tag, taken, reading);
  });

  test('come out by their truth, each with its own uncertainty', () => {
    expect(reading.tones.map(({ operation }) => operation)).toEqual([1, 2]);
    for (const { operation, forecastTone, seenTone, plusMinus } of reading.tones) {
      const off = straightTone(truth, operation) - straightTone(expected, operation);
      expect(Math.abs(seenTone - forecastTone - off)).toBeLessThan(0.06);
      expect(plusMinus).toBeGreaterThan(0.03);
      expect(plusMinus).toBeLessThan(0.15);
    }
  });

  test('come out the same where the piece was cut free and lies alone, found by the marks within its outline', () => {
    const { photo, camera } = photoOfPiece(tag, 3, { table: [0.08, 0.07, 0.06], isWood: isOnTag }, truth);
    const { registered, notes, tones, even } = readPiece(photo, expected);
    expect(farthestOff(tag, expected, camera, registered.view)).toBeLessThan(HALF_A_MM);
    expect(notes[0]).toMatch(/^The piece lies alone, cut free of its board/);
    expect(reading.notes.join()).not.toMatch(/alone/);
    expect(tones.map(({ operation }) => operation)).toEqual([1, 2]);
    for (const [k, { seenTone }] of tones.entries())
      expect(Math.abs(seenTone - reading.tones[k]!.seenTone)).toBeLessThan(0.03);
    // Nothing of the table is compared with wood.
    expect(Number.isNaN(even.ratio[0]!)).toBe(true);
  }, 300_000);

  test('show darker or lighter in L* where their tone is', () => {
    const { darkerL, frame, darker } = reading;
    expect(darkerL).toHaveLength(frame.nx * frame.ny);
    expect(darker.map(({ operation }) => operation)).toEqual([1, 2]);
    for (const [k, { darkerL: difference }] of darker.entries()) {
      const { seenTone, forecastTone } = reading.tones[k]!;
      // From bare to char this wood goes through some 65 of L*: so much of that as the tone differs.
      expect(difference).toBeGreaterThan(65 * (seenTone - forecastTone) - 6);
      expect(difference).toBeLessThan(65 * (seenTone - forecastTone) + 6);
    }
  });

  test('teach the wood the way they went, and history and notebook know it', () => {
    const lesson = learn(expected, [], burn, { photo: reading.tones });
    const now = forecastBy(tag, { material: lesson.material, machine });
    for (const n of [1, 2]) {
      const [before, after] = [straightTone(expected, n), straightTone(now, n)].map((tone) =>
        Math.abs(tone - straightTone(truth, n)),
      );
      expect(after).toBeLessThan(Math.max(0.03, 0.8 * before!));
    }
    const seen = reading.tones.map(
      ({ operation, seenTone }) => `${operation}: tone ${Math.round(100 * seenTone)} % on the photo`,
    );
    expect(lesson.material.history[0]!.said).toBe(seen.join('; '));
    expect(lesson.told.map(({ said }) => said.kind)).toEqual(['tone', 'tone']);
    expect(lesson.material.learned!.names).not.toContain('photo_contrast');
    expect(lesson.seen).toHaveLength(2);
    for (const sentence of lesson.seen)
      expect(sentence).toMatch(/^Operation \d came out (darker|lighter|as forecast)/);
  });

  test('are told in words instead where words were said', () => {
    const darker = reading.tones.map((each) =>
      each.operation === 1 ? { ...each, lnTimes: each.lnTimes + 0.5, seenTone: each.seenTone + 0.2 } : each,
    );
    const told = (photo: typeof reading.tones) =>
      learn(expected, readSaid('1: darker'), burn, { photo }).told.map(({ operation, said }) => [
        operation,
        said.kind,
      ]);
    expect(told(darker)).toEqual([
      [1, 'shade'],
      [2, 'tone'],
    ]);
    // Where the photo shows another tone than is said, it is the photo that counts.
    expect(told(reading.tones)).toEqual([
      [1, 'tone'],
      [2, 'tone'],
    ]);
  });

  test('count where only dark corners were said of them in words', () => {
    const { told, seen } = learn(expected, readSaid('1: corners dark'), burn, { photo: reading.tones });
    expect(told.map(({ operation, said }) => [operation, said.kind])).toEqual([
      [1, 'corners dark'],
      [1, 'tone'],
      [2, 'tone'],
    ]);
    expect(seen).toHaveLength(2);
  });

  test('the parts that explain a difference add up to it', () => {
    const dark = reading.tones.map((each) => ({
      ...each,
      lnTimes: each.lnTimes + 0.5,
      seenTone: each.seenTone + 0.2,
    }));
    const { seen } = learn(expected, [], burn, { photo: dark });
    const [, points, parts] = /Of these (\d+) points explain: (.*)\.$/.exec(seen[0]!)!;
    const sum = [...parts!.matchAll(/(-?\d+)(?=,| and|$)/g)].reduce(
      (total, [, part]) => total + Number(part),
      0,
    );
    expect(sum).toBe(Number(points));
    expect(parts).toMatch(/the wood \d+/);
  });

  test('teach more than the same said in words: less is left open of first mark and full char', () => {
    const leftBy = ({ material }: Lesson): number => {
      const [first, full] = marks.map((name) => statedRelative(material[name])) as [number, number];
      const { names, correlation } = material.learned!;
      const [i, j] = marks.map((name) => names.indexOf(name)) as [number, number];
      return first * full * Math.sqrt(1 - correlation[i]![j]! ** 2);
    };
    const before = statedRelative(wood.first_mark_j_mm2) * statedRelative(wood.full_char_j_mm2);
    for (const tone of reading.tones) {
      const photo = leftBy(learn(expected, [], burn, { photo: [tone] }));
      const { operation, seenTone } = tone;
      for (const words of ['as forecast', 'lighter', 'darker', `tone ${Math.round(100 * seenTone)} %`]) {
        const said = leftBy(learn(expected, readSaid(`${operation}: ${words}`), burn));
        expect(said, words).toBeGreaterThan(photo);
        expect(said, words).toBeLessThan(before);
      }
    }
  });
});

test('lines alone lie within half a millimetre of where they are, and what is not to be told of them is said', () => {
  expect(() => learn(forecastOf(label), [], burn)).toThrow(/^found nothing told of the burn; expected/);
  const taken = photoOfPiece(label, 2);
  const reading = readPiece(taken.photo, forecastOf(label));
  expectLaid(label, taken, reading);
  const { tones, notes } = reading;
  // Lines that are to be black tell their width, not their tone.
  expect(tones).toEqual([]);
  expect(notes.join(' ')).toMatch(/The photo does not tell the tone of operation 1/);
}, 300_000);

test('a piece as it was forecast is seen as forecast', () => {
  const { photo } = photoOfPiece(coaster, 7, {}, forecastOf(coaster));
  const { tones, darker } = readPiece(photo, forecastOf(coaster));
  const field = tones.find(({ operation }) => operation === 1)!;
  expect(Math.abs(field.lnTimes)).toBeLessThan(0.1);
  expect(Math.abs(field.seenTone - field.forecastTone)).toBeLessThan(0.05);
  expect(Math.abs(darker.find(({ operation }) => operation === 1)!.darkerL)).toBeLessThan(3);
}, 300_000);

test('a forecast’s own picture is seen as forecast, its lines too', () => {
  const made = forecastOf(coaster);
  const { photo, points } = pictureOf(coaster, made);
  const { tones, darker } = readPiece(photo, made, { points });
  expect(darker.map(({ operation }) => operation)).toEqual(made.program.operations.map(({ n }) => n));
  for (const { darkerL } of darker) expect(Math.abs(darkerL)).toBeLessThan(2);
  for (const { lnTimes } of tones) expect(Math.abs(lnTimes)).toBeLessThan(0.1);
}, 300_000);

test.each([0.8, 0.9, 1.06, 1.2])(
  'a picture of what %d of the power burns is told within half a point of tone',
  (times) => {
    const { laser } = machine;
    const optical_power_w = times * laser.optical_power_w;
    const truth = forecastBy(tag, {
      material: wood,
      machine: { ...machine, laser: { ...laser, optical_power_w } },
    });
    const { photo, points } = pictureOf(tag, truth);
    const { tones } = readPiece(photo, forecastOf(tag), { points });
    expect(tones.map(({ operation }) => operation)).toEqual([1, 2]);
    for (const { operation, seenTone } of tones) {
      const { tone } = truth.engravings.find((each) => each.operation === operation)!;
      expect(100 * Math.abs(seenTone - tone!)).toBeLessThan(0.5);
    }
  },
  300_000,
);

test.each([
  [0.4, 'The marks of operation 2 are as light on the photo as forecast, within 1 L*.'],
  [6.04, 'The marks of operation 2 are 6 L* darker on the photo than forecast.'],
  [-12.6, 'The marks of operation 2 are 13 L* lighter on the photo than forecast.'],
])('%d in L* is said in a sentence', (darkerL, words) => {
  expect(darkerSentence({ operation: 2, darkerL })).toBe(words);
});

describe('the difference of an operation', () => {
  const frame = { x0Mm: 0, y0Mm: 0, cellMm: 1, nx: 4, ny: 1 };
  const owner = Uint16Array.of(1, 1, 2, 0);
  const light = Float32Array.of(0.5, 1, 0.1, 0.1);
  const darkerL = new Float32Array(4);
  const lightness = (of: number): number => {
    const bare = linearOfLab(labOf(0, wood));
    return labOfLinear([of * bare[0], of * bare[1], of * bare[2]])[0];
  };
  const told = (seen: readonly number[], cellMm = 1, skipped: readonly number[] = []) =>
    darkerSeen(
      { darkerL, light, seen: Float32Array.from(seen) },
      { ...frame, cellMm },
      { owner },
      wood,
      new Set(skipped),
    );
  test('is that of its marks, and nobody else’s', () => {
    expect(told([0.25, 1, 0.55, 0.9])).toEqual([
      { operation: 1, darkerL: expect.closeTo(lightness(0.5) - lightness(0.25), 4) },
      { operation: 2, darkerL: expect.closeTo(lightness(0.1) - lightness(0.55), 4) },
    ]);
  });
  test('is none where the photo is only less sharp', () => {
    expect(told([0.7, 0.8, 0.1, 0.9])[0]!.darkerL).toBeCloseTo(0, 4);
  });
  test('is told of none that is left out, marks too little, or lies where the photo ends', () => {
    expect(told([0.5, 1, 0.1, 0.1], 1, [1]).map(({ operation }) => operation)).toEqual([2]);
    expect(told([0.5, 1, 0.1, 0.1], 0.9).map(({ operation }) => operation)).toEqual([2]);
    expect(told([NaN, NaN, 0.1, 0.1]).map(({ operation }) => operation)).toEqual([2]);
  });
});
