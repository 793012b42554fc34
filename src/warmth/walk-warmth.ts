import { lookUp } from '../burn/octave-table.ts';
import { depositStepMm } from '../dose/deposit.ts';
import type { Stroke } from '../dose/visitor.ts';
import { walkBeam } from '../dose/walk-beam.ts';
import { defocus, meanWidthMm } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { sigmaFromWidthMm } from '../units.ts';
import { skinTable } from './depth-kernel.ts';
import type { HeatOfWood } from './heat-of-wood.ts';
import { keptTables } from './kept.ts';
import { type HeatPoints, startLadder } from './ladder.ts';

/**
 * Small parts of the burn in order of time: where each landed, when, how much, and how warm the wood was on its
 * arrival from what had landed there more than one dwell before. Only the first `count` of each array count, and
 * only until the visitor returns.
 */
export interface WarmParts extends HeatPoints {
  count: number;
  readonly energyJ: Float64Array;
  readonly warmthK: Float64Array;
  /** The mean, over where its energy falls, of the dose that this firing alone leaves, J/mm². */
  readonly ownJPerMm2: Float64Array;
  /** Way from the place where the warmth was last asked for, mm. */
  readonly wayMm: Float64Array;
}

/** Told of all energy as it lands. */
export type WarmthVisitor = (parts: Readonly<WarmParts>) => void;

/** Parts are so many spot widths long: their Gaussians soon add up to an even line, … */
const PART_WIDTHS = 0.75;
/** … but where the beam is so slow that its own heat runs ahead of it, they are shorter. */
const SLOW_PART_WIDTHS = 0.25;
/** Slow: below so many diffusivities per spot width. */
const SLOW = 40;
/**
 * How warm the wood is, is asked where the beam begins or turns and half a spot width later, and then ever farther on, at
 * most this far and at most by {@link ASK_GROWTH} of the way since; between, warmth runs straight.
 */
const FARTHEST_ASK_MM = 2.4;
const ASK_GROWTH = 0.6;
/** Where warmth is straight to within this (K, and part of itself), the next question may be twice as far away. */
const STRAIGHT_K = 0.3;
const STRAIGHT_PART = 0.04;
const FIRST_FAR_MM = 1.2;
/** A change of direction by more than this (its cosine) is a turn. */
const TURN_COS = Math.cos(Math.PI / 6);
/** A rest's heat comes in so many parts. */
const REST_PARTS = 8;
/** No more parts than this wait for the next question. */
const MOST_WAITING = 1024;

/** Walks the beam with the heat it leaves. */
export function walkWarmth(motion: Motion, machine: Machine, heat: HeatOfWood, visitor: WarmthVisitor): void {
  const { spot } = machine;
  const kept = keptTables(heat.keeping);
  const widthMm = meanWidthMm(spot);
  const focusSigmaMm = sigmaFromWidthMm(widthMm);
  const ladder = startLadder({ ...heat, skin: skinTable(heat), spotVarianceMm2: focusSigmaMm ** 2 });
  const slowMmPerS = (SLOW * heat.diffusivityMm2PerS) / widthMm;
  const parts = emptyParts();
  const { xMm, yMm, tS, halfS, heatJ, wayMm } = parts;

  // Fractions to start with, so that the engine keeps these fields as doubles.
  const now = {
    x: Number.NaN,
    y: 0.5,
    ux: 0.5,
    uy: 0.5,
    tS: 0.5,
    /** How long a point lies under the beam. */
    dwellS: 0.5,
    /** Way since the beam began or turned, and since the last question. */
    runMm: 0.5,
    askedMm: 0.5,
    nextAskMm: 0.5,
    /** How far the next question may be away, for what the warmth did lately. */
    farMm: 0.5,
    askedK: 0.5,
    perMm: 0.5,
    sigmaMm: 0.5,
    z: Number.NaN,
  };

  const focusAt = (z: number): void => {
    now.z = z;
    now.sigmaMm = focusSigmaMm * defocus(spot, z);
  };
  const ask = (): number => ladder.warmthK(now.x, now.y, now.tS, now.tS - now.dwellS);

  /** Hands on what waits, up to a question here and now. */
  const handOn = (): void => {
    ladder.add(parts, parts.count);
    const warmthK = ask();
    const perMm = now.askedMm > 0 ? (warmthK - now.askedK) / now.askedMm : 0;
    for (let k = 0; k < parts.count; k++) parts.warmthK[k] = now.askedK + perMm * parts.wayMm[k]!;
    visitor(parts);
    const bendK = (Math.abs(perMm - now.perMm) * now.askedMm) / 4;
    if (bendK > STRAIGHT_K + STRAIGHT_PART * warmthK) now.farMm = Math.max(FIRST_FAR_MM, now.farMm / 2);
    else now.farMm = Math.min(FARTHEST_ASK_MM, now.farMm * 2);
    parts.count = 0;
    now.askedMm = 0;
    now.askedK = warmthK;
    now.perMm = perMm;
    now.nextAskMm = now.runMm + Math.min(now.farMm, ASK_GROWTH * now.runMm);
  };
  const finishRun = (): void => {
    if (parts.count > 0) handOn();
  };
  const beginRun = (): void => {
    now.runMm = 0;
    now.askedMm = 0;
    now.nextAskMm = widthMm / 2;
    now.farMm = FIRST_FAR_MM;
    now.perMm = 0;
    now.askedK = ask();
  };

  const moving = (stroke: Readonly<Stroke>): void => {
    const { x0, y0, x1, y1, energyJ, startS, durationS } = stroke;
    if (stroke.z !== now.z) focusAt(stroke.z);
    const dx = x1 - x0;
    const dy = y1 - y0;
    const lengthMm = Math.sqrt(dx * dx + dy * dy);
    if (lengthMm < 1e-12) {
      resting(x0, y0, startS, energyJ, durationS);
      return;
    }
    const ux = dx / lengthMm;
    const uy = dy / lengthMm;
    const isOn = x0 === now.x && y0 === now.y && ux * now.ux + uy * now.uy > TURN_COS;
    if (!isOn) {
      finishRun();
      now.x = x0;
      now.y = y0;
      now.tS = startS;
    }
    now.ux = ux;
    now.uy = uy;
    now.dwellS = (4 * now.sigmaMm * durationS) / lengthMm;
    if (!isOn) beginRun();

    const isSlow = lengthMm < slowMmPerS * durationS;
    const count = Math.ceil(lengthMm / (widthMm * (isSlow ? SLOW_PART_WIDTHS : PART_WIDTHS)));
    const stepMm = lengthMm / count;
    const stepS = durationS / count;
    const partJ = energyJ / count;
    const peak = energyJ / (lengthMm * now.sigmaMm * Math.sqrt(2 * Math.PI));
    const keptJ = partJ * lookUp(kept.stroke, peak / kept.cappedFromJPerMm2);
    for (let k = 0; k < count; k++) {
      const at = parts.count++;
      xMm[at] = x0 + ux * (k + 0.5) * stepMm;
      yMm[at] = y0 + uy * (k + 0.5) * stepMm;
      tS[at] = startS + (k + 0.5) * stepS;
      halfS[at] = stepS / 2;
      heatJ[at] = keptJ;
      parts.energyJ[at] = partJ;
      parts.ownJPerMm2[at] = peak * Math.SQRT1_2;
      wayMm[at] = now.askedMm + stepMm / 2;
      now.askedMm += stepMm;
      now.runMm += stepMm;
      if (now.runMm < now.nextAskMm && parts.count < MOST_WAITING) continue;
      now.x = x0 + ux * (k + 1) * stepMm;
      now.y = y0 + uy * (k + 1) * stepMm;
      now.tS = startS + (k + 1) * stepS;
      handOn();
    }
    now.x = x1;
    now.y = y1;
    now.tS = startS + durationS;
  };

  const resting = (x: number, y: number, startS: number, energyJ: number, durationS: number): void => {
    finishRun();
    now.x = x;
    now.y = y;
    now.tS = startS;
    now.dwellS = 0;
    const warmthK = ask();
    const peak = energyJ / (2 * Math.PI * now.sigmaMm * now.sigmaMm);
    const keptJ = (energyJ / REST_PARTS) * lookUp(kept.rest, peak / kept.cappedFromJPerMm2);
    const partS = durationS / REST_PARTS;
    for (let k = 0; k < REST_PARTS; k++) {
      parts.xMm[k] = x;
      parts.yMm[k] = y;
      parts.tS[k] = startS + (k + 0.5) * partS;
      parts.halfS[k] = partS / 2;
      parts.heatJ[k] = keptJ;
      parts.energyJ[k] = energyJ / REST_PARTS;
      parts.warmthK[k] = warmthK;
      parts.ownJPerMm2[k] = peak / 2;
    }
    parts.count = REST_PARTS;
    ladder.add(parts, REST_PARTS);
    visitor(parts);
    parts.count = 0;
    now.x = Number.NaN; // whatever follows begins a run
  };

  walkBeam(motion, machine, depositStepMm(spot, widthMm), {
    stroke: moving,
    rest({ x0: x, y0: y, z, energyJ, startS, durationS }) {
      if (z !== now.z) focusAt(z);
      resting(x, y, startS, energyJ, durationS);
    },
  });
  finishRun();
}

const emptyParts = (): WarmParts => ({
  count: 0,
  xMm: new Float64Array(MOST_WAITING),
  yMm: new Float64Array(MOST_WAITING),
  tS: new Float64Array(MOST_WAITING),
  halfS: new Float64Array(MOST_WAITING),
  heatJ: new Float64Array(MOST_WAITING),
  energyJ: new Float64Array(MOST_WAITING),
  warmthK: new Float64Array(MOST_WAITING),
  ownJPerMm2: new Float64Array(MOST_WAITING),
  wayMm: new Float64Array(MOST_WAITING),
});
