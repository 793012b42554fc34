import { L_SEEN_FROM, labOf } from '../burn/colour.ts';
import type { Material } from '../burn/material.ts';
import type { Forecast } from '../forecast.ts';
import type { Grid, GridFrame } from '../grid.ts';
import { lightnessOfLinear, linearOfLab } from '../photo/colour-space.ts';
import { numberWords } from '../words.ts';
import type { Areas } from './areas.ts';
import type { EvenLight } from './even-light.ts';
import { marksOf, startLightSeen } from './marks.ts';

/** How much darker an operation shows on a photo than it was forecast. */
export interface DarkerSeen {
  readonly operation: number;
  /** L*, the mean over the marks that show alone, each cell by how much it darkens; less than 0: lighter. */
  readonly darkerL: number;
}

/** An operation whose marks alone come to less than this, mm² of black, is not seen. */
const LEAST_MM2 = 0.5;

/**
 * What an operation's marks take from bare wood's light is summed up, as forecast and as seen, and its marks darkened by
 * the ratio: a photo that is less sharp than its forecast was taken for shows the same.
 * @param skipped operations of which nothing is to be told.
 */
export function darkerSeen(
  { light, seen }: Difference,
  { cellMm }: GridFrame,
  { owner }: Pick<Areas, 'owner'>,
  material: Material,
  skipped: ReadonlySet<number>,
): DarkerSeen[] {
  const cellsOf = new Map<number, number[]>();
  for (let k = 0; k < owner.length; k++) {
    const n = owner[k]!;
    if (n === 0 || skipped.has(n) || !Number.isFinite(seen[k]!)) continue;
    const cells = cellsOf.get(n) ?? [];
    cells.push(k);
    cellsOf.set(n, cells);
  }
  const lightness = lightnessOver(material);
  return [...cellsOf]
    .flatMap(([operation, cells]): DarkerSeen[] => {
      const taken = cells.reduce((sum, k) => sum + 1 - light[k]!, 0);
      if (!(taken * cellMm * cellMm >= LEAST_MM2)) return [];
      const ratio = cells.reduce((sum, k) => sum + 1 - seen[k]!, 0) / taken;
      const sum = cells.reduce((total, k) => {
        const takes = 1 - light[k]!;
        return total + takes * (lightness(light[k]!) - lightness(Math.max(0, 1 - ratio * takes)));
      }, 0);
      return [{ operation, darkerL: sum / taken }];
    })
    .sort((a, b) => a.operation - b.operation);
}

/** L* of this light over that of bare wood. */
function lightnessOver(material: Material): (light: number) => number {
  const [r, g, b] = linearOfLab(labOf(0, material));
  return (light) => lightnessOfLinear(light * r, light * g, light * b);
}

/** *The marks of operation 1 are 6 L\* darker on the photo than forecast.* */
export function darkerSentence({ operation, darkerL }: DarkerSeen): string {
  const marks = `The marks of operation ${operation} are`;
  return Math.abs(darkerL) < L_SEEN_FROM
    ? `${marks} as light on the photo as forecast, within ${L_SEEN_FROM} L*.`
    : `${marks} ${numberWords(Math.abs(darkerL), 2)} L* ${darkerL > 0 ? 'darker' : 'lighter'} on the photo than forecast.`;
}

/** How much darker a photo is than its forecast, cell by cell. */
export interface Difference {
  /** L* of the forecast, as blurred as the photo is, less that of the photo; 0 where the photo ends. */
  readonly darkerL: Float32Array;
  /** Light over that of bare wood: as forecast, as blurred as the photo is, and as seen, NaN where the photo ends. */
  readonly light: Float32Array;
  readonly seen: Float32Array;
}

export function differenceOf(
  { burn, material, board }: Forecast,
  frame: GridFrame,
  even: EvenLight,
): Difference {
  const lightSeen = startLightSeen(material);
  const seen = new Float32Array(frame.nx * frame.ny);
  for (let k = 0; k < seen.length; k++) seen[k] = lightSeen(even.ratio, k);
  const { data: light } = asBlurredAs(seen, marksOf(burn, material, board, frame.cellMm));
  const [r, g, b] = linearOfLab(labOf(0, material));
  const lightness = lightnessOver(material);
  const { ratio } = even;
  const darkerL = seen.map((_, k) => {
    const shown = lightnessOfLinear(ratio[3 * k]! * r, ratio[3 * k + 1]! * g, ratio[3 * k + 2]! * b);
    const difference = lightness(light[k]!) - shown;
    return Number.isFinite(difference) ? difference : 0;
  });
  return { darkerL, light, seen };
}

/** Blurs that are tried after none, as standard deviations in cells. */
const BLURS = [0.5, 0.8, 1.1, 1.5, 2, 2.7] as const;

/** The marks with that blur by which they come nearest to the photo. */
function asBlurredAs(seen: Float32Array, marks: Grid): Grid {
  const apart = ({ data }: Grid): number => {
    let sum = 0;
    for (let k = 0; k < data.length; k++) {
      const off = seen[k]! - data[k]!;
      if (Number.isFinite(off)) sum += off * off;
    }
    return sum;
  };
  // One at a time: each is as large as the board's photo. Blurred beyond the photo's own they only come apart from it again.
  let best = { grid: marks, off: apart(marks) };
  for (const cells of BLURS) {
    const grid = blurred(marks, cells);
    const off = apart(grid);
    if (off >= best.off) break;
    best = { grid, off };
  }
  return best.grid;
}

function blurred(grid: Grid, cells: number): Grid {
  const reach = Math.ceil(3 * cells);
  const weights = Float64Array.from({ length: 2 * reach + 1 }, (_, k) =>
    Math.exp(-((k - reach) ** 2) / (2 * cells * cells)),
  );
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const { nx, ny } = grid;
  const sums = new Float64Array(nx);
  const add = (weight: number, values: Float32Array, from: number): void => {
    for (let i = 0; i < nx; i++) sums[i]! += weight * values[from + i]!;
  };
  const take = (to: Float32Array, row: number): void => {
    for (let i = 0; i < nx; i++) to[row * nx + i] = sums[i]! / total;
    sums.fill(0);
  };
  // Beyond their ends rows and columns go on as they are.
  const alongRows = new Float32Array(nx * ny);
  const longer = new Float32Array(nx + 2 * reach);
  for (let j = 0; j < ny; j++) {
    longer.fill(grid.data[j * nx]!, 0, reach);
    longer.set(grid.data.subarray(j * nx, (j + 1) * nx), reach);
    longer.fill(grid.data[(j + 1) * nx - 1]!, reach + nx);
    for (const [tap, weight] of weights.entries()) add(weight, longer, tap);
    take(alongRows, j);
  }
  const data = new Float32Array(nx * ny);
  for (let j = 0; j < ny; j++) {
    for (const [tap, weight] of weights.entries())
      add(weight, alongRows, nx * Math.min(ny - 1, Math.max(0, j + tap - reach)));
    take(data, j);
  }
  return { ...grid, data };
}
