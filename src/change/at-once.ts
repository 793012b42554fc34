import type { Burn } from '../burn/burn.ts';
import { type Firings, firedLines } from '../burn/firing.ts';
import type { Dose } from '../dose/dose.ts';
import type { LineDose } from '../dose/land.ts';
import { burnOf, type Forecast, heatOfBoard } from '../forecast.ts';
import { cellAt, type GridFrame } from '../grid.ts';
import { powerLaw } from '../laser/power.ts';
import { meanWidthMm } from '../laser/spot.ts';
import { planMotion } from '../motion/plan.ts';
import { moveTimeS } from '../motion/timeline.ts';
import { speedRatio } from '../program/beam-on.ts';
import { sigmaFromWidthMm } from '../units.ts';
import { keptOf, keptOfStroke } from '../warmth/kept.ts';
import { type Change, type Settings, wishesOf } from './change.ts';
import { changeByWishes } from './change-program.ts';
import { powerScale } from './change-settings.ts';

/** Which move came by each cell last: its index + 1, 0 where none did. Cells are the dose's own, or squares of them. */
export interface LastMoves {
  readonly frame: GridFrame;
  readonly move: Uint32Array;
}

/**
 * About what the wood comes to with other speeds and powers, for a setting that is being dragged: what a forecast takes
 * longest over, landing the energy anew and following its heat, is left out. Each cell's dose is multiplied by what the
 * move that came by last gives more or less than before, and its warmth by how much more of that stays as heat. So it is
 * off where several operations meet, and where the head speeds up or slows down within a move.
 *
 * @returns null where a change does more than that.
 * @throws {InputError} in one sentence, where a change cannot be made.
 */
export function burnAtOnce(
  base: Forecast,
  changes: readonly Change[],
  last: LastMoves,
): { readonly dose: Dose; readonly burn: Burn } | null {
  const wishes = wishesOf(base.program, changes);
  if (!wishes.every((wish) => wish === null || isDragged(wish))) return null;
  if (wishes.every((wish) => wish === null)) return base;
  const { timesOf, longer } = startTimes(base, wishes);
  const dose = doseTimes(base.dose, last, timesOf);
  const firings = base.firings && warmerBy(base, base.firings, last, startHeat(base, timesOf, longer));
  const lines = firedLines(linesTimes(base.lines, timesOf), firings, base.material);
  return { dose, burn: burnOf({ ...base, dose, lines }, firings) };
}

const DRAGGED: readonly string[] = ['speedMmPerS', 'powerFraction', 'intent'] satisfies (keyof Settings)[];
const isDragged = (wish: Settings): boolean => Object.keys(wish).every((key) => DRAGGED.includes(key));

/** What a move gives as a multiple of what it gave before; one object for all, overwritten from call to call. */
interface Times {
  energy: number;
  /** ln of how many times as long the beam takes over a point. */
  lnDwell: number;
  /** What it gave before to the middle of its way, J/mm²; 0 where nothing of it changes. */
  peakJPerMm2: number;
}

type TimesOf = (move: number) => Readonly<Times>;

function startTimes(
  base: Forecast,
  wishes: readonly (Settings | null)[],
): { readonly timesOf: TimesOf; readonly longer: number } {
  const { program, motion: was, machine } = base;
  const { moves, operations } = program;
  const law = powerLaw(machine.laser);
  const sigmaMm = sigmaFromWidthMm(meanWidthMm(machine.spot));
  const scales = [1, ...operations.map((each) => powerScale(each, wishes, machine.laser.s_max))];
  const isSameSpeed = wishes.every((wish) => wish?.speedMmPerS === undefined);
  const changed = isSameSpeed ? program : changeByWishes(program, wishes, machine).program;
  const is = isSameSpeed ? was : planMotion(changed, machine);
  const isWished = [false, ...wishes.map((wish) => wish !== null)];
  const times: Times = { energy: 1, lnDwell: 0, peakJPerMm2: 0 };
  let known = -1;
  const timesOf: TimesOf = (move) => {
    if (move === known) return times;
    known = move;
    times.energy = 1;
    times.lnDwell = 0;
    times.peakJPerMm2 = 0;
    const n = moves.operation[move]!;
    if (!isWished[n]) return times;
    const wasS = moveTimeS(was, move);
    const isS = isSameSpeed ? wasS : moveTimeS(is, move);
    const mm = was.lengthMm[move]!;
    const s = moves.s[move]!;
    const wasJ = law.watts(s, speedRatio(moves, move, mm / wasS)) * wasS;
    if (!(wasJ > 0)) return times;
    const isJ = law.watts(s * scales[n]!, speedRatio(changed.moves, move, mm / isS)) * isS;
    times.energy = isJ / wasJ;
    times.peakJPerMm2 = wasJ / (mm * sigmaMm * Math.sqrt(2 * Math.PI));
    times.lnDwell = Math.log(isS / wasS);
    return times;
  };
  return { timesOf, longer: is.durationS / was.durationS };
}

function doseTimes(dose: Dose, last: LastMoves, timesOf: TimesOf): Dose {
  const { nx, ny, cellMm } = dose.grid;
  const { frame, move } = last;
  const size = Math.round(frame.cellMm / cellMm);
  const data = dose.grid.data.slice();
  const doseLnDwell = dose.doseLnDwell.slice();
  const doseAbove = dose.height.doseAbove?.slice() ?? null;
  for (let j = 0, k = 0; j < ny; j++) {
    const row = Math.floor(j / size) * frame.nx;
    for (let i = 0; i < nx; i++, k++) {
      if (data[k] === 0) continue;
      const of = move[row + (size === 1 ? i : Math.floor(i / size))]! - 1;
      if (of < 0) continue;
      const { energy, lnDwell } = timesOf(of);
      doseLnDwell[k] = energy * (doseLnDwell[k]! + data[k]! * lnDwell);
      data[k] = energy * data[k]!;
      if (doseAbove) doseAbove[k] = energy * doseAbove[k]!;
    }
  }
  return { ...dose, grid: { ...dose.grid, data }, doseLnDwell, height: { ...dose.height, doseAbove } };
}

function linesTimes(lines: LineDose, timesOf: TimesOf): LineDose {
  const { places, dose } = lines;
  const doseJPerMm2 = dose.doseJPerMm2.slice();
  const doseLnDwell = dose.doseLnDwell.slice();
  const doseAbove = dose.doseAbove?.slice() ?? null;
  for (let k = 0; k < places.count; k++) {
    const { energy, lnDwell } = timesOf(places.move[k]!);
    doseLnDwell[k] = energy * (doseLnDwell[k]! + doseJPerMm2[k]! * lnDwell);
    doseJPerMm2[k] = energy * doseJPerMm2[k]!;
    if (doseAbove) doseAbove[k] = energy * doseAbove[k]!;
  }
  return { ...lines, dose: { ...dose, doseJPerMm2, doseLnDwell, doseAbove } };
}

/**
 * How much warmer a move finds the wood: the heat there is mostly that of its own operation's way up to it. It sinks into
 * the wood as from a plane, so that of a way that takes longer there is less by the root of that.
 */
function startHeat(
  { machine, material, stock }: Forecast,
  timesOf: TimesOf,
  longer: number,
): (move: number) => number {
  const kept = keptOf(heatOfBoard(machine, material, stock).keeping);
  return (move) => {
    const { energy, peakJPerMm2 } = timesOf(move);
    if (peakJPerMm2 === 0) return 1;
    return (
      (energy * keptOfStroke(kept, energy * peakJPerMm2)) /
      keptOfStroke(kept, peakJPerMm2) /
      Math.sqrt(longer)
    );
  };
}

function warmerBy(
  { lines: { places } }: Forecast,
  firings: Firings,
  last: LastMoves,
  heatOf: (move: number) => number,
): Firings {
  const { nx, ny, x0Mm, y0Mm, cellMm } = firings.warmth;
  const data = firings.warmth.data.slice();
  for (let j = 0, k = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, k++) {
      if (data[k] === 0) continue;
      const of = last.move[cellAt(last.frame, x0Mm + (i + 0.5) * cellMm, y0Mm + (j + 0.5) * cellMm)] ?? 0;
      if (of > 0) data[k] = data[k]! * heatOf(of - 1);
    }
  }
  const lines = firings.lines && {
    ...firings.lines,
    warmthK: firings.lines.warmthK.map((kelvin, k) => kelvin * heatOf(places.move[k]!)),
  };
  return { ...firings, warmth: { ...firings.warmth, data }, lines };
}
