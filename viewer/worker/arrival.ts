import { depositStepMm } from '../../src/dose/deposit.ts';
import type { BeamVisitor } from '../../src/dose/visitor.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import type { Forecast } from '../../src/forecast.ts';
import type { GridFrame } from '../../src/grid.ts';
import { powerLaw } from '../../src/laser/power.ts';
import { defocus } from '../../src/laser/spot.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Motion } from '../../src/motion/motion.ts';
import { burnsAtFeed } from '../../src/program/beam-on.ts';
import type { Program } from '../../src/program/program.ts';
import { halvable } from './halvings.ts';

/**
 * When the energy of each cell came, so that a shader can show the burn at any moment. Passes over one line,
 * and rows that overlap, visit a cell at equal intervals; so the first and the last arrival and the number
 * of visits tell the whole story of nearly every cell, in 9 bytes.
 */
export interface Arrival {
  readonly frame: GridFrame;
  /** First and last arrival in s, side by side: [first, last] per cell; first > last where nothing came. */
  readonly spanS: Float32Array;
  /** Per cell: visits, speed / `topSpeed`, power / `topPower` (both of the last visit, 0…255), operation. */
  readonly marks: Uint8Array;
  /** The move of the last visit + 1; 0 where nothing came. */
  readonly move: Uint32Array;
  readonly topSpeedMmPerS: number;
  readonly topPowerW: number;
}

/** Energy that comes later than this after the last belongs to a new visit, s, … */
const SAME_VISIT_S = 0.02;
/** … or, for a slow head, later than it takes to cross so many spot widths. */
const SAME_VISIT_WIDTHS = 3;
/** A visit counts within this many σ of the beam's middle, … */
const NEAR_SIGMA = 2;
/** … but cells that are only ever grazed, out to here, are revealed by that. */
const FAR_SIGMA = 4.2;
/** A beam out of focus is followed no further than if its σ spanned so many cells. */
const MOST_SIGMA_CELLS = 32;

/**
 * The same area as `frame` in cells as fine, or coarser where that would be more than `most` cells; with a margin
 * above and right of it, so that it can be halved evenly.
 */
export function coarserFrame(frame: GridFrame, most: number): GridFrame {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const times = Math.max(1, Math.ceil(Math.sqrt((nx * ny) / most)));
  return { x0Mm, y0Mm, nx: halvable(nx / times), ny: halvable(ny / times), cellMm: cellMm * times };
}

/** Walks the beam once more and notes on `frame` when it comes and what it is then. */
export function arrivalOver(frame: GridFrame, motion: Motion, machine: Machine): Arrival {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const size = nx * ny;
  const spanS = new Float32Array(2 * size);
  for (let k = 0; k < size; k++) {
    spanS[2 * k] = 1e9;
    spanS[2 * k + 1] = -1;
  }
  const marks = new Uint8Array(4 * size);
  const move = new Uint32Array(size);
  const near = new Uint8Array(size);
  const { moves } = motion.program;
  const widestMm = Math.max(...machine.spot.width_mm);
  let topSpeedMmPerS = 1e-9;
  for (let i = 0; i < moves.count; i++) {
    if (burnsAtFeed(moves, i)) topSpeedMmPerS = Math.max(topSpeedMmPerS, motion.peakMmPerS[i]!);
  }
  const topPowerW = machine.laser.optical_power_w;

  // The piece being painted, in one object: nothing is allocated per piece or cell. Fractions to start with, so that
  // the engine keeps these fields as doubles.
  const now = { sigmaMm: 0.5, gapS: 0.5, speed: 0, power: 0, operation: 0, move: 0 };

  const touch = (k: number, isNear: boolean, t: number): void => {
    if (isNear && near[k] === 0) {
      near[k] = 1;
      spanS[2 * k] = 1e9;
      spanS[2 * k + 1] = -1;
      marks[4 * k] = 0;
    } else if (!isNear && near[k] === 1) return;
    const last = spanS[2 * k + 1]!;
    if (t < spanS[2 * k]!) spanS[2 * k] = t;
    const visits = marks[4 * k]!;
    if (visits === 0 || (t - last > now.gapS && visits < 255)) marks[4 * k] = visits + 1;
    if (t < last) return;
    spanS[2 * k + 1] = t;
    marks[4 * k + 1] = now.speed;
    marks[4 * k + 2] = now.power;
    marks[4 * k + 3] = now.operation;
    move[k] = now.move + 1;
  };

  /** One short straight piece, from `fromS` to `toS`. */
  const paint = (x0: number, y0: number, x1: number, y1: number, fromS: number, toS: number): void => {
    const reach = FAR_SIGMA * now.sigmaMm;
    const i0 = Math.max(0, Math.floor((Math.min(x0, x1) - reach - x0Mm) / cellMm));
    const i1 = Math.min(nx - 1, Math.floor((Math.max(x0, x1) + reach - x0Mm) / cellMm));
    const j0 = Math.max(0, Math.floor((Math.min(y0, y1) - reach - y0Mm) / cellMm));
    const j1 = Math.min(ny - 1, Math.floor((Math.max(y0, y1) + reach - y0Mm) / cellMm));
    const dx = x1 - x0;
    const dy = y1 - y0;
    const perLength2 = dx === 0 && dy === 0 ? 0 : 1 / (dx * dx + dy * dy);
    const far2 = reach * reach;
    const near2 = (NEAR_SIGMA * now.sigmaMm + cellMm / 2) ** 2;
    for (let j = j0; j <= j1; j++) {
      const y = y0Mm + (j + 0.5) * cellMm - y0;
      for (let i = i0; i <= i1; i++) {
        const x = x0Mm + (i + 0.5) * cellMm - x0;
        let along = (x * dx + y * dy) * perLength2;
        if (along < 0) along = 0;
        else if (along > 1) along = 1;
        const ex = x - along * dx;
        const ey = y - along * dy;
        const away2 = ex * ex + ey * ey;
        if (away2 <= far2) touch(j * nx + i, away2 <= near2, fromS + along * (toS - fromS));
      }
    }
  };

  const begin = (z: number, speedMmPerS: number, watts: number, gapS: number, of: number): void => {
    // Light spread wider than this shows nothing wherever it comes.
    now.sigmaMm = Math.min((widestMm / 4) * defocus(machine.spot, z), MOST_SIGMA_CELLS * cellMm);
    now.gapS = gapS;
    now.speed = Math.round(255 * Math.min(1, speedMmPerS / topSpeedMmPerS));
    now.power = Math.round(255 * Math.min(1, watts / topPowerW));
    now.operation = Math.min(255, of < 0 ? 0 : moves.operation[of]!);
    now.move = of;
  };

  const visitor: BeamVisitor = {
    stroke({ x0, y0, x1, y1, z, energyJ, startS: fromS, durationS, move: of }) {
      const dx = x1 - x0;
      const dy = y1 - y0;
      const lengthMm = Math.sqrt(dx * dx + dy * dy);
      const speed = durationS > 0 ? lengthMm / durationS : 0;
      const gapS = Math.max(SAME_VISIT_S, (SAME_VISIT_WIDTHS * widestMm) / Math.max(speed, 1e-3));
      begin(z, speed, durationS > 0 ? energyJ / durationS : 0, gapS, of);
      const pieces = Math.max(1, Math.ceil(lengthMm / (8 * now.sigmaMm)));
      for (let p = 0; p < pieces; p++) {
        const a = p / pieces;
        const b = (p + 1) / pieces;
        paint(
          x0 + dx * a,
          y0 + dy * a,
          x0 + dx * b,
          y0 + dy * b,
          fromS + durationS * a,
          fromS + durationS * b,
        );
      }
    },
    rest({ x0: x, y0: y, z, energyJ, startS, durationS, move: of }) {
      begin(z, 0, energyJ / Math.max(durationS, 1e-9), SAME_VISIT_S, of);
      const middleS = startS + durationS / 2;
      paint(x, y, x, y, middleS, middleS);
    },
  };
  walkBeam(motion, machine, depositStepMm(machine.spot) * 2, visitor);
  return { frame, spanS, marks, move, topSpeedMmPerS, topPowerW };
}

/**
 * The arrivals of a job with changes: where only power differs and all that was lit still is, they come when they
 * came before, with power scaled by the move's own (close to true where the beam is late or has a threshold: this is
 * for a setting being dragged); else the beam is walked anew.
 */
export function arrivalAfter(before: Arrival, base: Forecast, made: Forecast, mostCells: number): Arrival {
  const { motion, machine } = made;
  const law = powerLaw(machine.laser);
  const [was, is] = [base.program, made.program];
  // What a change leaves alone, the changed program shares with the one it came from.
  const isSameWay = (['xMm', 'feedMmPerS', 'powerMode'] as const).every(
    (key) => was.moves[key] === is.moves[key],
  );
  const isLit = ({ operations }: Program) => operations.every(({ sMin }) => law.watts(sMin, 1) > 0);
  if (!isSameWay || !isLit(was) || !isLit(is)) {
    return arrivalOver(coarserFrame(made.dose.grid, mostCells), motion, machine);
  }
  const marks = before.marks.slice();
  for (let k = 0; k < before.move.length; k++) {
    const of = before.move[k]! - 1;
    if (of < 0 || was.moves.s[of] === is.moves.s[of]) continue;
    const times = law.watts(is.moves.s[of]!, 1) / law.watts(was.moves.s[of]!, 1);
    marks[4 * k + 2] = Math.min(255, Math.round(marks[4 * k + 2]! * times));
  }
  return { ...before, marks };
}
