import { linePeakDoseJPerMm2 } from '../burn/line-dose.ts';
import type { BeamVisitor, Stroke } from '../dose/visitor.ts';
import { defocus, meanWidthMm, widthAcrossMm } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import { sigmaFromWidthMm } from '../units.ts';
import { skinTable } from './depth-kernel.ts';
import type { HeatOfWood } from './heat-of-wood.ts';
import { keptOf } from './kept.ts';
import { addHeat, FIRST_SPAN_S, type HeatPieces, startLadder, warmthAt } from './ladder.ts';

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
/** Strokes meet to within rounding: exactly, or nearly so where the beam lags. */
const SAME_PLACE_MM = 1e-9;
/** A change of direction by more than this (its cosine) is a turn. */
const TURN_COS = Math.cos(Math.PI / 6);
/** A rest's heat comes in so many parts. */
const REST_PARTS = 8;
/** What rests on at one place with less than this between, s, is one rest: a plunge comes in many strokes. */
const SAME_REST_S = 1e-6;
/** No more parts than this wait for the next question. */
const MOST_WAITING = 1024;

/** A visitor of the beam's walk that follows its heat; to be finished once the walk has ended. */
export function followWarmth(
  { spot }: Machine,
  heat: HeatOfWood,
  visitor: WarmthVisitor,
): BeamVisitor & { finish(): void } {
  const kept = keptOf(heat.keeping);
  const widthMm = meanWidthMm(spot);
  const focusSigmaMm = sigmaFromWidthMm(widthMm);
  const ladder = startLadder({ ...heat, skin: skinTable(heat), spotVarianceMm2: focusSigmaMm ** 2 });
  const slowMmPerS = (SLOW * heat.diffusivityMm2PerS) / widthMm;
  const parts = emptyParts();
  const {
    xMm,
    yMm,
    halfXMm,
    halfYMm,
    tS,
    halfS,
    heatJ,
    energyJ,
    warmthK,
    ownJPerMm2,
    peakJPerMm2,
    zMm,
    wayMm,
  } = parts;

  // Fractions to start with, so that the engine keeps these fields as doubles.
  const now = {
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
  };

  /** The head stands here with the beam on, from when to when, with how much energy, and that times its height. */
  const rest = { x: 0.5, y: 0.5, startS: 0.5, endS: 0.5, energyJ: 0, energyTimesZ: 0.5 };

  const focusAt = (z: number): void => {
    now.z = z;
    now.sigmaMm = focusSigmaMm * defocus(spot, z);
  };
  const lookAcross = (ux: number, uy: number, z: number): void => {
    const widthMm = widthAcrossMm(spot, ux, uy, z);
    now.acrossMm = sigmaFromWidthMm(widthMm);
    now.linePeak = linePeakDoseJPerMm2(1, 1, widthMm, spot.shape);
  };
  const ask = (x: number, y: number, atS: number): number => warmthAt(ladder, x, y, atS, atS - now.dwellS);

  /** Writes down the last part as far as it has come: not for each of its strokes, which may be a hundred. */
  const closePart = (): void => {
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
  };

  /** Hands on the parts up to `to`, at whose end the warmth is asked for: at this place, way and time. */
  const handOn = (to: number, x: number, y: number, atS: number, atMm: number): void => {
    const { first } = parts;
    addHeat(ladder, parts, first, to);
    const foundK = ask(x, y, atS);
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
  };
  const handAllOn = (): void => {
    closePart();
    handOn(now.waiting, now.x, now.y, now.tS, now.wayMm);
    parts.first = 0;
    now.waiting = 0;
    now.nextAskMm = now.wayMm + Math.min(now.farMm, ASK_GROWTH * now.wayMm);
  };
  const finishRun = (): void => {
    if (now.waiting === 0) return;
    closePart();
    for (let k = 0; k < now.waiting - 1; k++) {
      if (now.wayMm - wayMm[k]! > END_SHARE * (now.wayMm - now.askedMm)) continue;
      handOn(k + 1, xMm[k]! + halfXMm[k]!, yMm[k]! + halfYMm[k]!, tS[k]! + halfS[k]!, wayMm[k]!);
    }
    handAllOn();
  };
  const beginRun = (x: number, y: number, atS: number): void => {
    now.wayMm = 0;
    now.askedMm = 0;
    now.askedJ = 0;
    now.nextAskMm = widthMm / 2;
    now.farMm = FIRST_FAR_MM;
    now.perMm = 0;
    now.askedK = ask(x, y, atS);
  };
  const longestPartMm = (mmPerS: number): number =>
    mmPerS < slowMmPerS
      ? SLOW_PART_WIDTHS * widthMm
      : Math.min(
          PART_WIDTHS * widthMm,
          FIRST_PART_WIDTHS * widthMm + PART_GROWTH * now.wayMm,
          PART_S * mmPerS,
        );

  /** The last part is done: asks at once for the warmth where it left much more or less heat than those before. */
  const weighLastPart = (): void => {
    const lastJ = now.partHeatJ;
    const beforeMm = now.wayMm - now.partMm - now.askedMm;
    const ratio = (lastJ * beforeMm) / (now.askedJ * now.partMm);
    now.askedJ += lastJ;
    if (!(beforeMm > widthMm && (ratio > CONTRAST || ratio < 1 / CONTRAST))) return;
    now.farMm = FIRST_FAR_MM;
    handAllOn();
  };

  /** The last part has come as far as here, which may be more than once. */
  const goOn = (x: number, y: number, atS: number): void => {
    now.x = x;
    now.y = y;
    now.tS = atS;
    if (now.wayMm >= now.nextAskMm || now.waiting >= MOST_WAITING) handAllOn();
  };

  const moving = (stroke: Readonly<Stroke>): void => {
    const { x0, y0, x1, y1, startS, durationS } = stroke;
    const dx = x1 - x0;
    const dy = y1 - y0;
    const lengthMm = Math.sqrt(dx * dx + dy * dy);
    if (lengthMm < 1e-12) {
      restOn(stroke);
      return;
    }
    if (rest.energyJ > 0) finishRest();
    const isOther = stroke.z !== now.z;
    if (isOther) focusAt(stroke.z);
    const ux = dx / lengthMm;
    const uy = dy / lengthMm;
    const isOn =
      Math.abs(x0 - now.x) < SAME_PLACE_MM &&
      Math.abs(y0 - now.y) < SAME_PLACE_MM &&
      ux * now.ux + uy * now.uy > TURN_COS;
    if (!isOn) finishRun();
    if (ux !== now.ux || uy !== now.uy || isOther) lookAcross(ux, uy, stroke.z);
    now.ux = ux;
    now.uy = uy;
    now.dwellS = (4 * now.sigmaMm * durationS) / lengthMm;
    if (!isOn) beginRun(x0, y0, startS);

    const strokeJ = stroke.energyJ;
    const lineJPerMm = strokeJ / lengthMm;
    const peak = lineJPerMm / (now.acrossMm * Math.sqrt(2 * Math.PI));
    const own = peak * Math.SQRT1_2;
    const middle = lineJPerMm * now.linePeak;
    const keptJ = strokeJ * kept.ofStroke(peak);
    const mmPerS = lengthMm / durationS;
    const joins =
      now.waiting > 0 &&
      now.partMm + lengthMm <= longestPartMm(mmPerS) &&
      ux * now.partUx + uy * now.partUy > ALONG_COS;
    if (joins) {
      now.partJ += strokeJ;
      now.partHeatJ += keptJ;
      now.partOwn += own * strokeJ;
      now.partPeak += middle * strokeJ;
      now.partMm += lengthMm;
      now.wayMm += lengthMm;
      goOn(x1, y1, startS + durationS);
      return;
    }
    if (now.waiting > 0) weighLastPart();
    now.partUx = ux;
    now.partUy = uy;
    for (let doneMm = 0; doneMm < lengthMm; ) {
      if (now.waiting > 0) closePart();
      const leftMm = lengthMm - doneMm;
      const count = Math.ceil(leftMm / longestPartMm(mmPerS));
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
      if (count === 1) goOn(x1, y1, startS + durationS);
      else goOn(x0 + ux * doneMm, y0 + uy * doneMm, startS + doneMm / mmPerS);
    }
  };

  const restOn = ({ x0, y0, z, startS, durationS, energyJ }: Readonly<Stroke>): void => {
    const goesOn = x0 === rest.x && y0 === rest.y && Math.abs(startS - rest.endS) < SAME_REST_S;
    if (rest.energyJ > 0 && !goesOn) finishRest();
    if (rest.energyJ === 0) {
      rest.x = x0;
      rest.y = y0;
      rest.startS = startS;
      rest.energyTimesZ = 0;
    }
    rest.endS = startS + durationS;
    rest.energyJ += energyJ;
    rest.energyTimesZ += energyJ * z;
  };
  const finishRest = (): void => {
    const { x, y, startS, energyJ: restJ } = rest;
    focusAt(rest.energyTimesZ / restJ);
    rest.energyJ = 0;
    const durationS = rest.endS - startS;
    finishRun();
    now.dwellS = 0;
    const foundK = ask(x, y, startS);
    const peak = restJ / (2 * Math.PI * now.sigmaMm * now.sigmaMm);
    const keptJ = restJ * kept.ofRest(peak);
    const partS = durationS / REST_PARTS;
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
    visitor(parts);
    now.x = Number.NaN; // whatever follows begins a run
  };

  return {
    stroke: moving,
    rest: restOn,
    finish() {
      if (rest.energyJ > 0) finishRest();
      finishRun();
    },
  };
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
