import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { lab } from 'd3-color';
import { describe, expect, test } from 'vitest';
import * as charcast from '../src/index.ts';

/** The public entry, as its users meet it. */
const machine = charcast.readMachine({ laser: { optical_power_w: 5 } });
const wood = charcast.shippedMaterials.basswood!;
const JOB = 'G21\nM3 S500\nG1 X10 F600\nM5\n';
const made = charcast.forecast(JOB, machine, wood, { cellMm: 0.1 });

describe('unknown options are refused, by name', () => {
  const stock = { widthMm: 80, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 };
  const { swatch } = charcast.makeSwatch(machine, stock);
  const replay = charcast.replaySwatch(swatch, charcast.shippedMaterials['poplar plywood']!);
  const photo = { width: 1, height: 1, data: new Uint8Array(4) };
  const odd = { cellmm: 0.1 } as never;
  const drawSvg = () => ({ width: 1, height: 1, data: new Uint8ClampedArray(4) });
  test.each<[string, () => unknown]>([
    ['forecast', () => charcast.forecast(JOB, machine, wood, odd)],
    ['readProgram', () => charcast.readProgram(JOB, odd)],
    ['startWhatIf', () => charcast.startWhatIf(made, odd)],
    ['startWhatIf', () => charcast.forecastChanged(made, [], odd)],
    [
      'learn',
      () => charcast.learn(made, charcast.readSaid('1: darker'), { date: '', job: '', jobHash: '' }, odd),
    ],
    ['suggest', () => charcast.suggest(charcast.readWant('tan'), wood, machine, odd)],
    ['makeSwatch', () => charcast.makeSwatch(machine, stock, odd)],
    ['readPhoto', () => charcast.readPhoto(photo, swatch, odd)],
    ['fitSwatch', () => charcast.fitSwatch(swatch, replay, {} as never, odd)],
    [
      'machineFromListing',
      () => charcast.machineFromListing('$110=6000', { laser: { optical_power_w: 5 } }, odd),
    ],
    ['paintBurn', () => charcast.paintBurn(made.burn, wood, odd)],
    ['burnPicture', () => charcast.burnPicture(made.burn, odd, drawSvg)],
    ['dosePicture', () => charcast.dosePicture(made.dose.grid, odd, drawSvg)],
  ])('%s', (name, call) => {
    expect(call).toThrow(charcast.InputError);
    expect(call).toThrow(new RegExp(`^found the unknown option cellmm for ${name}; expected \\w+`));
  });
});

describe('colours and pictures', () => {
  test('a tone’s colour is its place in CIELAB, as d3-color turns it into sRGB', () => {
    for (const tone of [0, 0.2, 0.5, 0.9, 1]) {
      const { r, g, b } = lab(...charcast.labOf(tone, wood)).rgb();
      expect(charcast.colourOfTone(tone, wood)).toEqual([r, g, b]);
    }
    const bare = wood.colour.bare_lab.value;
    expect(charcast.labOf(0, wood)).toEqual(bare);
    expect(charcast.colourOfTone(-3, wood)).toEqual(charcast.colourOfTone(0, wood));
  });

  test('a picture is painted to the size asked for, dark where it burned and bare beside', () => {
    const bounds = { minXMm: 0, minYMm: -2, maxXMm: 10, maxYMm: 2 };
    const picture = charcast.paintBurn(made.burn, wood, { bounds, longSidePx: 200, grain: 0 });
    expect([picture.width, picture.height]).toEqual([200, 80]);
    expect(picture.data).toHaveLength(4 * 200 * 80);
    const lightAt = (x: number, y: number) => picture.data[4 * (y * 200 + x) + 1]!;
    expect(lightAt(100, 40)).toBeLessThan(0.7 * lightAt(100, 5));
    // The bare wood's own colour, but for the light that falls from the upper left.
    expect(lightAt(100, 5) / charcast.colourOfTone(0, wood)[1]).toBeCloseTo(1, 1);
    expect(() => charcast.paintBurn(made.burn, wood, { longSidePx: 3 })).toThrow(RangeError);
  });
});

describe('the beam in time', () => {
  test('power at a time is the closed form of one straight line under constant and proportional power', () => {
    const at = charcast.timelineOf(made.motion, machine);
    // 10 mm/s at 500 mm/s²: at speed after 0.02 s; S500 of 1000 is 2.5 W.
    expect(at.at(0.5)).toMatchObject({ commandedW: 2.5, emittedW: 2.5, speedMmPerS: 10 });
    const rising = charcast.forecast(JOB.replace('M3', 'M4'), machine, wood, { cellMm: 0.1 });
    expect(charcast.timelineOf(rising.motion, machine).at(0.01).emittedW).toBeCloseTo(1.25, 9);
    expect(charcast.powerModeName(made.program.moves.powerMode[0]!)).toBe('constant');
    expect(charcast.powerModeName(rising.program.moves.powerMode[0]!)).toBe('proportional');
    expect(charcast.powerModeName(0)).toBe('off');
    expect(() => charcast.powerModeName(3)).toThrow(/invalid power mode: 3/);
  });
});

test('every function of the entry says what it does where it stands', () => {
  const file = (name: string) =>
    readFileSync(fileURLToPath(new URL(`../src/${name}`, import.meta.url)), 'utf8');
  const entries = Array.from(
    file('index.ts').matchAll(/export \{([^}]*)\} from '\.\/([^']+)'/g),
    ([, names, from]) =>
      names!
        .split(',')
        .map((name) => name.trim())
        .filter((name) => name !== '' && !name.startsWith('type '))
        .map((name) => [name, from!] as const),
  ).flat();
  expect(entries.length).toBeGreaterThan(35);
  const undocumented = entries.filter(([name, from]) => {
    const text = file(from);
    const at = text.search(new RegExp(`^export (?:class|const|function\\*?) ${name}\\b`, 'm'));
    expect(at, `${name} in ${from}`).toBeGreaterThanOrEqual(0);
    return !/\*\/\s*$/.test(text.slice(0, at));
  });
  expect(undocumented).toEqual([]);
});
