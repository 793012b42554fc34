import { outlinePlusMinusMm } from './board.ts';
import type { Firings } from './burn/firing.ts';
import type { ToneErrors, ToneWish } from './compare/tone-wish.ts';
import type { EngravingForecast } from './findings/evidence/engravings.ts';
import type { Forecast } from './forecast.ts';
import { type Bounds, isEmptyBounds } from './grid.ts';
import { type LeftOver, leftOver } from './parts/left-over.ts';
import type { Shares } from './sure/contributions.ts';
import { mmPerSToMmPerMin } from './units.ts';

/** Rounds to `digits` decimals, so that reports carry no noise of the last bit. */
const round = (value: number, digits: number): number => Number(value.toFixed(digits));

const bounds = (b: Bounds) =>
  isEmptyBounds(b)
    ? { min: null, max: null }
    : { min: [round(b.minXMm, 4), round(b.minYMm, 4)], max: [round(b.maxXMm, 4), round(b.maxYMm, 4)] };

/** What is left of the board for the next piece. */
const leftOverOf = ({ areaMm2, rectangle, clearanceMm }: LeftOver) => ({
  area_mm2: round(areaMm2, 1),
  rectangle_mm: rectangle && bounds(rectangle),
  clearance_mm: clearanceMm === null ? null : round(clearanceMm, 3),
});

/** The warmth's own grid, and how warm the wood is where it is warmest. */
const warmthOf = ({ warmth: { x0Mm, y0Mm, cellMm, nx, ny, data } }: Firings) => ({
  grid: { x0_mm: round(x0Mm, 6), y0_mm: round(y0Mm, 6), cell_mm: round(cellMm, 6), nx, ny },
  most_k: round(
    data.reduce((most, value) => Math.max(most, value), 0),
    2,
  ),
});

/** Shares of what is not known, by input; what is less than a hundredth is left out. */
const becauseOf = (shares: Shares): Record<string, number> =>
  Object.fromEntries(
    shares.filter(([, share]) => share >= 0.01).map(([input, share]) => [input, round(share, 3)]),
  );

/** Tone and depth of an operation with 5 and 95 % of such boards below, and whether of lines alone; null where it is meant to cut, burns nothing, or lies beside the board. */
function engravedOf(engraving: EngravingForecast | undefined) {
  const told = engraving && engraving.besideShare < 1 ? engraving : undefined;
  const one = (value: number | undefined, digits: number) =>
    value === undefined ? null : round(value, digits);
  return {
    tone: one(told?.tone, 4),
    tone_low: one(told?.toneLow, 4),
    tone_high: one(told?.toneHigh, 4),
    of_lines: told?.isOfLines ?? null,
    depth_mm: one(told?.depthMm, 4),
    depth_low_mm: one(told?.depthLowMm, 4),
    depth_high_mm: one(told?.depthHighMm, 4),
    unsure_because: told ? becauseOf(told.because) : null,
  };
}

/** How far rows are from what they were meant to look like, before their S was set for it and after, |ΔL*|. */
export function wishOf({ operations, before, after }: ToneWish) {
  const errors = ({ meanDeltaL, mostDeltaL }: ToneErrors) => ({
    mean_delta_l: round(meanDeltaL, 3),
    delta_l_95: round(mostDeltaL, 3),
  });
  return { operations, before: errors(before), after: errors(after) };
}

/**
 * The forecast as the plain object that `report.json` holds. Names of quantities end in their unit (`_mm`, `_s`,
 * `_j`, `_mm_min`); tones go from 0 to 1, shares and chances too; what is not known is null; numbers are rounded, lengths to
 * 0.1 µm, times and energies to a millionth. There are no typed arrays in it, no maps, and nothing that JSON changes.
 * `operations`, `findings` and `cuts` have one entry each, in the forecast's own order; `n` and `operation` are the
 * number of the operation from 1, `lines` the first and the last line of the file. Nothing is worked out here and
 * nothing thrown: where a number comes from is told where the forecast has it.
 *
 * @param wish what the rows of this job were meant to look like, where their S was set for it.
 * @param left what is left of its board, where that is known already.
 * @returns `timing_ms` may be completed by the caller with what comes after the forecast; all else is for reading.
 */
export function reportOf(
  forecast: Forecast,
  wish: ToneWish | null = null,
  left: LeftOver | null = leftOver(forecast),
) {
  const { program, motion, dose } = forecast;
  const { grid } = dose;
  const engraved = new Map(forecast.engravings.map((each) => [each.operation, each]));
  return {
    job: {
      lines: program.lineCount,
      moves: program.moves.count,
      bounds_mm: bounds(forecast.jobBounds),
      burn_bounds_mm: bounds(forecast.burnBounds),
    },
    machine: forecast.machine.name,
    material: forecast.material.name,
    stock_mm: forecast.stock && {
      size: [forecast.stock.widthMm, forecast.stock.heightMm],
      thickness: forecast.stock.thicknessMm,
      thickness_plus_minus: forecast.stock.thicknessPlusMinusMm ?? null,
      at: [forecast.stock.xMm, forecast.stock.yMm],
      ...(forecast.stock.outline
        ? {
            outline: forecast.stock.outline,
            outline_plus_minus: outlinePlusMinusMm(forecast.stock),
          }
        : {}),
      ...(forecast.stock.avoid?.length ? { avoid: forecast.stock.avoid } : {}),
    },
    left_over: left && leftOverOf(left),
    duration_s: round(motion.durationS, 6),
    beam_on_s: round(forecast.beamOnS, 6),
    energy_j: round(dose.energyJ, 6),
    energy_outside_j: round(dose.outsideJ, 6),
    travel_mm: round(forecast.travelMm, 4),
    burn_mm: round(forecast.burnMm, 4),
    grid: {
      x0_mm: round(grid.x0Mm, 6),
      y0_mm: round(grid.y0Mm, 6),
      cell_mm: grid.cellMm,
      nx: grid.nx,
      ny: grid.ny,
    },
    warmth: forecast.firings && warmthOf(forecast.firings),
    operations: forecast.operations.map(({ operation, burnMm, durationS, energyJ }) => ({
      n: operation.n,
      kind: operation.kind,
      power_mode: operation.powerMode,
      feed_mm_min: round(mmPerSToMmPerMin(operation.feedMmPerS), 4),
      s_min: operation.sMin,
      s_max: operation.sMax,
      lines: operation.lines,
      passes: operation.passes,
      intent: operation.intent ?? null,
      burn_mm: round(burnMm, 4),
      duration_s: round(durationS, 6),
      energy_j: round(energyJ, 6),
      ...engravedOf(engraved.get(operation.n)),
    })),
    findings: forecast.findings.map((f) => ({
      kind: f.kind,
      severity: f.severity,
      line: f.line,
      at_mm: f.atMm,
      operation: f.operation,
      message: f.message,
      remedy: f.remedy,
      measure: f.measure,
      advice: f.advice ?? null,
    })),
    cuts: forecast.cuts.map((cut) => ({
      operation: cut.operation,
      assumed: cut.assumed,
      through: cut.through,
      uncut_share: round(cut.uncutShare, 4),
      beside_share: round(cut.besideShare, 4),
      shallowest_mm: round(cut.shallowestMm, 4),
      thickness_mm: cut.thicknessMm,
      margin: round(cut.margin, 4),
      chance_through: round(cut.chanceThrough, 3),
      passes_for_sure: cut.passesForSure,
      unsure_because: becauseOf(cut.because),
      chance_with_swatch: cut.withSwatch.map((chance) => round(chance, 3)),
    })),
    wish: wish && wishOf(wish),
    understood: program.understood.map(({ line, text }) => ({ line, text })),
    notes: forecast.notes,
    timing_ms: { ...forecast.timingMs } as Record<string, number>,
  };
}

export type Report = ReturnType<typeof reportOf>;
