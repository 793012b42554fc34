import { type Homography, scaleAt } from '../../photo/homography.ts';
import { LINEAR, luminance, type Photo } from '../../photo/photo.ts';
import { eachPixelIn } from '../../photo/pixels.ts';
import type { LadderLine } from '../swatch.ts';

/**
 * The equivalent width of a burned line: how wide a line of no light at all would have to be to take away as much
 * light. Unlike a width read at some level of grey it does not change when the photo is blurred, so it can be
 * told of lines that are hardly a pixel wide.
 *
 * Grain that runs along the line would pass for part of it. It goes on beyond the line's ends, so where the
 * wood there explains the wood beside the line, the line is compared with it.
 */
export interface LineWidth {
  readonly widthMm: number;
  /** One standard deviation: pieces of the line compared with each other, and the unevenness of the wood beside it. */
  readonly sigmaMm: number;
  /** How far the line lies from where it should, across it, mm. */
  readonly shiftMm: number;
}

/** Pieces along the line, and how much of either end is left out, mm. */
const PIECES = 6;
const ENDS_MM = 0.5;
/** The wood beyond the ends is looked at between these distances from them, mm. */
const BEYOND_MM = [0.45, 1.5] as const;
/** Light is gathered this far to either side; the wood beside it is compared up to the second distance. */
const REACH_MM = 0.55;
const BESIDE_MM = 1.2;
/** How far a line may lie from its place, where the lens bends straight things. */
const SEARCH_MM = 0.4;
/** Pixels looked at in one piece, at most. */
const PIECE_PX = 40_000;
/** From the middle to the first and the last bin, mm. */
const OUT_MM = BESIDE_MM + SEARCH_MM;

export function equivalentWidth(
  photo: Photo,
  map: Homography,
  back: Homography,
  line: LadderLine,
): LineWidth {
  const binMm = Math.max(0.01, 0.6 / scaleAt(map, line.at_mm));
  const length = line.length_mm;
  const profile = (fromMm: number, toMm: number) =>
    lightAcross(photo, { map, back }, line, [fromMm, toMm], binMm);
  const step = (length - 2 * ENDS_MM) / PIECES;
  const pieces = Array.from({ length: PIECES }, (_, k) =>
    profile(ENDS_MM + k * step, ENDS_MM + (k + 1) * step),
  );
  const whole = meanProfile(pieces);
  const beyond = meanProfile([
    profile(-BEYOND_MM[1], -BEYOND_MM[0]),
    profile(length + BEYOND_MM[0], length + BEYOND_MM[1]),
  ]);
  const grain = grainFrom(beyond, whole, binMm);
  const evened = (light: Float64Array) => light.map((each, k) => each / grain[k]!);
  const shiftMm = middleOf(evened(whole), binMm);
  const widths = pieces.map((piece) => widthOf(evened(piece), binMm, shiftMm));
  const widthMm = widths.reduce((sum, width) => sum + width, 0) / PIECES;
  const spread = widths.reduce((sum, width) => sum + (width - widthMm) ** 2, 0) / (PIECES - 1);
  // What unevenness on this scale adds up to over the line's own width, as if it came in patches so wide.
  const uneven = unevenness(evened(whole), binMm, shiftMm) * REACH_MM;
  return { widthMm, sigmaMm: Math.hypot(Math.sqrt(spread / PIECES), uneven), shiftMm };
}

/** Mean light across the line between two places along it, in bins from −OUT_MM to OUT_MM. */
function lightAcross(
  photo: Photo,
  { map, back }: Readonly<Record<'map' | 'back', Homography>>,
  line: LadderLine,
  [fromMm, toMm]: readonly [number, number],
  binMm: number,
): Float64Array {
  const [x0, y0] = line.at_mm;
  const alongX = line.along === 'x';
  const bins = Math.ceil((2 * OUT_MM) / binMm);
  const sums = new Float64Array(bins);
  const counts = new Float64Array(bins);
  const area = alongX
    ? { minXMm: x0 + fromMm, maxXMm: x0 + toMm, minYMm: y0 - OUT_MM, maxYMm: y0 + OUT_MM }
    : { minXMm: x0 - OUT_MM, maxXMm: x0 + OUT_MM, minYMm: y0 + fromMm, maxYMm: y0 + toMm };
  const linear = LINEAR;
  const { data } = photo;
  eachPixelIn(photo, map, back, area, PIECE_PX, (xMm, yMm, at) => {
    const across = alongX ? yMm - y0 : xMm - x0;
    const bin = Math.min(bins - 1, Math.floor((across + OUT_MM) / binMm));
    sums[bin]! += luminance(linear[data[at]!]!, linear[data[at + 1]!]!, linear[data[at + 2]!]!);
    counts[bin]! += 1;
  });
  return filled(sums.map((sum, bin) => sum / counts[bin]!));
}

/** Bins that no pixel's centre fell into take their neighbours' mean. */
function filled(profile: Float64Array): Float64Array {
  for (let k = 0; k < profile.length; k++) {
    if (Number.isFinite(profile[k]!)) continue;
    const before = k > 0 ? profile[k - 1]! : Number.NaN;
    const after = profile.subarray(k + 1).find(Number.isFinite);
    profile[k] = Number.isFinite(before)
      ? after === undefined
        ? before
        : (before + after) / 2
      : (after ?? 0);
  }
  return profile;
}

function meanProfile(profiles: readonly Float64Array[]): Float64Array {
  return profiles[0]!.map(
    (_, k) => profiles.reduce((sum, profile) => sum + profile[k]!, 0) / profiles.length,
  );
}

const placeOf = (bin: number, binMm: number): number => (bin + 0.5) * binMm - OUT_MM;

/**
 * The grain's own light across the line, relative, from the wood beyond its ends; smoothed a little, and 1 all over
 * where that does not make the wood beside the line more even.
 */
function grainFrom(beyond: Float64Array, whole: Float64Array, binMm: number): Float64Array {
  const level = lineThrough(beyond, binMm, 0);
  const relative = beyond.map((light, bin) => light / level(placeOf(bin, binMm)));
  const smooth = relative.map(
    (each, k) => (2 * each + (relative[k - 1] ?? each) + (relative[k + 1] ?? each)) / 4,
  );
  const evened = whole.map((light, k) => light / smooth[k]!);
  return unevenness(evened, binMm, 0) < unevenness(whole, binMm, 0) ? smooth : smooth.map(() => 1);
}

/** How far the wood beside the line strays from a straight line of light, relative. */
function unevenness(profile: Float64Array, binMm: number, middleMm: number): number {
  const level = lineThrough(profile, binMm, middleMm);
  const beside = besideOf(profile, binMm, middleMm);
  return Math.sqrt(
    beside.reduce((sum, { at, light }) => sum + (1 - light / level(at)) ** 2, 0) / beside.length,
  );
}

/** The middle of the line's darkness within the search, mm; 0 where there is too little of it. */
function middleOf(profile: Float64Array, binMm: number): number {
  const level = lineThrough(profile, binMm, 0);
  const noise = unevenness(profile, binMm, 0);
  let sum = 0;
  let moment = 0;
  profile.forEach((light, bin) => {
    const at = placeOf(bin, binMm);
    const dark = 1 - light / level(at);
    if (Math.abs(at) > SEARCH_MM + 0.15 || dark < 4 * noise) return;
    sum += dark;
    moment += dark * at;
  });
  return sum > 0 ? Math.min(SEARCH_MM, Math.max(-SEARCH_MM, moment / sum)) : 0;
}

/** Σ (1 − light / light of the wood beside it) · bin. */
function widthOf(profile: Float64Array, binMm: number, middleMm: number): number {
  const level = lineThrough(profile, binMm, middleMm);
  let width = 0;
  profile.forEach((light, bin) => {
    const at = placeOf(bin, binMm);
    // The share of the bin that lies within reach, so that no whole bin comes or goes with the middle.
    const within = (REACH_MM + binMm / 2 - Math.abs(at - middleMm)) / binMm;
    const share = Math.min(1, Math.max(0, within));
    if (share > 0) width += share * (1 - light / level(at)) * binMm;
  });
  return width;
}

function besideOf(profile: Float64Array, binMm: number, middleMm: number): { at: number; light: number }[] {
  const beside: { at: number; light: number }[] = [];
  profile.forEach((light, bin) => {
    const at = placeOf(bin, binMm);
    const away = Math.abs(at - middleMm);
    if (away > REACH_MM + binMm && away < BESIDE_MM) beside.push({ at, light });
  });
  return beside;
}

/** The straight line of light through the wood on both sides. */
function lineThrough(profile: Float64Array, binMm: number, middleMm: number): (atMm: number) => number {
  const beside = besideOf(profile, binMm, middleMm);
  const n = beside.length;
  const meanAt = beside.reduce((sum, { at }) => sum + at, 0) / n;
  const meanLight = beside.reduce((sum, { light }) => sum + light, 0) / n;
  const slope =
    beside.reduce((sum, { at, light }) => sum + (at - meanAt) * (light - meanLight), 0) /
    beside.reduce((sum, { at }) => sum + (at - meanAt) ** 2, 0);
  return (atMm) => meanLight + slope * (atMm - meanAt);
}
