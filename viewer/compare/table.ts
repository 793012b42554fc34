import type { Finding } from '../../src/findings/finding.ts';
import type { Forecast } from '../../src/forecast.ts';
import { lengthWords, numberWords, percentWords, timeWords } from '../../src/words.ts';

export interface Row {
  readonly name: string;
  readonly a: string;
  readonly b: string;
  readonly differs: boolean;
}

/** Dose counts as a mark from here on, J/mm². */
const MARKED_FROM_J_PER_MM2 = 0.1;

interface Sums {
  readonly peak: number;
  readonly typical: number;
  readonly deepestMm: number;
  readonly throughShare: number | null;
}

/** Peak dose, the middle dose of the marked cells, the greatest depth, and the share of the marks cut through. */
function sumsOf({ dose, burn }: Forecast): Sums {
  const { data } = dose.grid;
  const bins = new Float64Array(400);
  let peak = 0;
  let marked = 0;
  let deepest = 0;
  let through = 0;
  for (let k = 0; k < data.length; k++) {
    const value = data[k]!;
    if (value < MARKED_FROM_J_PER_MM2) continue;
    marked++;
    peak = Math.max(peak, value);
    deepest = Math.max(deepest, burn.depthMm[k]!);
    if (burn.through?.[k]) through++;
    bins[Math.min(399, Math.floor(40 * Math.log2(value / MARKED_FROM_J_PER_MM2)))]!++;
  }
  let sum = 0;
  let bin = 0;
  while (bin < 399 && (sum += bins[bin]!) < marked / 2) bin++;
  return {
    peak,
    typical: marked > 0 ? MARKED_FROM_J_PER_MM2 * 2 ** ((bin + 0.5) / 40) : 0,
    deepestMm: deepest,
    throughShare: burn.through && marked > 0 ? through / marked : null,
  };
}

/** What differs between two forecasts, told in the units of the trade. */
export function rowsOf(a: Forecast, b: Forecast): Row[] {
  const sa = sumsOf(a);
  const sb = sumsOf(b);
  const row = (name: string, of: (forecast: Forecast, sums: Sums) => string): Row => {
    const wordsA = of(a, sa);
    const wordsB = of(b, sb);
    return { name, a: wordsA, b: wordsB, differs: wordsA !== wordsB };
  };
  return [
    row('time', (f) => timeWords(f.motion.durationS)),
    row('beam on', (f) => timeWords(f.beamOnS)),
    row('energy', (f) => `${numberWords(f.dose.energyJ)} J`),
    row('path burned', (f) => lengthWords(f.burnMm)),
    row('typical dose', (_f, s) => `${numberWords(s.typical, 2)} J/mm²`),
    row('peak dose', (_f, s) => `${numberWords(s.peak, 2)} J/mm²`),
    row('deepest', (_f, s) => `${numberWords(s.deepestMm, 2)} mm`),
    row('cut through, of what is burned', (_f, s) =>
      s.throughShare === null ? 'not known' : percentWords(Math.round(s.throughShare * 100) / 100),
    ),
    row('findings', (f) => String(f.findings.length)),
  ];
}

const nameOf = (finding: Finding): string =>
  `${finding.kind.replaceAll('-', ' ')}${finding.operation ? ` in operation ${finding.operation}` : ''}`;

/** Findings that only one of the two has, each kind and operation once. */
export function findingsApart(a: Forecast, b: Forecast): { gone: string[]; come: string[] } {
  const before = new Set(a.findings.map(nameOf));
  const after = new Set(b.findings.map(nameOf));
  return {
    gone: [...before].filter((name) => !after.has(name)),
    come: [...after].filter((name) => !before.has(name)),
  };
}
