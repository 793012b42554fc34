import { labOf } from '../burn/colour.ts';
import { type DepthLaw, depthLaw, depthOfExcess } from '../burn/depth.ts';
import { needTimesAt } from '../burn/firing.ts';
import { floorShade } from '../burn/floor-shade.ts';
import type { Material } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { beamOf } from '../burn/speed-power.ts';
import { CHAR_BEGINS_TONE, FULL_CHAR_TONE, plainDoseForTone, toneOfPlainDose } from '../burn/tone.ts';
import type { Forecast } from '../forecast.ts';
import { cellAt, type GridFrame } from '../grid.ts';
import { linearOfLab } from '../photo/colour-space.ts';
import { codedOf, linearOf, luminance } from '../photo/photo.ts';
import type { Areas } from './areas.ts';
import type { EvenLight } from './even-light.ts';

/**
 * How dark operations came out on a photo. The light of all cells that only one operation marks is what decides, bare
 * wood between its lines included, so that neither blur nor the lines' width matter: its dose is multiplied until the
 * wood of the profile would show as much.
 */
export interface ToneSeen {
  readonly operation: number;
  /** Where the tone is told: at a dose that is typical of the operation, J/mm² at short dwell and the profile's own light. */
  readonly plainJPerMm2: number;
  readonly forecastTone: number;
  readonly seenTone: number;
  /** As if the dose had been e^this as much. */
  readonly lnTimes: number;
  /** One standard uncertainty of it by what is the operation's own: grain, noise, places. */
  readonly plusMinus: number;
  /** What it would be more by, were the photo or the wood's colours one standard deviation off; see {@link PHOTO_DOUBTS}. */
  readonly byDoubt: readonly number[];
}

/** What neither photo nor profile tells, one standard deviation each; all tones of a photo share it. */
export const PHOTO_DOUBTS = [
  'photo_contrast',
  'photo_bend',
  'tone_shape',
  'floor_shade',
  'char_lightness',
] as const;
/** Those of them that are the photo's; the others are the wood's colours. */
export const IS_OF_PHOTO: readonly boolean[] = [true, true, false, false, false];

/** As a fit to a swatch has them; judgements, whose reasons stand in `swatch/METHOD.md`. */
const CONTRAST_SIGMA = 0.05;
const BEND_SIGMA = 0.03;
const SHAPE_SIGMA = 0.12;
const FLOOR_SIGMA = 0.4;
const CHAR_SIGMA = 6;

/** Doses are counted in bins of their logarithm, between these multiples of first mark and full char. */
const BINS = 160;
const BELOW = 1 / 12;
const ABOVE = 40;
/** Tiles along either side of an operation's marks, by whose differences its own uncertainty is told. */
const TILES = 4;
const MOST_LN_TIMES = 2.2;
/** No tone of a place is known better (a judgement). */
const LEAST_PLUS_MINUS = 0.04;
/** Grain is alike over about so many mm². */
const GRAIN_MM2 = 6;
/** Beyond this an operation counts as not seen. */
const MOST_PLUS_MINUS = 0.5;
/**
 * How wide a spot burns is not known well, and a line's light goes with its width: its tone is told no better than this
 * (a judgement), and where it is to be this dark, width is all that the photo would tell.
 */
const LINE_PLUS_MINUS = 0.2;
const DARKEST_LINE = 0.85;

/** The marks of one tile of an operation. */
interface Tile {
  /** Cells of the burn in each bin, and those that are bare whatever happens. */
  readonly bins: Float64Array;
  seen: number;
  cells: number;
}

/** @param skipped operations of whose tone nothing is to be told. */
export function tonesSeen(
  forecast: Forecast,
  frame: GridFrame,
  areas: Areas,
  even: EvenLight,
  skipped: ReadonlySet<number>,
): ToneSeen[] {
  const { program, material, machine } = forecast;
  const tilesOf = countTiles(forecast, frame, areas, even);
  const law = depthLaw(material, beamOf(machine));
  return program.operations.flatMap(({ n, kind }) => {
    const tiles = tilesOf.get(n);
    if (!tiles || skipped.has(n)) return [];
    const seen = toneOfTiles(n, tiles, { material, law }, even.scatter, frame.cellMm);
    if (!seen || kind === 'rows') return seen ?? [];
    const plusMinus = Math.hypot(seen.plusMinus, LINE_PLUS_MINUS);
    return seen.forecastTone < DARKEST_LINE ? { ...seen, plusMinus } : [];
  });
}

interface Wood {
  readonly material: Material;
  readonly law: DepthLaw;
}

/** Where bin 0 lies: its dose, and by what the next is larger. */
function binsOf({ first_mark_j_mm2: first, full_char_j_mm2: full }: Material) {
  const least = BELOW * first.value;
  return { least, perLn: (BINS - 2) / Math.log((ABOVE * full.value) / least) };
}

/** The marks of all operations, tile by tile: what they got, and what the photo shows of them. */
function countTiles(
  { dose, burn, firings, material, machine }: Forecast,
  frame: GridFrame,
  { owner }: Areas,
  { ratio }: EvenLight,
): Map<number, Tile[]> {
  const boxes = new Map<number, [i0: number, j0: number, i1: number, j1: number]>();
  for (let k = 0; k < owner.length; k++) {
    const n = owner[k]!;
    if (n === 0) continue;
    const [i, j] = [k % frame.nx, Math.floor(k / frame.nx)];
    const box = boxes.get(n) ?? boxes.set(n, [i, j, i, j]).get(n)!;
    box[0] = Math.min(box[0], i);
    box[1] = Math.min(box[1], j);
    box[2] = Math.max(box[2], i);
    box[3] = Math.max(box[3], j);
  }
  const tiles = new Map<number, Tile[]>();
  for (const n of boxes.keys())
    tiles.set(
      n,
      Array.from({ length: TILES * TILES }, () => ({ bins: new Float64Array(BINS), seen: 0, cells: 0 })),
    );
  const tileAt = (cell: number): Tile | null => {
    const n = owner[cell]!;
    if (n === 0 || Number.isNaN(ratio[3 * cell]!)) return null;
    const [i0, j0, i1, j1] = boxes.get(n)!;
    const u = Math.floor((TILES * ((cell % frame.nx) - i0)) / (i1 - i0 + 1));
    const v = Math.floor((TILES * (Math.floor(cell / frame.nx) - j0)) / (j1 - j0 + 1));
    return tiles.get(n)![v * TILES + u]!;
  };
  for (let k = 0; k < owner.length; k++) {
    const tile = tileAt(k);
    if (!tile) continue;
    tile.seen += luminance(ratio[3 * k]!, ratio[3 * k + 1]!, ratio[3 * k + 2]!);
    tile.cells++;
  }
  const { least, perLn } = binsOf(material);
  const need = needOf(material, machine.laser.wavelength_nm);
  const { nx, ny, x0Mm, y0Mm, cellMm, data } = dose.grid;
  const timesAt = needTimesAt(firings, material);
  for (let j = 0, k = 0; j < ny; j++) {
    const yMm = y0Mm + (j + 0.5) * cellMm;
    for (let i = 0; i < nx; i++, k++) {
      const cell = cellAt(frame, x0Mm + (i + 0.5) * cellMm, yMm);
      const tile = cell < 0 ? null : tileAt(cell);
      if (!tile) continue;
      const got = data[k]!;
      const dwellS = got > 0 ? Math.exp(dose.doseLnDwell[k]! / got) : 0;
      const asked = needAt(need, dwellS) * timesAt(x0Mm + (i + 0.5) * cellMm, yMm);
      // Cells along lines show what the line's own path gets, which is more than their mean.
      const tone = burn.tone[k]!;
      const shown = tone > 0 ? plainDoseForTone(tone, material) : 0;
      const plain = Math.max(got / asked, shown);
      const bin = plain > least ? Math.min(BINS - 1, 1 + Math.floor(Math.log(plain / least) * perLn)) : 0;
      tile.bins[bin]!++;
    }
  }
  return tiles;
}

/** What a photo or a wood's colours may be off by, in standard deviations, in the order of {@link PHOTO_DOUBTS}. */
type Off = readonly number[];
const NOTHING_OFF: Off = [0, 0, 0, 0, 0];

/** The light over bare wood of a bin's middle, its dose times e^lnTimes. */
function lightOfBins({ material, law }: Wood, lnTimes: number, off: Off): Float64Array {
  const { least, perLn } = binsOf(material);
  const [contrast, bend, shape, floor, char] = off as [number, number, number, number, number];
  const { char_lab } = material.colour;
  const [l, a, b] = char_lab.value;
  const charL = Math.max(5, l + char * (char_lab.plus_minus ?? CHAR_SIGMA));
  const seen: Material = {
    ...material,
    colour: { ...material.colour, char_lab: { ...char_lab, value: [charL, a, b] } },
  };
  const bare = luminance(...linearOfLab(labOf(0, seen)));
  const begins = plainDoseForTone(CHAR_BEGINS_TONE, material);
  return Float64Array.from({ length: BINS }, (_, bin) => {
    if (bin === 0) return 1;
    const plain = least * Math.exp((bin - 0.5) / perLn + lnTimes);
    const tone = Math.min(FULL_CHAR_TONE, toneOfPlainDose(plain, material));
    if (tone === 0) return 1;
    const shaped = FULL_CHAR_TONE * (tone / FULL_CHAR_TONE) ** Math.exp(SHAPE_SIGMA * shape);
    const depthMm = depthOfExcess(law, plain - begins);
    const shade = 1 - (1 + FLOOR_SIGMA * floor) * (1 - floorShade(depthMm));
    const light = linearOf(codedOf(luminance(...linearOfLab(labOf(shaped, seen)))) * shade) / bare;
    const ln = Math.log(light);
    return Math.exp((1 + CONTRAST_SIGMA * contrast) * ln + BEND_SIGMA * bend * ln * ln);
  });
}

const meanLight = (bins: Float64Array, light: Float64Array): number => {
  let [sum, count] = [0, 0];
  for (let k = 0; k < BINS; k++) {
    sum += bins[k]! * light[k]!;
    count += bins[k]!;
  }
  return sum / count;
};

function toneOfTiles(
  operation: number,
  all: readonly Tile[],
  wood: Wood,
  scatter: number,
  cellMm: number,
): ToneSeen | null {
  const tiles = all.filter(({ cells, bins }) => cells > 0 && bins.some((count) => count > 0));
  const cells = tiles.reduce((sum, each) => sum + each.cells, 0);
  if (cells === 0) return null;
  const bins = new Float64Array(BINS);
  for (const tile of tiles) for (let k = 0; k < BINS; k++) bins[k]! += tile.bins[k]!;
  const seen = tiles.reduce((sum, tile) => sum + tile.seen, 0) / cells;
  const solve = (off: Off): number => solveLnTimes((ln) => meanLight(bins, lightOfBins(wood, ln, off)), seen);
  const lnTimes = solve(NOTHING_OFF);
  const STEP = 0.05;
  const [more, less] = [STEP, -STEP].map((by) => lightOfBins(wood, lnTimes + by, NOTHING_OFF));
  const here = lightOfBins(wood, lnTimes, NOTHING_OFF);
  let [weights, squares] = [0, 0];
  for (const tile of tiles) {
    const slope = (meanLight(tile.bins, more!) - meanLight(tile.bins, less!)) / (2 * STEP);
    const off = tile.seen / tile.cells - meanLight(tile.bins, here);
    weights += tile.cells * Math.abs(slope);
    squares += (tile.cells * off) ** 2;
  }
  const slope = weights / cells;
  if (!(slope > 0)) return null;
  const areaMm2 = cells * cellMm * cellMm;
  const grain = (scatter * seen) / slope / Math.sqrt(Math.max(1, areaMm2 / GRAIN_MM2));
  const plusMinus = Math.hypot(LEAST_PLUS_MINUS, grain, Math.sqrt(squares) / weights);
  if (!(plusMinus < MOST_PLUS_MINUS)) return null;
  const { material } = wood;
  const plainJPerMm2 = typicalDose(bins, wood);
  return {
    operation,
    plainJPerMm2,
    forecastTone: toneOfPlainDose(plainJPerMm2, material),
    seenTone: toneOfPlainDose(plainJPerMm2 * Math.exp(lnTimes), material),
    lnTimes,
    plusMinus,
    byDoubt: PHOTO_DOUBTS.map((_, k) => solve(NOTHING_OFF.map((_, j) => (j === k ? 1 : 0))) - lnTimes),
  };
}

/** By how much, ln, the doses are to be multiplied until the light is as seen; light falls as they rise. */
function solveLnTimes(light: (lnTimes: number) => number, seen: number): number {
  let [low, high] = [-MOST_LN_TIMES, MOST_LN_TIMES];
  for (let step = 0; step < 24; step++) {
    const middle = (low + high) / 2;
    if (light(middle) > seen) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The dose that stands for the operation: the mean of the logarithms, where what is marked darkens. */
function typicalDose(bins: Float64Array, { material }: Wood): number {
  const { least, perLn } = binsOf(material);
  let [sum, weight] = [0, 0];
  for (let bin = 1; bin < BINS; bin++) {
    const ln = (bin - 0.5) / perLn;
    const tone = toneOfPlainDose(least * Math.exp(ln), material);
    const share = bins[bin]! * tone;
    sum += share * ln;
    weight += share;
  }
  if (weight > 0) return least * Math.exp(sum / weight);
  const strongest = bins.findLastIndex((count) => count > 0);
  return least * Math.exp((Math.max(1, strongest) - 0.5) / perLn);
}
