import { readFileSync } from 'node:fs';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Change } from '../../src/change/change.ts';
import { changeProgram } from '../../src/change/change-program.ts';
import type { Finding } from '../../src/findings/finding.ts';
import { type Forecast, type ForecastOptions, forecast, forecastProgram } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { machineWith } from '../support/machines.ts';

/**
 * Little jobs in pairs: one that has exactly one kind of trouble, and its innocent twin. The machine and the
 * board are the same for both.
 */
export interface Pair {
  readonly kind: string;
  readonly machine?: Parameters<typeof machineWith>[0];
  readonly options?: ForecastOptions;
  /** Says why the numbers are right: a closed form or the job's own geometry. */
  readonly check: (finding: Finding, forecast: Forecast) => void;
}

/** A 5 W gantry of everyday limits with an oblong spot, 0.12 by 0.2 mm. */
export const bench = ({ laser, spot, ...rest }: NonNullable<Pair['machine']> = {}): Machine =>
  machineWith({
    name: 'bench',
    work_area_mm: [300, 200],
    max_speed_mm_s: [100, 100, 10],
    acceleration_mm_s2: [500, 500, 50],
    lookahead_moves: 16,
    laser: { optical_power_w: 5, s_max: 1000, ...laser },
    spot: { width_mm: [0.12, 0.2], ...spot },
    ...rest,
  });

export const poplar = shippedMaterials['poplar plywood']!;

export const board = (thicknessMm: number, widthMm = 80, heightMm = 60) => ({
  widthMm,
  heightMm,
  thicknessMm,
  xMm: 0,
  yMm: 0,
});

/** Verdicts go by the path, not by the grid: cells somewhat finer than the spot show as much, a quarter as many as it would have. */
export const ROUGH = { cellMm: 0.08 };

export const readJob = (name: string): string =>
  readFileSync(new URL(`./jobs/${name}.nc`, import.meta.url), 'utf8');

export const forecastPair = (pair: Pair, twin: boolean): Forecast =>
  forecast(readJob(twin ? `${pair.kind}-twin` : pair.kind), bench(pair.machine), poplar, {
    ...ROUGH,
    ...pair.options,
  });

/** A job with changes, forecast as roughly as the others here: in cells as wide as the spot the faintest marks are another matter. */
export const withChanges = (made: Forecast, changes: readonly Change[]): Forecast => {
  const { machine, material, stock, program, checks } = made;
  const changed = changeProgram(program, changes, machine);
  return forecastProgram(changed, machine, material, { ...ROUGH, stock, ...checks });
};

/** A finding for a failure's text. */
export const told = ({ severity, kind, operation, line, message, remedy, advice }: Finding): string =>
  `${severity} ${kind}, operation ${operation}, line ${line}: ${message} ${remedy} [${advice?.change ?? '-'}]`;
