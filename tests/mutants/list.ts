/** One line of the source read wrongly. */
export interface Mutant {
  /** From the project's root. */
  readonly file: string;
  /** What stands there, found exactly once in the file. */
  readonly from: string;
  readonly to: string;
  /** The test files that should notice, from the project's root. */
  readonly tests: readonly string[];
}

interface Wrong {
  /** The test files that should notice, within `tests/` and without their ending. */
  readonly tests: readonly string[];
  /** What stands there, and what it is read as. */
  readonly lines: readonly (readonly [from: string, to: string])[];
}

/**
 * Wrong readings, by file. Each changes what the program does: none is only slower, and none loops for ever. A number
 * is a third more or less of what it is, unless that is told otherwise.
 */
const WRONG: Readonly<Record<string, Wrong>> = {
  'src/motion/rests.ts': {
    tests: ['motion/link', 'motion/timeline'],
    lines: [
      ['if (dwellS <= 0) continue;', ''],
      ['if (untilS <= timeS) return timeS;', ''],
      ['k >= 0 && stops.beforeMove[k] === i', 'k >= 0'],
      ['([stops.s[k]!, stops.powerMode[k]!, stops.rapid[k]!] as const)', '([0, 0, 1] as const)'],
      ['([moves.s[i - 1]!, moves.powerMode[i - 1]!, moves.rapid[i - 1]!] as const)', '([0, 0, 1] as const)'],
      [': ([0, 0, 1] as const)', ': ([1000, 1, 0] as const)'],
      ['t += dwellS;', ''],
    ],
  },
  'src/motion/link.ts': {
    tests: ['motion/link'],
    lines: [
      ['const BITS_PER_BYTE = 10;', 'const BITS_PER_BYTE = 8;'],
      ['endS[taken - slots]!', 'endS[taken - slots + 1]!'],
      ['taken >= slots ?', 'taken > slots ?'],
      ['Math.max(freeS + carryS, roomS)', 'freeS + carryS'],
      ['(bytes + link.ack_bytes)', 'bytes'],
      ['carriedLine = moves.line[taken]!;', 'carriedLine = moves.line[taken]! - 1;'],
    ],
  },
  'src/motion/plan.ts': {
    tests: ['motion/lookahead', 'motion/link', 'motion/timeline'],
    lines: [
      ['limits.cornerSquared[stops.beforeMove[k]!] = 0;', ''],
      ['Math.min(count, i + slots)', 'Math.min(count, i + slots + 1)'],
      ['if (gathered >= best) return best;', 'if (gathered >= best / 2) return best;'],
      ['link.arrivalS() <= timeS', 'link.arrivalS() <= timeS + 0.01'],
      ['knownEnd = link.taken;', 'knownEnd = i + 1;'],
    ],
  },
  'src/motion/limits.ts': {
    tests: ['motion/corners', 'motion/lookahead'],
    lines: [
      ['(accelMmPerS2 * deviationMm * s) / (1 - s)', '(accelMmPerS2 * deviationMm) / (1 - s)'],
      ['Math.min(slower * slower, limit)', 'limit'],
      ['rapid[i] ? top :', 'rapid[i] ? feedMmPerS[i]! :'],
      ['corner(cosTurn, vx - ux, vy - uy, vz - uz)', 'corner(cosTurn, vx + ux, vy + uy, vz + uz)'],
      ['alongDirection(step, dx, dy, dz) ** 2', 'alongDirection(step, dx, dy, dz)'],
    ],
  },
  'src/motion/timeline.ts': {
    tests: ['motion/timeline'],
    lines: [['length - (exit + (a * leftS) / 2) * leftS', 'length - exit * leftS']],
  },
  'src/motion/trapezoid.ts': {
    tests: ['motion/textbook', 'motion/lookahead'],
    lines: [
      ['(entryMmPerS * entryMmPerS + exitMmPerS * exitMmPerS) / 2', '0'],
      ['return Math.min(nominalMmPerS, free);', 'return free;'],
    ],
  },
  'src/dose/walk-beam.ts': {
    tests: ['dose/walk-beam', 'dose/motion-cases'],
    lines: [
      ['peak <= stretch.feed &&', ''],
      ['&& law.isLinear(stretch.s)', ''],
      ['peak - Math.min(entry, exit) <= EVEN_SPEED_GRAIN * peak', 'true'],
      ['law.watts(at.s, middle / at.feed)', 'law.watts(at.s, v0 / at.feed)'],
      ['stretch.z = z0;', 'stretch.z = 0;'],
      ['const energyJ = watts * durationS;', 'const energyJ = watts;'],
      ['y1: y0, z: z0 }', 'y1: y0, z: 0 }'],
      ['stretch.tS = startS[i]!;', 'stretch.tS = startS[i + 1]!;'],
      ['handRamp(at, lengthMm - downMm,', 'handRamp(at, lengthMm - upMm,'],
      ['(k + 0.5)) / pieces', 'k) / pieces'],
      ['const SLOPE_GRAIN_MM = 0.1;', 'const SLOPE_GRAIN_MM = 0.3;'],
    ],
  },
  'src/dose/deposit.ts': {
    tests: ['dose/dwell', 'dose/properties'],
    lines: [
      ['now.spotMm = scale * meanWidthMm(spot);', 'now.spotMm = meanWidthMm(spot);'],
      ['if (lengthMm < 1e-12)', 'if (lengthMm < 0)'],
      ['now.brush.point(x0, y0, energyJ, Math.log(durationS));', 'now.brush.point(x0, y0, energyJ, 0);'],
      ['for (const each of brushes.values()) each.flush();', 'now.brush.flush();'],
      ['missing > energyJ * 1e-9 ? missing : 0', '0'],
      ['tally?.add(move, energyJ, durationS);', ''],
    ],
  },
  'src/dose/tally.ts': {
    tests: ['dose/dwell'],
    lines: [['move < 0 ? 0 : moves.operation[move]!', 'moves.operation[Math.max(0, move)]!']],
  },
  'src/dose/heights.ts': {
    tests: ['dose/walk-beam'],
    lines: [['take(i > 0 ? zMm[i - 1]! : 0);', '']],
  },
  'src/dose/land.ts': {
    tests: ['dose/walk-beam'],
    lines: [
      [
        'above.stroke({ ...stroke, energyJ: stroke.energyJ * Math.max(0, stroke.z - lowestMm) });',
        'above.stroke(stroke);',
      ],
    ],
  },
  'src/dose/lagging.ts': {
    tests: ['dose/late-beam'],
    lines: [
      ['energyJ: power * tauS', 'energyJ: power'],
      ['(power - middle) * tauS * (1 - decay)', '(power - middle) * tauS * decay'],
      ['Math.max(0, t - head.startS)', '0'],
    ],
  },
  'src/dose/coarse.ts': {
    tests: ['dose/coarse'],
    lines: [
      ['const TOGETHER_SIGMA = 0.3;', 'const TOGETHER_SIGMA = 3;'],
      ['(j & 1 ? 1 : -1)', '(j & 1 ? -1 : 1)'],
      ['(9 * values[a]! + 3 * values[b]! + 3 * values[c]! + values[d]!)', '(16 * values[a]!)'],
      ['energyLnDwell / energyJ);', 'energyLnDwell);'],
    ],
  },
  'src/dose/gaussian.ts': {
    tests: ['dose/closed-forms', 'dose/properties'],
    lines: [
      ['const GAUSS_NODE = 0.5 / Math.sqrt(3);', 'const GAUSS_NODE = 0.5;'],
      ['const PIECE_SIGMA = 1.5;', 'const PIECE_SIGMA = 4;'],
      ['const MANY_TIMES = 2000;', 'const MANY_TIMES = 2e9;'],
      ['Math.sign(rho) *', ''],
    ],
  },
  'src/dose/uniform.ts': {
    tests: ['dose/closed-forms'],
    lines: [
      ['(2 * k + 1) / CHORDS - 1', '(2 * k) / CHORDS - 1'],
      ['Math.abs(u * sin) + Math.abs(v * cos)', 'Math.hypot(u * sin, v * cos)'],
    ],
  },
  'src/program/beam-on.ts': {
    tests: ['dose/walk-beam', 'dose/late-beam'],
    lines: [
      ['powerMode[k] !== POWER_OFF && s[k]! > 0', 'powerMode[k] !== POWER_OFF'],
      ['rapid === 0 || firesOnRapids', 'rapid === 0'],
      ['beam.powerMode[k] === POWER_CONSTANT &&', ''],
      ['speedMmPerS / feed : 1', '1 : 1'],
    ],
  },
};

export const MUTANTS: readonly Mutant[] = Object.entries(WRONG).flatMap(([file, { tests, lines }]) =>
  lines.map(([from, to]) => ({ file, from, to, tests: tests.map((test) => `tests/${test}.test.ts`) })),
);
