import { InputError } from '../../errors.ts';
import { greatestOf, leastOf } from '../../lists.ts';
import { type LinearRgb, threeOf } from '../../photo/photo.ts';
import type { LineWidth } from './line-width.ts';
import type { PhotoReading } from './read.ts';

/**
 * What several photos of one swatch say together: light as the geometric mean, widths weighted by how sure each is.
 * Grain is the same on all of them, so what it scatters is not taken for less; a lens, a light or a shaking hand is
 * averaged out.
 *
 * @param readings of the same swatch, from {@link readPhoto}; at least one.
 * @throws {InputError} for none.
 */
export function joinReadings(readings: readonly PhotoReading[]): PhotoReading {
  const [first, ...others] = readings;
  if (!first) throw new InputError('found no photo; expected at least one');
  if (others.length === 0) return first;
  const whites = readings.flatMap(({ whiteOverBare }) => (whiteOverBare === null ? [] : [whiteOverBare]));
  const edges = readings.flatMap(({ edgeMm }) => (edgeMm === null ? [] : [edgeMm]));
  return {
    ...first,
    patches: first.patches.map((_, k) => ({
      ratio: meanLight(readings.map(({ patches }) => patches[k]!.ratio)),
      clipped: greatestOf(readings.map(({ patches }) => patches[k]!.clipped)),
    })),
    lines: first.lines.map((_, k) => meanWidth(readings.map(({ lines }) => lines[k]!))),
    scatter: first.scatter.map((_, k) => mean(readings.map(({ scatter }) => scatter[k]!))),
    whiteOverBare: whites.length > 0 ? meanLight(whites) : null,
    pxPerMm: leastOf(readings.map(({ pxPerMm }) => pxPerMm)),
    edgeMm: edges.length > 0 ? greatestOf(edges) : null,
    bare: meanLight(readings.map(({ bare }) => bare)),
    code: worstCode(readings),
    doubts: [...new Set(readings.flatMap(({ doubts }) => doubts))],
  };
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, each) => sum + each, 0) / values.length;

/** Ratios of light are averaged as factors; a patch without any light on one photo stays without. */
const meanLight = (lights: readonly LinearRgb[]): LinearRgb =>
  threeOf((c) =>
    lights.some((light) => !(light[c] > 0))
      ? mean(lights.map((light) => light[c]))
      : Math.exp(mean(lights.map((light) => Math.log(light[c])))),
  );

/** Inverse-variance mean (any textbook of statistics), and no surer than the photos agree. */
function meanWidth(widths: readonly LineWidth[]): LineWidth {
  const weights = widths.map(({ sigmaMm }) => 1 / Math.max(sigmaMm, 1e-6) ** 2);
  const total = weights.reduce((sum, each) => sum + each, 0);
  const weighted = (value: (width: LineWidth) => number): number =>
    widths.reduce((sum, each, k) => sum + value(each) * weights[k]!, 0) / total;
  const widthMm = weighted((each) => each.widthMm);
  const spread = weighted((each) => (each.widthMm - widthMm) ** 2) / Math.max(1, widths.length - 1);
  return {
    widthMm,
    sigmaMm: Math.sqrt(Math.max(1 / total, spread)),
    shiftMm: weighted((each) => each.shiftMm),
  };
}

/** One photo of another swatch is enough to doubt; one that shows the code is enough to know it. */
const worstCode = (readings: readonly PhotoReading[]): PhotoReading['code'] =>
  readings.find(({ code }) => code?.verdict === 'other')?.code ??
  readings.find(({ code }) => code?.verdict === 'same')?.code ??
  readings[0]!.code;
