import { linePeakDoseJPerMm2 } from '../burn/line-dose.ts';
import type { BeamVisitor, Stroke } from '../dose/visitor.ts';
import { defocus, meanWidthMm, widthAcrossMm } from '../laser/spot.ts';
import type { Machine, Spot } from '../machine/profile.ts';
import { sigmaFromWidthMm } from '../units.ts';
import { skinTable } from './depth-kernel.ts';
import type { HeatOfWood } from './heat-of-wood.ts';
import { type Kept, keptOf, keptOfRest, keptOfStroke } from './kept.ts';
import { addHeat, FIRST_SPAN_S, type HeatPieces, type Ladder, startLadder, warmthAt } from './ladder.ts';

/**
 * Small parts of the burn in order of time: where each landed, when, how much, and how warm the wood was on its
 * arrival from what had landed there more than one dwell before. Those from `first` to `end` − 1 count, and only until
 * the visitor returns.
 */
export interface WarmParts extends HeatPieces {
  first: number;
  end: number;
  readonly energyJ: Float64Array;
  readonly warmthK: Float64Array;
  /** The mean, over where its energy falls, of the dose that this firing alone leaves, J/mm². */
  readonly ownJPerMm2: Float64Array;
  /** … and the dose it leaves in the middle of its way. */
  readonly peakJPerMm2: Float64Array;
  /** Height of the head, mm. */
  readonly zMm: Float64Array;
  /** Way from where the beam began or turned to the end of the part, mm. */
  readonly wayMm: Float64Array;
}

/** Told of all energy as it lands. */
export type WarmthVisitor = (parts: Readonly<WarmParts>) => void;

/**
 * Parts are at most so many spot widths long, and shorter where the beam has just begun or turned and warmth changes
 * within a spot; strokes shorter than that join into one part as long as they go the same way.
 */
const PART_WIDTHS = 4;
const FIRST_PART_WIDTHS = 0.75;
const PART_GROWTH = 0.5;
/** No part lasts longer than this: a third of the shortest span in which heat has one age. */
const PART_S = FIRST_SPAN_S / 3;
const ALONG_COS = Math.cos(Math.PI / 18);
/** Where the beam is so slow that its own heat runs ahead of it, parts are shorter. */
const SLOW_PART_WIDTHS = 0.25;
/** Slow: below so many diffusivities per spot width. */
const SLOW = 40;
/**
 * How warm the wood is, is asked where the beam begins or turns and half a spot width later, and then ever farther on, at
 * most this far and at most by {@link ASK_GROWTH} of the way since; between, warmth runs straight.
 */
const FARTHEST_ASK_MM = 4.2;
const ASK_GROWTH = 0.6;
/** Where warmth is straight to within this (K, and part of itself), the next question may be twice as far away. */
const STRAIGHT_K = 0.2;
const STRAIGHT_PART = 0.025;
const FIRST_FAR_MM = 1.2;
/** Where the beam leaves so many times more or less heat than since the last question, the rows before may have too. */
const CONTRAST = 1.5;
/**
 * Where the way ends, warmth falls ever more steeply, as nothing was burned beyond: so it is asked for wherever this
 * share of the way since the last question is left.
 */
const END_SHARE = 0.5;
/**
 * Strokes meet where no more than this part of the spot's width lies between: those of ramps and of a beam that lags lie
 * where their energy has its middle.
 */
const SAME_PLACE_PART = 1 / 32;
/** A change of direction by more than this (its cosine) is a turn. */
const TURN_COS = Math.cos(Math.PI / 6);
/** A rest's heat comes in so many parts. */
const REST_PARTS = 8;
/** What rests on at one place with less than this between, s, is one rest: a plunge comes in many strokes. */
const SAME_REST_S = 1e-6;
/** No more parts than this wait for the next question. */
const MOST_WAITING = 1024;

/** A walk of the beam whose heat is followed. */
interface WarmthWalk {
  readonly spot: Spot;
  /** Its width on the mean and its σ in focus, mm. */
  readonly widthMm: number;
  readonly focusSigmaMm: number;
  /** Below this speed the beam's own heat runs ahead of it, mm/s. */
  readonly slowMmPerS: number;
  readonly kept: Kept;
  readonly ladder: Ladder;
  readonly visitor: WarmthVisitor;
  readonly parts: WarmParts;
  readonly now: ReturnType<typeof nowhere>;
  readonly rest: ReturnType<typeof noRest>;
}

/** Where the beam is, and its last part; nothing yet. Fractions, so that the engine keeps these fields as doubles. */
const nowhere = () => ({
  /** Where the beam is, which way it goes, and when. */
  x: Number.NaN,
  y: 0.5,
  ux: 0.5,
  uy: 0.5,
  tS: 0.5,
  /** How long a point lies under the beam. */
  dwellS: 0.5,
  /** Way since the beam began or turned: here, at the last question and at the next. */
  wayMm: 0.5,
  askedMm: 0.5,
  nextAskMm: 0.5,
  /** How far the next question may be away, for what the warmth did lately. */
  farMm: 0.5,
  askedK: 0.5,
  perMm: 0.5,
  /** Heat left since the last question, J, but for the last part. */
  askedJ: 0.5,
  sigmaMm: 0.5,
  /** Across the way: σ, mm, and the dose in the middle of a line of 1 J/mm. */
  acrossMm: 0.5,
  linePeak: 0.5,
  z: Number.NaN,
  /** Where and when the last part begins, which way it goes, and how long it is yet. */
  partX: 0.5,
  partY: 0.5,
  partS: 0.5,
  partUx: 0.5,
  partUy: 0.5,
  partMm: 0.5,
  partZ: 0.5,
  /** Its energy and heat so far, J, and sums of its strokes' energy times the dose they leave on the mean and in the middle. */
  partJ: 0.5,
  partHeatJ: 0.5,
  partOwn: 0.5,
  partPeak: 0.5,
  /** Parts that wait for a question, those handed on already among them. */
  waiting: 0,
});

/** The head stands here with the beam on, from when to when, with how much energy, and that times its height. */
const noRest = () => ({ x: 0.5, y: 0.5, startS: 0.5, endS: 0.5, energyJ: 0, energyTimesZ: 0.5 });

/** A visitor of the beam's walk that follows its heat; to be finished once the walk has ended. */
export function followWarmth(
  machine: Machine,
  heat: HeatOfWood,
  visitor: WarmthVisitor,
): BeamVisitor & { finish(): void } {
  const walk = startWarmthWalk(machine, heat, visitor);
  return {
    stroke: (stroke) => followStroke(walk, stroke),
    rest: (stroke) => followRest(walk, stroke),
    finish() {
      if (walk.rest.energyJ > 0) finishRest(walk);
      finishRun(walk);
    },
  };
}

function startWarmthWalk({ spot }: Machine, heat: HeatOfWood, visitor: WarmthVisitor): WarmthWalk {
  const widthMm = meanWidthMm(spot);
  const focusSigmaMm = sigmaFromWidthMm(widthMm);
  return {
    spot,
    widthMm,
    focusSigmaMm,
    slowMmPerS: (SLOW * heat.diffusivityMm2PerS) / widthMm,
    kept: keptOf(heat.keeping),
    ladder: startLadder({ ...heat, skin: skinTable(heat), spotVarianceMm2: focusSigmaMm ** 2 }),
    visitor,
    parts: emptyParts(),
    now: nowhere(),
    rest: noRest(),
  };
}

function focusAt({ spot, focusSigmaMm, now }: WarmthWalk, z: number): void {
  now.z = z;
  now.sigmaMm = focusSigmaMm * defocus(spot, z);
}

function lookAcross({ spot, now }: WarmthWalk, ux: number, uy: number, z: number): void {
  const widthMm = widthAcrossMm(spot, ux, uy, z);
  now.acrossMm = sigmaFromWidthMm(widthMm);
  now.linePeak = linePeakDoseJPerMm2(1, 1, widthMm, spot.shape);
}

/** How warm it is where the beam arrives, from what landed there before its own dwell. */
const ask = ({ ladder, now }: WarmthWalk, x: number, y: number, atS: number): number =>
  warmthAt(ladder, x, y, atS, atS - now.dwellS);

/** Writes down the last part as far as it has come: not for each of its strokes, which may be a hundred. */
function closePart({ now, parts }: WarmthWalk): void {
  const { xMm, yMm, halfXMm, halfYMm, tS, halfS, heatJ, energyJ, ownJPerMm2, peakJPerMm2, zMm, wayMm } =
    parts;
  const at = now.waiting - 1;
  halfXMm[at] = (now.x - now.partX) / 2;
  halfYMm[at] = (now.y - now.partY) / 2;
  xMm[at] = now.partX + halfXMm[at]!;
  yMm[at] = now.partY + halfYMm[at]!;
  halfS[at] = (now.tS - now.partS) / 2;
  tS[at] = now.partS + halfS[at]!;
  wayMm[at] = now.wayMm;
  energyJ[at] = now.partJ;
  heatJ[at] = now.partHeatJ;
  ownJPerMm2[at] = now.partOwn / now.partJ;
  peakJPerMm2[at] = now.partPeak / now.partJ;
  zMm[at] = now.partZ;
}

/** Hands on the parts up to `to`, at whose end the warmth is asked for: at this place, way and time. */
function handOn(walk: WarmthWalk, to: number, x: number, y: number, atS: number, atMm: number): void {
  const { ladder, visitor, parts, now } = walk;
  const { first, wayMm, warmthK } = parts;
  addHeat(ladder, parts, first, to);
  const foundK = ask(walk, x, y, atS);
  const lengthMm = atMm - now.askedMm;
  const perMm = lengthMm > 0 ? (foundK - now.askedK) / lengthMm : 0;
  let beganMm = 0;
  for (let k = first; k < to; k++) {
    const endsMm = wayMm[k]! - now.askedMm;
    warmthK[k] = now.askedK + (perMm * (beganMm + endsMm)) / 2;
    beganMm = endsMm;
  }
  parts.end = to;
  visitor(parts);
  parts.first = to;
  const bendK = (Math.abs(perMm - now.perMm) * lengthMm) / 4;
  if (bendK > STRAIGHT_K + STRAIGHT_PART * foundK) now.farMm = Math.max(FIRST_FAR_MM, now.farMm / 2);
  else now.farMm = Math.min(FARTHEST_ASK_MM, now.farMm * 2);
  now.askedMm = atMm;
  now.askedJ = 0;
  now.askedK = foundK;
  now.perMm = perMm;
}

/** Hands on all that wait, up to where the beam is. */
function handAllOn(walk: WarmthWalk): void {
  const { parts, now } = walk;
  closePart(walk);
  handOn(walk, now.waiting, now.x, now.y, now.tS, now.wayMm);
  parts.first = 0;
  now.waiting = 0;
  now.nextAskMm = now.wayMm + Math.min(now.farMm, ASK_GROWTH * now.wayMm);
}

/** The beam goes out or turns. */
function finishRun(walk: WarmthWalk): void {
  const { now } = walk;
  if (now.waiting === 0) return;
  closePart(walk);
  const { xMm, yMm, halfXMm, halfYMm, tS, halfS, wayMm } = walk.parts;
  for (let k = 0; k < now.waiting - 1; k++) {
    if (now.wayMm - wayMm[k]! > END_SHARE * (now.wayMm - now.askedMm)) continue;
    handOn(walk, k + 1, xMm[k]! + halfXMm[k]!, yMm[k]! + halfYMm[k]!, tS[k]! + halfS[k]!, wayMm[k]!);
  }
  handAllOn(walk);
}

/** The beam begins, or goes on another way. */
function beginRun(walk: WarmthWalk, x: number, y: number, atS: number): void {
  const { now } = walk;
  now.wayMm = 0;
  now.askedMm = 0;
  now.askedJ = 0;
  now.nextAskMm = walk.widthMm / 2;
  now.farMm = FIRST_FAR_MM;
  now.perMm = 0;
  now.askedK = ask(walk, x, y, atS);
}

/** How long a part may be here, at this speed. */
const longestPartMm = ({ widthMm, slowMmPerS, now }: WarmthWalk, mmPerS: number): number =>
  mmPerS < slowMmPerS
    ? SLOW_PART_WIDTHS * widthMm
    : Math.min(PART_WIDTHS * widthMm, FIRST_PART_WIDTHS * widthMm + PART_GROWTH * now.wayMm, PART_S * mmPerS);

/** The last part is done: asks at once for the warmth where it left much more or less heat than those before. */
function weighLastPart(walk: WarmthWalk): void {
  const { widthMm, now } = walk;
  const lastJ = now.partHeatJ;
  const beforeMm = now.wayMm - now.partMm - now.askedMm;
  const ratio = (lastJ * beforeMm) / (now.askedJ * now.partMm);
  now.askedJ += lastJ;
  if (!(beforeMm > widthMm && (ratio > CONTRAST || ratio < 1 / CONTRAST))) return;
  now.farMm = FIRST_FAR_MM;
  handAllOn(walk);
}

/** The last part has come as far as here, which may be more than once. */
function goOn(walk: WarmthWalk, x: number, y: number, atS: number): void {
  const { now } = walk;
  now.x = x;
  now.y = y;
  now.tS = atS;
  if (now.wayMm >= now.nextAskMm || now.waiting >= MOST_WAITING) handAllOn(walk);
}

function followStroke(walk: WarmthWalk, stroke: Readonly<Stroke>): void {
  const { now } = walk;
  const { x0, y0, x1, y1, startS, durationS } = stroke;
  const dx = x1 - x0;
  const dy = y1 - y0;
  const lengthMm = Math.sqrt(dx * dx + dy * dy);
  if (lengthMm < 1e-12) {
    followRest(walk, stroke);
    return;
  }
  if (walk.rest.energyJ > 0) finishRest(walk);
  const isOther = stroke.z !== now.z;
  if (isOther) focusAt(walk, stroke.z);
  const ux = dx / lengthMm;
  const uy = dy / lengthMm;
  const nearMm = SAME_PLACE_PART * walk.widthMm;
  const isOn =
    Math.abs(x0 - now.x) < nearMm && Math.abs(y0 - now.y) < nearMm && ux * now.ux + uy * now.uy > TURN_COS;
  if (!isOn) finishRun(walk);
  if (ux !== now.ux || uy !== now.uy || isOther) lookAcross(walk, ux, uy, stroke.z);
  now.ux = ux;
  now.uy = uy;
  now.dwellS = (4 * now.sigmaMm * durationS) / lengthMm;
  if (!isOn) beginRun(walk, x0, y0, startS);

  const strokeJ = stroke.energyJ;
  const lineJPerMm = strokeJ / lengthMm;
  const peak = lineJPerMm / (now.acrossMm * Math.sqrt(2 * Math.PI));
  const own = peak * Math.SQRT1_2;
  const middle = lineJPerMm * now.linePeak;
  const keptJ = strokeJ * keptOfStroke(walk.kept, peak);
  const mmPerS = lengthMm / durationS;
  const joins =
    now.waiting > 0 &&
    now.partMm + lengthMm <= longestPartMm(walk, mmPerS) &&
    ux * now.partUx + uy * now.partUy > ALONG_COS;
  if (joins) {
    now.partJ += strokeJ;
    now.partHeatJ += keptJ;
    now.partOwn += own * strokeJ;
    now.partPeak += middle * strokeJ;
    now.partMm += lengthMm;
    now.wayMm += lengthMm;
    goOn(walk, x1, y1, startS + durationS);
    return;
  }
  if (now.waiting > 0) weighLastPart(walk);
  now.partUx = ux;
  now.partUy = uy;
  for (let doneMm = 0; doneMm < lengthMm; ) {
    if (now.waiting > 0) closePart(walk);
    const leftMm = lengthMm - doneMm;
    const count = Math.ceil(leftMm / longestPartMm(walk, mmPerS));
    const stepMm = leftMm / count;
    now.waiting++;
    now.partJ = (strokeJ * stepMm) / lengthMm;
    now.partHeatJ = (keptJ * stepMm) / lengthMm;
    now.partOwn = own * now.partJ;
    now.partPeak = middle * now.partJ;
    now.partX = x0 + ux * doneMm;
    now.partY = y0 + uy * doneMm;
    now.partS = startS + doneMm / mmPerS;
    now.partMm = stepMm;
    now.partZ = now.z;
    now.wayMm += stepMm;
    doneMm = count === 1 ? lengthMm : doneMm + stepMm;
    if (count === 1) goOn(walk, x1, y1, startS + durationS);
    else goOn(walk, x0 + ux * doneMm, y0 + uy * doneMm, startS + doneMm / mmPerS);
  }
}

function followRest(walk: WarmthWalk, { x0, y0, z, startS, durationS, energyJ }: Readonly<Stroke>): void {
  const { rest } = walk;
  const goesOn = x0 === rest.x && y0 === rest.y && Math.abs(startS - rest.endS) < SAME_REST_S;
  if (rest.energyJ > 0 && !goesOn) finishRest(walk);
  if (rest.energyJ === 0) {
    rest.x = x0;
    rest.y = y0;
    rest.startS = startS;
    rest.energyTimesZ = 0;
  }
  rest.endS = startS + durationS;
  rest.energyJ += energyJ;
  rest.energyTimesZ += energyJ * z;
}

/** The head goes on: what it left at rest lands, with the warmth it found. */
function finishRest(walk: WarmthWalk): void {
  const { kept, ladder, parts, now, rest } = walk;
  const { x, y, startS, energyJ: restJ } = rest;
  focusAt(walk, rest.energyTimesZ / restJ);
  rest.energyJ = 0;
  const durationS = rest.endS - startS;
  finishRun(walk);
  now.dwellS = 0;
  const foundK = ask(walk, x, y, startS);
  const peak = restJ / (2 * Math.PI * now.sigmaMm * now.sigmaMm);
  const keptJ = restJ * keptOfRest(kept, peak);
  const partS = durationS / REST_PARTS;
  const { xMm, yMm, halfXMm, halfYMm, tS, halfS, heatJ, energyJ } = parts;
  const { warmthK, ownJPerMm2, peakJPerMm2, zMm } = parts;
  for (let k = 0; k < REST_PARTS; k++) {
    xMm[k] = x;
    yMm[k] = y;
    halfXMm[k] = 0;
    halfYMm[k] = 0;
    tS[k] = startS + (k + 0.5) * partS;
    halfS[k] = partS / 2;
    heatJ[k] = keptJ / REST_PARTS;
    energyJ[k] = restJ / REST_PARTS;
    warmthK[k] = foundK;
    ownJPerMm2[k] = peak / 2;
    peakJPerMm2[k] = peak;
    zMm[k] = now.z;
  }
  addHeat(ladder, parts, 0, REST_PARTS);
  parts.end = REST_PARTS;
  walk.visitor(parts);
  now.x = Number.NaN; // whatever follows begins a run
}

function emptyParts(): WarmParts {
  const room = () => new Float64Array(MOST_WAITING);
  return {
    first: 0,
    end: 0,
    xMm: room(),
    yMm: room(),
    halfXMm: room(),
    halfYMm: room(),
    tS: room(),
    halfS: room(),
    heatJ: room(),
    energyJ: room(),
    warmthK: room(),
    ownJPerMm2: room(),
    peakJPerMm2: room(),
    zMm: room(),
    wayMm: room(),
  };
}
