import { toneRegion } from '../../src/burn/tone.ts';
import { type Bounds, cellValueAt, type GridFrame, holdsPoint } from '../../src/grid.ts';
import type { Engraved } from '../../src/sure/engraved.ts';
import { startEngravedIn } from '../../src/sure/engraved-in.ts';
import { depthSpanWords } from '../../src/sure/words.ts';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { numberWords } from '../../src/words.ts';
import type { View } from '../state/store.ts';
import { momentsOf } from '../time/moments.ts';
import { clockWords } from '../words/clock-words.ts';
import type { Scene } from '../worker/messages.ts';

/** What is known of a round patch of the wood: means over it, and the greatest. */
export interface PlaceFacts {
  readonly doseJPerMm2: number;
  readonly mostDoseJPerMm2: number;
  readonly tone: number;
  /** Half of the range of tones that nine of ten such boards have at the mean dose. */
  readonly toneGiveOrTake: number;
  /** Mean over what has a depth. */
  readonly depthMm: number;
  readonly mostDepthMm: number;
  /** How much warmer than the room the wood was when the beam came, K; null where that is not followed. */
  readonly warmthK: number | null;
  /** From … to what part of such a depth nine of ten such boards have; null where nothing is dug. */
  readonly depthTimes: readonly [low: number, high: number] | null;
  /** Share of the patch that is cut through. */
  readonly through: number;
  /** The visit that came last to the burned place nearest the middle; null where nothing came. */
  readonly last: LastVisit | null;
}

interface LastVisit {
  readonly tS: number;
  readonly visits: number;
  readonly speedMmPerS: number;
  readonly powerW: number;
  readonly line: number;
  readonly operation: number;
}

/** A patch of more cells than this across is read with gaps. */
const MOST_ACROSS = 60;
/** A greatest value is told where it is so many times the mean. */
const WORTH_TELLING = 1.5;
const SHALLOWEST_MM = 0.005;

/** @returns null off the board. */
export function factsAround(scene: Scene, xMm: number, yMm: number, radiusMm: number): PlaceFacts | null {
  const { burn, dose, board } = scene.forecast;
  if (!holdsPoint(board, xMm, yMm)) return null;
  let count = 0;
  let deep = 0;
  let open = 0;
  let tone = 0;
  let energy = 0;
  let depth = 0;
  let mostDose = 0;
  let mostAt = -1;
  let mostDepth = 0;
  eachWithin(burn.frame, board, xMm, yMm, radiusMm, (k) => {
    count++;
    if (k < 0) return;
    tone += burn.tone[k]!;
    energy += dose.grid.data[k]!;
    if (dose.grid.data[k]! > mostDose) {
      mostDose = dose.grid.data[k]!;
      mostAt = k;
    }
    if (burn.through?.[k] === 1) open++;
    const mm = burn.depthMm[k]!;
    if (mm < SHALLOWEST_MM) return;
    deep++;
    depth += mm;
    mostDepth = Math.max(mostDepth, mm);
  });
  const engravedBy = mostAt < 0 ? null : startEngravedIn(scene.forecast, mostAt);
  return {
    doseJPerMm2: energy / count,
    mostDoseJPerMm2: mostDose,
    tone: tone / count,
    toneGiveOrTake: engravedBy ? toneRangeOf(engravedBy(energy / count)) / 2 : 0,
    warmthK: scene.forecast.firings ? cellValueAt(scene.forecast.firings.warmth, xMm, yMm) : null,
    depthMm: deep === 0 ? 0 : depth / deep,
    mostDepthMm: mostDepth,
    depthTimes: engravedBy && mostDepth >= SHALLOWEST_MM ? depthTimesOf(engravedBy(mostDose)) : null,
    through: open / count,
    last: lastVisitNear(scene, xMm, yMm, radiusMm),
  };
}

/** How wide the range of tones is that nine of ten such boards have. */
const toneRangeOf = ({ toneLow, toneHigh }: Engraved): number => toneHigh - toneLow;

/** Between what parts of the depth that a dose digs such boards are dug. */
const depthTimesOf = ({ depthMm, depthLowMm, depthHighMm }: Engraved): PlaceFacts['depthTimes'] =>
  depthMm > 0 ? [depthLowMm / depthMm, depthHighMm / depthMm] : null;

function lastVisitNear(
  { forecast, arrival }: Scene,
  xMm: number,
  yMm: number,
  radiusMm: number,
): LastVisit | null {
  let nearest = Infinity;
  let at = -1;
  eachWithin(arrival.frame, forecast.board, xMm, yMm, radiusMm, (k, awayMm) => {
    if (k < 0 || arrival.move[k] === 0 || awayMm >= nearest) return;
    nearest = awayMm;
    at = k;
  });
  if (at < 0) return null;
  const move = arrival.move[at]! - 1;
  const { line, operation } = forecast.program.moves;
  const tS = arrival.spanS[2 * at + 1]!;
  const then = momentsOf(forecast.motion, forecast.machine).at(tS);
  return {
    tS,
    visits: arrival.marks[4 * at]!,
    speedMmPerS: then.speedMmPerS,
    powerW: then.emittedW,
    line: line[move]!,
    operation: operation[move]!,
  };
}

/**
 * Tells each cell of the board whose middle lies in a disc, and the cell in which the disc's own middle lies; −1 where the
 * frame, which holds only what light falls on, has none.
 */
function eachWithin(
  frame: GridFrame,
  board: Bounds,
  xMm: number,
  yMm: number,
  radiusMm: number,
  tell: (k: number, awayMm: number) => void,
): void {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const i0 = Math.floor((xMm - x0Mm) / cellMm);
  const j0 = Math.floor((yMm - y0Mm) / cellMm);
  const reach = Math.ceil(radiusMm / cellMm);
  const step = Math.max(1, Math.ceil((2 * reach) / MOST_ACROSS));
  for (let dj = -Math.floor(reach / step) * step; dj <= reach; dj += step) {
    for (let di = -Math.floor(reach / step) * step; di <= reach; di += step) {
      const i = i0 + di;
      const j = j0 + dj;
      const [atX, atY] = [x0Mm + (i + 0.5) * cellMm, y0Mm + (j + 0.5) * cellMm];
      const isOwn = i >= 0 && j >= 0 && i < nx && j < ny;
      if (!isOwn && !holdsPoint(board, atX, atY)) continue;
      const awayMm = Math.hypot(atX - xMm, atY - yMm);
      if (awayMm <= radiusMm || (di === 0 && dj === 0)) tell(isOwn ? j * nx + i : -1, awayMm);
    }
  }
}

/** The facts as short lines; what the view shows comes first. */
export function factWords(facts: PlaceFacts, view: View): string[] {
  const { doseJPerMm2, mostDoseJPerMm2, tone, toneGiveOrTake, warmthK, last } = facts;
  if (mostDoseJPerMm2 < 1e-3) return ['bare wood, no dose'];
  const most =
    mostDoseJPerMm2 > WORTH_TELLING * doseJPerMm2 ? `, up to ${numberWords(mostDoseJPerMm2, 2)}` : '';
  const dose = `${numberWords(doseJPerMm2, 2)} J/mm²${most}`;
  const giveOrTake = toneGiveOrTake < 0.005 ? '' : ` ± ${toneGiveOrTake.toFixed(2)}`;
  const look = `${toneRegion(tone)}, tone ${tone.toFixed(2)}${giveOrTake}`;
  const depth = depthWords(facts);
  const lines = view === 'depth' ? [depth, dose, look] : [dose, `${look}, ${depth}`];
  if (view === 'warmth')
    lines.unshift(
      warmthK === null ? 'warmth left out' : `wood ${numberWords(warmthK, 2)} K warm when the beam came`,
    );
  if (!last) return lines;
  const { tS, visits, speedMmPerS, powerW, line, operation } = last;
  const often = visits > 1 ? `, last of ${visits} times` : '';
  if (view === 'speed')
    lines.unshift(
      `${numberWords(mmPerSToMmPerMin(speedMmPerS), 2)} mm/min${visits > 1 ? ' at the last pass' : ''}`,
    );
  if (view === 'power') lines.unshift(`${numberWords(powerW, 2)} W${visits > 1 ? ' at the last pass' : ''}`);
  const when = `at ${clockWords(tS)}${often}`;
  if (view === 'arrival') lines.unshift(when);
  else lines.push(when);
  lines.push(`line ${line}, operation ${operation}`);
  return lines;
}

function depthWords({ depthMm, mostDepthMm, depthTimes, through }: PlaceFacts): string {
  if (through >= 0.5) return 'cut through';
  if (through > 0) return 'partly cut through';
  if (mostDepthMm < SHALLOWEST_MM) return 'no depth';
  const most = mostDepthMm > WORTH_TELLING * depthMm;
  const told = most ? mostDepthMm : depthMm;
  const [low, high] = depthTimes ?? [1, 1];
  const span = { depthMm: told, depthLowMm: told * low, depthHighMm: told * high };
  return `${most ? 'up to ' : ''}${depthSpanWords(span, 'mm deep')}`;
}
