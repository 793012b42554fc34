import { describe, expect, test } from 'vitest';
import { colourDifference, labOf } from '../../src/burn/colour.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { FULL_CHAR_TONE } from '../../src/burn/tone.ts';

const tones = Array.from({ length: 101 }, (_, k) => k / 100);
const shipped = Object.entries(shippedMaterials);

describe.each(shipped)('the way of %s through CIELAB', (_, material) => {
  const path = tones.map((tone) => labOf(tone, material));
  const lightness = path.map(([l]) => l);
  const darkestAt = lightness.indexOf(Math.min(...lightness));

  test('runs from the bare to the char colour', () => {
    expect(path[0]).toEqual(material.colour.bare_lab.value);
    labOf(FULL_CHAR_TONE, material).forEach((value, k) => {
      expect(value).toBeCloseTo(material.colour.char_lab.value[k]!, 9);
    });
  });

  // Chernykh et al., Acta Fac. Xylologiae Zvolen: beech and aspen lighten again once carbonised.
  test('darkens all the way to full char, then lightens slightly', () => {
    expect(tones[darkestAt]).toBe(FULL_CHAR_TONE);
    for (let k = 1; k <= darkestAt; k++) expect(lightness[k]).toBeLessThan(lightness[k - 1]!);
    for (let k = darkestAt + 1; k <= 100; k++) expect(lightness[k]).toBeGreaterThan(lightness[k - 1]!);
    expect(lightness[100]! - lightness[darkestAt]!).toBeLessThan(4);
  });

  // "Impact of different radiation forms on beech wood discolouration", Wood Research: a*, b* rise, then fall.
  test.each([1, 2] as const)('component %i, warmth, rises once and falls once', (k) => {
    const values = path.map((lab) => lab[k]);
    const top = values.indexOf(Math.max(...values));
    expect(top).toBeGreaterThan(5);
    expect(top).toBeLessThan(60);
    for (let i = 1; i <= 90; i++) {
      if (i <= top) expect(values[i]).toBeGreaterThan(values[i - 1]!);
      else expect(values[i]).toBeLessThan(values[i - 1]!);
    }
    expect(values[90]).toBeLessThan(values[0]!);
  });

  test('departs ever farther from bare until full char', () => {
    for (let k = 1; k <= darkestAt; k++) {
      expect(colourDifference(path[k]!, path[0]!)).toBeGreaterThan(colourDifference(path[k - 1]!, path[0]!));
    }
  });
});

// Kubovsky et al. 2018, BioResources 13(2), 2515: the paler the wood, the larger the fall, to the same floor.
test('pale woods fall farther than beech, and all end equally dark', () => {
  const fall = (name: string) =>
    labOf(0, shippedMaterials[name]!)[0] - labOf(FULL_CHAR_TONE, shippedMaterials[name]!)[0];
  expect(fall('birch plywood')).toBeGreaterThan(fall('basswood'));
  expect(fall('basswood')).toBeGreaterThan(fall('beech'));
  const floors = shipped.map(([, m]) => labOf(FULL_CHAR_TONE, m)[0]);
  expect(Math.max(...floors) - Math.min(...floors)).toBeLessThan(5);
});

test('tones beyond 0…1 are held', () => {
  const spruce = shippedMaterials.spruce!;
  expect(labOf(-1, spruce)).toEqual(labOf(0, spruce));
  expect(labOf(2, spruce)).toEqual(labOf(1, spruce));
});

// CIE 1976: the Euclidean distance.
test('colour difference is the distance in L*a*b*', () => {
  expect(colourDifference([50, 2, 3], [53, 6, 15])).toBe(13);
});
