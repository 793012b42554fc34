import { expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { doseText } from '../../src/dosing/dose-job.ts';
import { TONE_ENDS } from '../../src/dosing/wish.ts';
import { gcode } from '../change/support.ts';
import { machineWith } from '../support/machines.ts';
import { PICTURES, rasterJob, SMALL } from './pictures.ts';

const machine = machineWith({ spot: { width_mm: [0.1, 0.1] } });
const setup = { machine, material: shippedMaterials['poplar plywood']!, options: {} };
const picture = rasterJob(PICTURES.waves!, { ...SMALL, widthMm: 8, heightMm: 1.5 });
const outline = gcode('G0 X4 Y4', 'M3 S300', 'G1 X15 F2400', 'Y8', 'X4', 'Y4', 'M5');

test('pictures get their tones, outlines even lines, in one text', () => {
  const wish = { even: true, tones: { ends: TONE_ENDS, photo: null } };
  const { text, tones, even, sentences } = doseText(picture + outline, [], setup, wish);
  expect(tones!.operations).toEqual([1]);
  expect(tones!.after.meanDeltaL).toBeLessThan(1);
  // What is measured of evenness is the outline alone: 30 mm of it.
  expect(even!.after.lengthMm).toBeCloseTo(30, 0);
  expect(even!.after.evenShare).toBeGreaterThan(0.99);
  expect(sentences.map((each) => each.split(':')[0])).toEqual(['Tones', 'Lines']);
  expect(text!.match(/; s follows the speed of the head/g)).toHaveLength(1);
});

test('tones count with the warmth that is left, unless it is left out', () => {
  const wish = { even: false, tones: { ends: TONE_ENDS, photo: null } };
  const warm = doseText(picture, [], setup, wish);
  expect(warm.tones!.after.meanDeltaL).toBeLessThan(1);
  // As a cool wood's, they would be off where it is warm.
  const cool = doseText(picture, [], { ...setup, options: { cool: true } }, wish);
  expect(warm.text).not.toBe(cool.text);
});

test('after changes of settings', () => {
  const { text } = doseText(outline, parseChanges('1: speed 1200'), setup, { even: true, tones: null });
  expect(text).toContain('F1200');
  expect(text).not.toContain('F2400');
});

test('nothing is written where nothing has to be done', () => {
  const { text, changed, sentences } = doseText(outline.replace('M3', 'M4'), [], setup, {
    even: true,
    tones: null,
  });
  expect([text, changed]).toEqual([null, null]);
  expect(sentences).toEqual(['Lines: they are as even as S can make them on this machine.']);
});
