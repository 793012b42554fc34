import { beforeAll, describe, expect, test } from 'vitest';
import { toneOf } from '../../src/burn/tone.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { type Forecast, toldOf } from '../../src/forecast.ts';
import { learn } from '../../src/outcome/learn.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { type PieceReading, readPiece } from '../../src/piece/read-piece.ts';
import { forecastOf, machine, type Piece, photoOfPiece, pieces, wood } from './pieces.ts';

/** Tones read off photos of pieces, against the truth they were burned with; and what is learned from them. */

const [tag, coaster, label] = pieces as [Piece, Piece, Piece];
const burn = { date: '2026-05-01', job: 'job.nc', jobHash: '0' };

const straightTone = (made: Forecast, n: number): number => {
  const { straightJPerMm2, straightDwellS } = gatherEvidence(toldOf(made)).operations[n - 1]!;
  return toneOf(straightJPerMm2, straightDwellS, made.material, made.machine.laser.wavelength_nm);
};

describe('fields', () => {
  let expected: Forecast;
  let truth: Forecast;
  let reading: PieceReading;
  beforeAll(() => {
    expected = forecastOf(tag);
    const taken = photoOfPiece(tag, 3);
    truth = taken.truth;
    reading = readPiece(taken.photo, expected);
  }, 300_000);

  test('come out by their truth, each with its own uncertainty', () => {
    expect(reading.tones.map(({ operation }) => operation)).toEqual([1, 2]);
    for (const { operation, forecastTone, seenTone, plusMinus } of reading.tones) {
      const off = straightTone(truth, operation) - straightTone(expected, operation);
      expect(Math.abs(seenTone - forecastTone - off)).toBeLessThan(0.06);
      expect(plusMinus).toBeGreaterThan(0.03);
      expect(plusMinus).toBeLessThan(0.15);
    }
  });

  test('teach the wood the way they went, and history and notebook know it', () => {
    const lesson = learn(expected, [], burn, { photo: reading.tones });
    const now = forecastOf(tag, lesson.material);
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
    const { told } = learn(expected, readSaid('1: darker'), burn, { photo: reading.tones });
    expect(told.map(({ operation, said }) => [operation, said.kind])).toEqual([
      [1, 'shade'],
      [2, 'tone'],
    ]);
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
    expect(Math.abs(sum - Number(points))).toBeLessThanOrEqual(3);
    expect(parts).toMatch(/the wood \d+/);
  });
});

test('what is not to be told is said', () => {
  expect(() => learn(forecastOf(label), [], burn)).toThrow(/^found nothing told of the burn; expected/);
  const { photo } = photoOfPiece(label, 2);
  const { tones, notes } = readPiece(photo, forecastOf(label));
  // Lines that are to be black tell their width, not their tone.
  expect(tones).toEqual([]);
  expect(notes.join(' ')).toMatch(/The photo does not tell the tone of operation 1/);
}, 300_000);

test('a piece as it was forecast is seen as forecast', () => {
  const { photo } = photoOfPiece(coaster, 7, {}, { material: wood, machine });
  const { tones } = readPiece(photo, forecastOf(coaster));
  const field = tones.find(({ operation }) => operation === 1)!;
  expect(Math.abs(field.lnTimes)).toBeLessThan(0.1);
  expect(Math.abs(field.seenTone - field.forecastTone)).toBeLessThan(0.05);
}, 300_000);
