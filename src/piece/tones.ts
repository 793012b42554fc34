import { type DepthLaw, depthLaw } from '../burn/depth.ts';
import type { Material } from '../burn/material.ts';
import { isFilled } from '../burn/ripple.ts';
import { beamOf } from '../burn/speed-power.ts';
import { plainDoseForTone, toneOfPlainDose } from '../burn/tone.ts';
import { gatherEvidence, type OperationEvidence } from '../findings/evidence/evidence.ts';
import { type Forecast, toldOf } from '../forecast.ts';
import type { GridFrame } from '../grid.ts';
import { headZMm } from '../program/operations.ts';
import type { Areas } from './areas.ts';
import type { EvenLight } from './even-light.ts';
import {
  dosesByDoubt,
  NOTHING_OFF,
  type Off,
  offBy,
  PHOTO_DOUBTS,
  startLightOfDose,
  type Wood,
} from './light-of-doses.ts';
import type { Mark } from './looks-as.ts';
import { BINS, binsOf, countTiles, type Tile } from './tiles.ts';
import { startToldTone } from './told-tone.ts';

/**
 * How dark operations came out on a photo. The light of all cells that only one operation marks is what decides, bare
 * wood between its lines included, so that blur does not matter: its dose is multiplied until the wood of the profile would
 * show as much.
 */
export interface ToneSeen {
  readonly operation: number;
  /** What the forecast tells of the operation: of rows that are seen as one area the area's, bare wood between included. */
  readonly forecastTone: number;
  /** The same with doses as they were seen. */
  readonly seenTone: number;
  /** The tone that was seen of the marks themselves, bare wood between lines left out. */
  readonly localTone: number;
  /** As if the dose had been e^this as much; where {@link isAtLeast}, or more. */
  readonly lnTimes: number;
  /** Whether the photo tells no more than that: from about full char on wood looks the same. */
  readonly isAtLeast: boolean;
  /** Its marks by what they got: what the light was read of. */
  readonly marks: readonly Mark[];
  /** How much more it would be for each unit of ln of the spot's width: lines apart are as wide as that. */
  readonly lnTimesPerLnWidth: number;
  /** One standard uncertainty of it by what is the operation's own: grain, noise, places. */
  readonly plusMinus: number;
  /** What it would be more by, were the photo or the wood's colours one standard deviation off; see {@link PHOTO_DOUBTS}. */
  readonly byDoubt: readonly number[];
}

const MOST_LN_TIMES = 2.2;
/** No tone of a place is known better (a judgement). */
const LEAST_PLUS_MINUS = 0.04;
/**
 * Grain is alike over about so many mm²; and its bands go on for longer than any field is wide, so that what bare wood
 * would show within one is known from beside it no better than from so many places (measured on simulated boards, where a
 * field's mean light is off by 2 to 3 % whatever its size).
 */
const GRAIN_MM2 = 6;
const MOST_GRAINS = 2;
/** Beyond this an operation counts as not seen. */
const MOST_PLUS_MINUS = 0.5;
/**
 * How wide a spot burns is not known well, and the light of lines goes with their width, of rows apart too: their tone is
 * told no better than this (a judgement); and of a line that is to be this dark, width is all that the photo would tell.
 */
export const LINE_PLUS_MINUS = 0.2;
/** From here on tones hardly differ, and no more is told than that they are passed. */
const DARKEST_TOLD = 0.85;

/** @param skipped operations of whose tone nothing is to be told. */
export function tonesSeen(
  forecast: Forecast,
  frame: GridFrame,
  areas: Areas,
  even: EvenLight,
  skipped: ReadonlySet<number>,
): ToneSeen[] {
  const tilesOf = countTiles(forecast, frame, areas, even);
  const law = depthLaw(forecast.material, beamOf(forecast.machine));
  return gatherEvidence(toldOf(forecast)).operations.flatMap((each) => {
    const { n } = each.operation;
    const tiles = skipped.has(n) ? null : tilesOf.get(n);
    const shown = tiles && shownBy(tiles);
    const seen = shown && toneOf(shown, each, { forecast, law, scatter: even.scatter, frame });
    return seen ? [seen] : [];
  });
}

/** What all tiles of an operation show, and together. */
interface Shown {
  readonly tiles: readonly Tile[];
  readonly bins: Float64Array;
  readonly cells: number;
  /** Light over that of bare wood. */
  readonly seen: number;
}

function shownBy(all: readonly Tile[]): Shown | null {
  const tiles = all.filter(({ cells, bins }) => cells > 0 && bins.some((count) => count > 0));
  const cells = tiles.reduce((sum, each) => sum + each.cells, 0);
  if (cells === 0) return null;
  const bins = new Float64Array(BINS);
  for (const tile of tiles) for (let k = 0; k < BINS; k++) bins[k]! += tile.bins[k]!;
  return { tiles, bins, cells, seen: tiles.reduce((sum, tile) => sum + tile.seen, 0) / cells };
}

interface Around {
  readonly forecast: Forecast;
  readonly law: DepthLaw;
  readonly scatter: number;
  readonly frame: GridFrame;
}

function toneOf(shown: Shown, { operation, rows }: OperationEvidence, around: Around): ToneSeen | null {
  const { bins, seen } = shown;
  const { forecast, law } = around;
  const { material, machine, program } = forecast;
  const wood = { material, law };
  const hasLines = !isFilled(machine.spot, rows, headZMm(program, operation));
  const typicalJPerMm2 = typicalDose(bins, material);
  const toldTone = startToldTone(forecast, operation, rows, typicalJPerMm2);
  const forecastTone = toldTone(0);
  if (!rows && forecastTone >= DARKEST_TOLD) return null;

  const light = startMeanLight(bins, wood, NOTHING_OFF);
  const grain = grainLight(shown, around);
  const beyondLn = solveBeyondChar(bins, wood, seen - grain);
  // Rows apart still widen where their middles are black.
  const darkestLn =
    rows && hasLines ? null : Math.log(plainDoseForTone(DARKEST_TOLD, material) / typicalJPerMm2);
  const told = timesOf(solveLnTimes(light, seen), beyondLn, darkestLn);
  const sure = told && uncertaintyOf(shown, wood, told.lnTimes, grain);
  if (!told || !sure) return null;
  const { lnTimes } = told;
  return {
    operation: operation.n,
    forecastTone,
    seenTone: toldTone(lnTimes),
    localTone: toneOfPlainDose(typicalJPerMm2 * Math.exp(lnTimes), material),
    ...told,
    marks: marksOf(bins, material),
    lnTimesPerLnWidth: hasLines ? (1 - light(lnTimes)) / sure.darkPerLn - 1 : 0,
    plusMinus: Math.hypot(sure.plusMinus, hasLines ? LINE_PLUS_MINUS : 0),
    byDoubt: dosesByDoubt((off) => startMeanLight(bins, wood, off), lnTimes),
  };
}

/**
 * What is told of the least doses that show so much light, and whether it is at least that. Where far larger doses, of wood
 * that has lightened again, show as much and lie nearer to the forecast, nothing is.
 * @param beyondLn these larger doses; null: none.
 * @param darkestLn from where on tones are only passed; null: nowhere.
 */
function timesOf(
  leastLn: number,
  beyondLn: number | null,
  darkestLn: number | null,
): Pick<ToneSeen, 'lnTimes' | 'isAtLeast'> | null {
  const isDarker = leastLn > 0;
  if (!isDarker && beyondLn !== null && Math.abs(beyondLn) < -leastLn) return null;
  const most = Math.max(0, darkestLn ?? Infinity);
  const isAtLeast = isDarker && (beyondLn !== null || leastLn > most);
  return { lnTimes: isAtLeast ? Math.min(leastLn, most) : leastLn, isAtLeast };
}

/** One standard uncertainty of the mean light by what bare wood would show there. */
function grainLight({ cells, seen }: Shown, { scatter, frame: { cellMm } }: Around): number {
  const grains = (cells * cellMm * cellMm) / GRAIN_MM2;
  return (scatter * seen) / Math.sqrt(Math.min(MOST_GRAINS, Math.max(1, grains)));
}

/** How sure a multiple is by what is the operation's own; null where it is not seen. */
function uncertaintyOf(
  { tiles, cells, seen, bins }: Shown,
  wood: Wood,
  lnTimes: number,
  grain: number,
): { readonly plusMinus: number; readonly darkPerLn: number } | null {
  const STEP = 0.05;
  const lights = (of: Float64Array) =>
    [lnTimes, lnTimes + STEP, lnTimes - STEP].map(startMeanLight(of, wood, NOTHING_OFF));
  const darker = lights(bins)[0]! - seen;
  let [weights, squares] = [0, 0];
  for (const tile of tiles) {
    const [here, more, less] = lights(tile.bins) as [number, number, number];
    weights += (tile.cells * Math.abs(more - less)) / (2 * STEP);
    squares += (tile.seen - tile.cells * (here - darker)) ** 2;
  }
  const darkPerLn = weights / cells;
  if (!(darkPerLn > 0)) return null;
  const plusMinus = Math.hypot(LEAST_PLUS_MINUS, grain / darkPerLn, Math.sqrt(squares) / weights);
  return plusMinus < MOST_PLUS_MINUS ? { plusMinus, darkPerLn } : null;
}

/** The mean light over bare wood of cells in bins, by what (ln) their doses are multiplied. */
function startMeanLight(bins: Float64Array, wood: Wood, off: Off): (lnTimes: number) => number {
  const { least, perLn } = binsOf(wood.material);
  const lightOf = startLightOfDose(wood, off);
  const count = bins.reduce((sum, each) => sum + each, 0);
  return (lnTimes) => {
    let sum = bins[0]!;
    for (let bin = 1; bin < BINS; bin++)
      if (bins[bin]! > 0) sum += bins[bin]! * lightOf(least * Math.exp((bin - 0.5) / perLn + lnTimes));
    return sum / count;
  };
}

const SCAN_STEPS = 44;
const SCAN = Array.from({ length: SCAN_STEPS + 1 }, (_, k) => MOST_LN_TIMES * ((2 * k) / SCAN_STEPS - 1));

/**
 * By how much, ln, the doses are to be multiplied until the light is as seen, at the least: light falls as they rise, and from
 * full char on it may rise again. What is darker than all of them is as dark as the most.
 */
function solveLnTimes(light: (lnTimes: number) => number, seen: number): number {
  const above = SCAN.findIndex((lnTimes) => light(lnTimes) <= seen);
  if (above <= 0) return above < 0 ? MOST_LN_TIMES : -MOST_LN_TIMES;
  let [low, high] = [SCAN[above - 1]!, SCAN[above]!];
  for (let step = 0; step < 16; step++) {
    const middle = (low + high) / 2;
    if (light(middle) > seen) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * By how much, ln, the doses are to be multiplied for wood to show so much light beyond its darkest char, the nearest to the
 * forecast; null where it never does. How light char is, how much it lightens again and how a photo shows it in the dark are
 * taken as off by one standard deviation together.
 */
function solveBeyondChar(bins: Float64Array, wood: Wood, seen: number): number | null {
  const { material, law } = wood;
  const { lightening_l } = material.colour;
  const value = lightening_l.value + (lightening_l.plus_minus ?? 0);
  const lightens = { ...material, colour: { ...material.colour, lightening_l: { ...lightening_l, value } } };
  const lightened = startMeanLight(bins, { material: lightens, law }, NOTHING_OFF);
  const lights = SCAN.map(lightened);
  const rises = lights.findIndex((light, k) => k > 0 && light > lights[k - 1]! && lights[k - 1]! < seen);
  if (rises < 0) return null;
  const usual = startMeanLight(bins, wood, NOTHING_OFF);
  const off = PHOTO_DOUBTS.map((_, k) => startMeanLight(bins, wood, offBy(k)));
  const most = (lnTimes: number): number => {
    const here = usual(lnTimes);
    const more = [lightened, ...off].map((light) => light(lnTimes) - here);
    return here + Math.sqrt(more.reduce((sum, each) => sum + each * each, 0));
  };
  const found = SCAN.filter((lnTimes, k) => k >= rises && most(lnTimes) >= seen);
  return found.length > 0 ? found.reduce((a, b) => (Math.abs(b) < Math.abs(a) ? b : a)) : null;
}

/** The dose that stands for the operation: the mean of the logarithms, where what is marked darkens. */
function typicalDose(bins: Float64Array, material: Material): number {
  const { least, perLn } = binsOf(material);
  let [sum, weight] = [0, 0];
  for (let bin = 1; bin < BINS; bin++) {
    const ln = (bin - 0.5) / perLn;
    const share = bins[bin]! * toneOfPlainDose(least * Math.exp(ln), material);
    sum += share * ln;
    weight += share;
  }
  if (weight > 0) return least * Math.exp(sum / weight);
  const strongest = bins.findLastIndex((count) => count > 0);
  return least * Math.exp((Math.max(1, strongest) - 0.5) / perLn);
}

function marksOf(bins: Float64Array, material: Material): Mark[] {
  const { least, perLn } = binsOf(material);
  const count = bins.reduce((sum, each) => sum + each, 0);
  return [...bins].flatMap((each, bin) =>
    bin > 0 && each > 0 ? [{ plainJPerMm2: least * Math.exp((bin - 0.5) / perLn), part: each / count }] : [],
  );
}
