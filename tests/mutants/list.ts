/** One line of the source read wrongly. */
export interface Mutant {
  /** From the project's root. */
  readonly file: string;
  /** What stands there, found exactly once in the file. */
  readonly from: string;
  readonly to: string;
}

/** The rooms whose tests should notice, where it is not the file's own alone. */
const ALSO: Readonly<Record<string, readonly string[]>> = {
  change: ['tests/change', 'tests/viewer/live.test.ts'],
};

/** The tests that should fail when a mutant's line is wrong. */
export const testsOf = ({ file }: Mutant): readonly string[] => {
  const room = file.split('/')[1]!;
  return ALSO[room] ?? [`tests/${room}`];
};

/** Wrong readings, by file: what stands there, and what it is read as. */
const WRONG: Readonly<Record<string, readonly (readonly [from: string, to: string])[]>> = {
  'src/motion/rests.ts': [
    ['if (dwellS <= 0) continue;', ''],
    ['if (untilS <= timeS) return timeS;', ''],
    ['k >= 0 && stops.beforeMove[k] === i', 'k >= 0'],
    ['([stops.s[k]!, stops.powerMode[k]!, stops.rapid[k]!] as const)', '([0, 0, 1] as const)'],
    ['([moves.s[i - 1]!, moves.powerMode[i - 1]!, moves.rapid[i - 1]!] as const)', '([0, 0, 1] as const)'],
    [': ([0, 0, 1] as const)', ': ([1000, 1, 0] as const)'],
    ['t += dwellS;', ''],
  ],
  'src/dose/walk-beam.ts': [
    ['peak <= stretch.feed &&', ''],
    ['&& law.isLinear(stretch.s)', ''],
    ['peak - Math.min(entry, exit) <= EVEN_SPEED_GRAIN * peak', 'true'],
    ['law.watts(at.s, middle / at.feed)', 'law.watts(at.s, v0 / at.feed)'],
    ['stretch.z = z0;', 'stretch.z = 0;'],
    ['watts * durationS, durationS, i - 1', 'watts, durationS, i - 1'],
  ],
  'src/dose/deposit.ts': [
    ['now.spotMm = scale * meanWidthMm(spot);', 'now.spotMm = meanWidthMm(spot);'],
    ['if (lengthMm < 1e-12)', 'if (lengthMm < 0)'],
    ['now.brush.point(x, y, pieceJ, Math.log(durationS));', 'now.brush.point(x, y, pieceJ, 0);'],
    ['for (const each of brushes.values()) each.flush();', 'now.brush.flush();'],
    ['missing > energyJ * 1e-9 ? missing : 0', '0'],
  ],
  'src/burn/depth.ts': [
    ['const DRYING_J_PER_KG = 2.6e6;', 'const DRYING_J_PER_KG = 2.0e6;'],
    ['const REMOVAL_MOISTURE_PERCENT = 12;', 'const REMOVAL_MOISTURE_PERCENT = 8;'],
    ['const HALF_WALL_LOSS_ASPECT = 5;', 'const HALF_WALL_LOSS_ASPECT = 8;'],
    ['removalJPerMm3(material) / widening(beam, 0)', 'removalJPerMm3(material)'],
    ['passes * doseJPerMm2 - begins', 'passes * (doseJPerMm2 - begins)'],
  ],
  'src/burn/need.ts': [
    [
      'Math.log(wavelengthNm / below.wavelength_nm) / span',
      '(wavelengthNm / below.wavelength_nm - 1) / span',
    ],
    ['(own.absorptance / beam.absorptance) *', ''],
    [
      'needAt = (need: Need, dwellS: number): number => need.byDepth + need.bySqrtS * Math.sqrt(dwellS)',
      'needAt = (need: Need, dwellS: number): number => need.byDepth + need.bySqrtS * dwellS',
    ],
  ],
};

export const MUTANTS: readonly Mutant[] = Object.entries(WRONG).flatMap(([file, wrong]) =>
  wrong.map(([from, to]) => ({ file, from, to })),
);
