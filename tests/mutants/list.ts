import { readFileSync } from 'node:fs';

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

/** A number read a third too great, and too small by as much; the words before it and behind it as they stand. */
const bothWays = (before: string, value: number, behind = ';'): Wrong['lines'] =>
  [value * 1.3, value / 1.3].map((wrong) => [
    `${before}${value}${behind}`,
    `${before}${Number(wrong.toPrecision(4))}${behind}`,
  ]);

/**
 * Wrong readings, by file. Each changes what the program does: none is only slower, and none loops for ever.
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
      ['((v0 - v1) * dtS) / (12 * pieces)', '0'],
    ],
  },
  'src/dose/deposit.ts': {
    tests: ['dose/dwell', 'dose/properties'],
    lines: [
      ['now.spotMm = scale * meanWidthMm(spot);', 'now.spotMm = meanWidthMm(spot);'],
      ['const NO_LENGTH_MM = 1e-12;', 'const NO_LENGTH_MM = -1;'],
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
    lines: [['stroke.energyJ * Math.max(0, stroke.z - lowestMm)', 'stroke.energyJ']],
  },
  'src/dose/lagging.ts': {
    tests: ['dose/late-beam', 'dose/walk-beam'],
    lines: [
      ['energyJ: power * tauS', 'energyJ: power'],
      ['piece.restW * tauS * (1 - piece.decay)', 'piece.restW * tauS * piece.decay'],
      ['const FOLLOWED_STEPS = 2;', 'const FOLLOWED_STEPS = 6;'],
      ['const OFF_PART = 1 / 4096;', 'const OFF_PART = 1;'],
      ['phase.v0 !== phase.v1 &&', 'false &&'],
      ['(v / 2 + (a * d) / 6)', '(v / 2 + (a * d) / 4)'],
      ['(v / 12 + (a * d) / 24)', '0'],
      ['restW * (v * first + (a * second) / 2)', 'restW * (v * d * first) / tauS'],
      ['Math.max(0, startS - head.startS)', '0'],
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
  'src/change/order.ts': {
    tests: ['change/laps', 'change/order'],
    lines: [
      ['(settled.has(next) && order[next] === next)', 'settled.has(next)'],
      ['(settled.has(next) && order[next] === next)', 'order[next] === next'],
      ['next < 0 || isAhead ||', 'next < 0 ||'],
      ['next === 0 && stops.beforeMove[k]! <= units[0]!.from', 'next === 0'],
      ['if (furthest === at) settled.add(at + 1);', 'settled.add(at + 1);'],
      ['wish?.last ? late : usual', 'wish?.last ? usual : late'],
      ['if (!isStill) mode = own;', ''],
    ],
  },
  'src/change/leave-out.ts': {
    tests: ['change/leave-out'],
    lines: [
      ['if (isLit(moves, k, firing)) s[k] = 0;', ''],
      ['while (needed > reach && k <= lastOut) {', 'while (needed > 2 * reach && k <= lastOut) {'],
      ['while (needed > reach && k > firstOut) {', 'while (needed > 2 * reach && k > firstOut) {'],
      ['if (!isRest() || lastMode() !== moves.powerMode[k]) addRest(k);', ''],
      ['if (stops.dwellS[stop]! > 0 && isLitAtRest(stops, stop, firing)) stopS[stop] = 0;', ''],
    ],
  },
  'src/outcome/update.ts': {
    tests: ['outcome/update'],
    lines: [
      ['const shrink = (ratio * (ratio + held)) / variance;', 'const shrink = 0;'],
      ["bound.seen === 'at least' ? 1 : -1", '1'],
      ['isContradictory ? scaleFor(chi, seen.length) : 1', '1'],
      ['bound.plusMinus ** 2', '0'],
      ['mean: logs, covariance: symmetric(left)', 'mean: logs, covariance: prior.covariance'],
    ],
  },
  'src/change/repeat-passes.ts': {
    tests: ['change/laps'],
    lines: [
      ['level ? laps[(kept + k) % laps.length]! : laps.at(-1)!', 'laps[(kept + k) % laps.length]!'],
      ['level ? laps[(kept + k) % laps.length]! : laps.at(-1)!', 'laps.at(-1)!'],
      ['Math.min(passes, laps.length)', 'laps.length'],
      ['key.every((each, k) => each === key[k % perLap])', 'true'],
      ['key.every((each, k) => each === key[k - (k % now)])', 'true'],
      ['{ length: passes - kept }', '{ length: passes - kept + 1 }'],
    ],
  },
  'src/change/what-if.ts': {
    tests: ['change/what-if'],
    lines: [
      ['before[n] !== after[n] ||', ''],
      ["|| before[n] !== ''", ''],
      ['before[0] !== after[0] || travelBurns', 'before[0] !== after[0]'],
      ['if (stops.dwellS[k]! > 0) s.push(stops.s[k]!);', 's.push(stops.s[k]!);'],
      ['if (a.peakMmPerS === b.peakMmPerS) return true;', 'return true;'],
    ],
  },
  'src/change/emission.ts': {
    tests: ['change/what-if'],
    lines: [
      ['Math.max(sMax, sMax * scale)', 'sMax * scale'],
      ["if (powerMode === 'proportional') return null;", ''],
    ],
  },
  'src/change/same-work.ts': {
    tests: ['change/same-work'],
    lines: [
      ['const PLACE_MM = 5e-5;', 'const PLACE_MM = 6.5e-5;'],
      ['const PLACE_MM = 5e-5;', 'const PLACE_MM = 3.8e-5;'],
      ['const FEED_PART = 1e-6;', 'const FEED_PART = 1.35e-6;'],
      ['a.stops.dwellS[i] === b.stops.dwellS[j] &&', ''],
      ['litA === litB &&', ''],
      ['(!litA || near(a.stops.s[i]!, b.stops.s[j]!, sGrain))', 'true'],
      ['if (a.moves.count !== b.moves.count) return count;', ''],
    ],
  },
  'src/change/rounding.ts': {
    tests: ['change/same-work'],
    lines: [
      ['10 ** (5 - ', '10 ** (4 - '],
      ['Math.max(1, Math.round(s * grains))', 'Math.round(s * grains)'],
      ['.toPrecision(5)', '.toPrecision(3)'],
    ],
  },
  'src/burn/depth.ts': {
    tests: ['burn/constants', 'burn/depth'],
    lines: [
      ['const DRYING_J_PER_KG = 2.6e6;', 'const DRYING_J_PER_KG = 2.0e6;'],
      ['const REMOVAL_MOISTURE_PERCENT = 12;', 'const REMOVAL_MOISTURE_PERCENT = 9;'],
      ['const HALF_WALL_LOSS_ASPECT = 5;', 'const HALF_WALL_LOSS_ASPECT = 6.5;'],
      ['const HALF_WALL_LOSS_ASPECT = 5;', 'const HALF_WALL_LOSS_ASPECT = 3.8;'],
      ['removalJPerMm3: removal / widening(beam, 0)', 'removalJPerMm3: removal'],
      ['passes * doseJPerMm2 - begins', 'passes * (doseJPerMm2 - begins)'],
      ['/ (1 + moisture / 100)) * 1e-9', ') * 1e-9'],
      ['(1 + aspect * aspect);', '(1 + aspect);'],
    ],
  },
  'src/burn/need.ts': {
    tests: ['burn/constants'],
    lines: [
      ['Math.log(wavelengthNm / from) / span', '(wavelengthNm / from - 1) / span'],
      ['(absorptanceBy(material, own) / absorptance) *', ''],
      ['need.bySqrtS * Math.sqrt(dwellS);', 'need.bySqrtS * dwellS;'],
      [
        'conducted / (absorptance * material.full_char_j_mm2.value)',
        'conducted / material.full_char_j_mm2.value',
      ],
      ['from * (to / from) ** part', 'from + (to - from) * part'],
    ],
  },
  'src/burn/tone.ts': {
    tests: ['burn/constants'],
    lines: [
      ['export const CHAR_BEGINS_TONE = 0.4;', 'export const CHAR_BEGINS_TONE = 0.3;'],
      ["{ name: 'tan', fromTone: 0.05 }", "{ name: 'tan', fromTone: 0.065 }"],
      ["{ name: 'char', fromTone: 0.75 }", "{ name: 'char', fromTone: 0.6 }"],
    ],
  },
  'src/burn/wood-answer.ts': {
    tests: ['burn/constants'],
    lines: [
      ['const SAME_HEIGHT = 0.01;', 'const SAME_HEIGHT = 0.4;'],
      ['begins * needTimes * needAt(need, dwellS) + excessForDepth', 'begins + excessForDepth'],
    ],
  },
  'src/burn/beam-on-wood.ts': {
    tests: ['burn/constants', 'burn/depth'],
    lines: [
      ['const CONE_RAD = 0.04;', 'const CONE_RAD = 0.052;'],
      ['headZMm - spot.focus_z_mm', 'spot.focus_z_mm - headZMm'],
    ],
  },
  'src/burn/wood-physics.ts': {
    tests: ['burn/wood-physics'],
    lines: [
      ['+ 0.004064 * moisturePercent', ''],
      ['(4.18 * x) / 100', '(2.09 * x) / 100'],
      ['(Math.sqrt(Math.PI) / 2) * effusivity', 'effusivity'],
    ],
  },
  'src/burn/line-dose.ts': {
    tests: ['burn/line-dose'],
    lines: [["'uniform-ellipse': 4 / Math.PI,", "'uniform-ellipse': 1,"]],
  },
  'src/burn/burn-dose.ts': {
    tests: ['burn/burn-dose'],
    lines: [
      ['lookUp(depthValues, dose - removalPlain * need)', 'lookUp(depthValues, dose - removalPlain)'],
      ['lookUp(toneValues, dose / need)', 'lookUp(toneValues, dose)'],
      ['(doseAbove![k]! / dose) * perMm', 'doseAbove![k]! / dose'],
      ['const HEIGHT_GRAIN = 0.1;', 'const HEIGHT_GRAIN = 1;'],
      ['if (lnDwell > longest) longest = lnDwell;', ''],
    ],
  },
  'src/findings/speed-capped.ts': {
    tests: ['findings/limits'],
    lines: [['const asked = there / times;', 'const asked = there;']],
  },
  'src/findings/evidence/capped.ts': {
    tests: ['findings/limits', 'findings/together'],
    lines: [...bothWays('const MATTERS = ', 0.05), ['setting: `speed', "setting: '' && `speed"]],
  },
  'src/findings/evidence/survey.ts': {
    tests: ['findings/limits'],
    lines: [
      ['export const SLOW = 0.9;', 'export const SLOW = 0.97;'],
      ['export const SLOW = 0.9;', 'export const SLOW = 0.7;'],
      ...bothWays('const MOSTLY = ', 0.5),
      ['const CAPPED = 1.005;', 'const CAPPED = 1.0065;'],
      ['const CAPPED = 1.005;', 'const CAPPED = 1.0038;'],
    ],
  },
  'src/findings/below-threshold.ts': {
    tests: ['findings/limits'],
    lines: [...bothWays('const SPOILS = ', 0.05)],
  },
  'src/findings/rows-shifted.ts': {
    tests: ['findings/limits'],
    lines: [
      ...bothWays('const SHOWS = ', 0.5),
      ...bothWays('const SPOILS = ', 1),
      ...bothWays('const BACK_AND_FORTH = ', 0.2),
      ...bothWays('const SLOWEST = ', 3),
      ['Math.abs(2 * speed * lateS)', 'Math.abs(speed * lateS)'],
    ],
  },
  'src/findings/stripes.ts': {
    tests: ['findings/limits'],
    lines: [
      ...bothWays('const LEAST_RIPPLE = ', 0.1),
      ...bothWays('Math.tan((', 2, ' / 60)'),
      ...bothWays('const EVEN = ', 0.02),
      ['const FEWEST_ROWS = 3;', 'const FEWEST_ROWS = 4;'],
      // Not 2: what is burned in fewer than three lines is not taken for rows in the first place.
    ],
  },
  'src/findings/starved.ts': {
    tests: ['findings/limits', 'findings/small-limits'],
    lines: [
      ...bothWays('const COSTS = ', 0.05),
      ...bothWays('const COSTS_S = ', 0.5),
      ...bothWays('const SPARE = ', 0.9),
    ],
  },
  'src/findings/below-speed.ts': {
    tests: ['findings/limits', 'findings/small-limits'],
    lines: [
      ['export const FOLLOWS = 0.95;', 'export const FOLLOWS = 0.97;'],
      ['export const FOLLOWS = 0.95;', 'export const FOLLOWS = 0.93;'],
      ...bothWays('const WITHIN_PACE = ', 0.7),
    ],
  },
  'src/findings/cut-before-engraved.ts': {
    tests: ['findings/cut-order'],
    lines: [
      ['const LIKELY = 0.5;', 'const LIKELY = 0.2;'],
      ['const LIKELY = 0.5;', 'const LIKELY = 0.9;'],
    ],
  },
  'src/findings/slow-rows.ts': {
    tests: ['findings/as-forecast'],
    lines: bothWays('const PART = ', 0.1),
  },
  'src/findings/evidence/board-on-bed.ts': {
    tests: ['findings/limits', 'findings/variants', 'findings/board-on-bed'],
    lines: [
      ...bothWays('export const ROUNDING_MM = ', 0.01),
      ['xMm[i] === 0 && yMm[i] === 0 && !burns(i)', 'xMm[i] === 0 && !burns(i)'],
      ['&& !burns(i) && !burns(i + 1)', '&& !burns(i)'],
      ['&& !burns(i) && !burns(i + 1)', '&& !burns(i + 1)'],
      ['if (burns(0)) reach(bounds, 0, 0);', ''],
      ["isWholly ? 'wholly' : 'partly'", "'partly'"],
      ['Math.max(board.minXMm, bed.minXMm + burn.minXMm - sent.minXMm)', 'board.minXMm'],
    ],
  },
  'src/findings/wrong-size.ts': {
    tests: ['findings/limits'],
    lines: [...bothWays('const SAME = ', 0.01), ...bothWays('const SAME_MM = ', 0.5)],
  },
  'src/findings/burned-twice.ts': {
    tests: ['findings/limits'],
    lines: [...bothWays('const IN_PASSES = ', 0.75)],
  },
  'src/findings/evidence/overlaps.ts': {
    tests: ['findings/limits', 'findings/small-limits'],
    lines: [
      ...bothWays('const SAME_LINE = ', 0.25),
      ...bothWays('Math.sin((', 10, ' * Math.PI) / 180)'),
      ...bothWays('const SAME_STROKE_MM = ', 1),
      ...bothWays('const LEAST_MM = ', 1),
      ...bothWays('const LEAVES_AT = ', 0.01),
      ...bothWays('const LEAVES_BY = ', 0.35),
      ...bothWays('const LEAVES_STEEPLY = ', 0.05),
    ],
  },
  'src/findings/evidence/cuts.ts': {
    tests: ['findings/limits'],
    lines: [
      ...bothWays('const HALF = ', 0.5),
      ...bothWays('const QUARTER = ', 0.25),
      ...bothWays('const TENTH = ', 0.1),
      ...bothWays('const NEARLY_FULL = ', 0.8),
    ],
  },
  'src/findings/warm-fill.ts': {
    tests: ['findings/warm-fill'],
    lines: [
      ...bothWays('const DARK_SHARE = ', 0.05),
      ...bothWays('const DARK_MM2 = ', 8),
      ...bothWays('const LESS_POWER = ', 0.875),
      ...bothWays('const FAR_LESS_POWER = ', 0.83),
      ...bothWays('const MOST = ', 0.5),
      ['cool / (usual + cool - there)', 'usual / (usual + cool - there)'],
      ['return lengthMm;', 'return motion.lengthMm[move]!;'],
    ],
  },
  'src/findings/too-deep.ts': {
    tests: ['findings/limits', 'findings/small-limits', 'findings/too-deep'],
    lines: [
      ...bothWays('const SLOW_PART = ', 0.25),
      ...bothWays('export const DEEPEST_ENGRAVING = ', 0.25),
      ...bothWays('const FEWEST_SAMPLES = ', 10),
      ...bothWays('const DEEPEST_SHARE = ', 0.05),
      ['const AIM = 0.9;', 'const AIM = 1;'],
      ...bothWays('const AIM = ', 0.9).slice(1),
      ['|| i === at + stride', ''],
    ],
  },
  'src/findings/evidence/on-path.ts': {
    tests: ['findings/too-deep'],
    lines: [
      ['return alongAxis ** 2;', 'return alongAxis;'],
      ['Math.min(...spot.width_mm)', 'Math.max(...spot.width_mm)'],
      ['y <= Math.min(ny - 1, j + 1)', 'y <= j'],
    ],
  },
  'src/findings/evidence/loops.ts': {
    tests: ['findings/limits'],
    lines: [...bothWays('const MEETS_MM = ', 0.05), ...bothWays('const SHORTEST_MM = ', 1)],
  },
  'src/findings/more-than-needed.ts': {
    tests: ['findings/thresholds', 'findings/limits', 'findings/variants', 'findings/advised-cuts'],
    lines: [
      ['if (sureness.comesThrough(least).chanceThrough >= sure) return plan;', 'return plan;'],
      ['Math.min(enough, fastestMmPerS(evidence, operation, then))', 'enough'],
      ['const BELOW = 0.99;', 'const BELOW = 1.03;'],
      ['const BELOW = 0.99;', 'const BELOW = 0.95;'],
    ],
  },
  'src/findings/may-ignite.ts': {
    tests: ['findings/thresholds', 'findings/limits'],
    lines: [
      ...bothWays('export const LINGERS_S = ', 0.5),
      ...bothWays('const DRILLS = ', 10),
      ...bothWays('export const FAR_MORE = ', 5),
      ...bothWays('const SPARE = ', 0.5),
      ...bothWays('const SLIP = ', 60),
    ],
  },
  'src/findings/no-mark.ts': {
    tests: ['findings/thresholds'],
    lines: [...bothWays('const ALMOST_NOTHING = ', 0.05)],
  },
  'src/findings/tones-lost.ts': {
    tests: ['findings/thresholds', 'findings/tones-lost'],
    lines: [
      ['(followsSpeed ? Math.round(Math.log(s) / SAME_LEVEL) : s)', 's'],
      ['followsTones ? Math.log(s) : s', 's'],
      ['lightness(mostJPerMm2) + L_SEEN_FROM', 'lightness(mostJPerMm2) + 3 * L_SEEN_FROM'],
      ['crest / straight.crest : 1', '1 : 1'],
      ...bothWays('const MANY_LEVELS = ', 8),
      ...bothWays('const LOST_LENGTH = ', 0.25),
      ...bothWays('const LOST_DARK_RANGE = ', 0.25),
      ...bothWays('const LOST_LIGHT_RANGE = 1 / ', 3),
    ],
  },
  'src/findings/evidence/lit-samples.ts': {
    tests: ['findings/tones-lost'],
    lines: [['(law.watts(s, 1) * lineJPerMm) / fullJPerMm', 'law.watts(s, 1)']],
  },
  'src/findings/evidence/gaps.ts': {
    tests: ['findings/thresholds', 'findings/small-limits'],
    lines: [...bothWays('const SEEN_WIDTHS = ', 1), ...bothWays('const AIM_WIDTHS = ', 0.7)],
  },
  'src/findings/evidence/visible-difference.ts': {
    tests: ['findings/looks'],
    lines: [...bothWays('export const PLAINLY_DIFFERENT = ', 6)],
  },
  'src/findings/evidence/evidence.ts': {
    tests: ['findings/looks'],
    lines: [...bothWays('export const FELT_MM = ', 0.2), ...bothWays('const DEEPEST_LINE_MM = ', 1)],
  },
  'src/findings/evidence/run-up.ts': {
    tests: ['findings/looks'],
    lines: [
      ['const SPARE = 1.07;', 'const SPARE = 1.09;'],
      ['const SPARE = 1.07;', 'const SPARE = 1.05;'],
    ],
  },
  'src/findings/evidence/cut-forecast.ts': {
    tests: ['findings/looks'],
    lines: [
      ...bothWays('const JUST = ', 0.005),
      ['export const NEARLY_ALL = 0.98;', 'export const NEARLY_ALL = 0.99;'],
      ['export const NEARLY_ALL = 0.98;', 'export const NEARLY_ALL = 0.97;'],
    ],
  },
  'src/findings/evidence/dark-places.ts': {
    tests: ['findings/limits', 'findings/small-limits'],
    lines: [
      ...bothWays('export const DARK = ', 1.5),
      ...bothWays('const GROUND = ', 1.25),
      ['if (times * warm < standard.dark) return 0;', 'if (times < standard.dark) return 0;'],
    ],
  },
  'src/findings/dark-row-end.ts': {
    tests: ['findings/variants', 'findings/limits', 'findings/small-limits'],
    lines: [
      ['Math.abs(vx * rows.ux + vy * rows.uy) > ALONG', 'Math.abs(vx * rows.ux + vy * rows.uy) > 1.1'],
      ['Math.abs(vx * rows.ux + vy * rows.uy) > ALONG', 'Math.abs(vx * rows.ux + vy * rows.uy) > -1.1'],
      [
        'const standard = fullSpeedStandard(timesFullSpeed(survey, n));',
        'const standard = fullSpeedStandard(1);',
      ],
      ['Math.min(spotMm, pieceMm)', 'spotMm'],
    ],
  },
  'src/findings/dark-corner.ts': {
    tests: ['findings/limits', 'findings/variants', 'findings/small-limits'],
    lines: [
      ['Math.cos(Math.PI / 180)', 'Math.cos((1.3 * Math.PI) / 180)'],
      ['Math.cos(Math.PI / 180)', 'Math.cos((0.75 * Math.PI) / 180)'],
      ['|| isOnTheWayUp(evidence, i)', ''],
      ['if (!nominalMmPerS[k]) return true;', 'return true;'],
      ['return !nominalMmPerS[k];', 'return false;'],
    ],
  },
  'src/burn/ripple.ts': {
    tests: ['findings/no-grid', 'findings/ripple'],
    lines: [
      ...bothWays('const AREA_SPOTS = ', 5),
      ['const SAME_SPACING = 1.005;', 'const SAME_SPACING = 1;'],
      ['const ALONE_SPOTS = 20;', 'const ALONE_SPOTS = 1.1;'],
      ['Math.min(crest, readCrest ?? crest)', 'crest'],
      ['? read : read / crest', '? read : 1'],
    ],
  },
  'src/findings/evidence/middle-speed.ts': {
    tests: ['findings/as-forecast'],
    lines: [
      ['mmPerS: mean((i) => speed(i, part)),', 'mmPerS: mean((i) => speed(i, 1)),'],
      ['fullJPerMm > 0 ? thereJPerMm / fullJPerMm : 1', '1'],
      ['< 0.5) part = next', '< 0.3) part = next'],
    ],
  },
  'src/findings/faint-corner.ts': {
    tests: ['findings/small-limits'],
    lines: [
      ['const NEARLY_ALL = 0.98;', 'const NEARLY_ALL = 0.99;'],
      ['const NEARLY_ALL = 0.98;', 'const NEARLY_ALL = 0.97;'],
    ],
  },
  'src/findings/find-all.ts': {
    tests: ['findings/many'],
    lines: [
      ['const MOST_OF_A_KIND = 8;', 'const MOST_OF_A_KIND = 9;'],
      ['const MOST_OF_A_KIND = 8;', 'const MOST_OF_A_KIND = 7;'],
    ],
  },
  'src/findings/evidence/even-out.ts': {
    tests: ['findings/variants', 'findings/small-limits'],
    lines: [...bothWays('const WITHIN = ', 1.3)],
  },
  'src/findings/evidence/cut-path.ts': {
    tests: ['findings/cut-forecast', 'findings/small-limits'],
    lines: [...bothWays('const BRIDGE_MM = ', 0.5), ...bothWays('const APART_MM = ', 5)],
  },
  'src/findings/evidence/link-holds.ts': {
    tests: ['findings/small-limits'],
    lines: [
      ['const BUSY = 0.8;', 'const BUSY = 1.3;'],
      ['if (rests.starved[k]) return true;', ''],
    ],
  },
  'src/findings/evidence/darkness.ts': {
    tests: ['findings/small-limits'],
    lines: [...bothWays('const TOLD_MM = ', 0.1)],
  },
  'src/findings/evidence/line-energy.ts': {
    tests: ['findings/line-energy'],
    lines: [
      ['const AT_FULL_SPEED = 0.97;', 'const AT_FULL_SPEED = 0.99;'],
      ['const AT_FULL_SPEED = 0.97;', 'const AT_FULL_SPEED = 0.95;'],
      ['? fastest[n]! : 1', '? 0 : 1'],
    ],
  },
  'src/findings/evidence/row-lines.ts': {
    tests: ['findings/geometry'],
    lines: [...bothWays('const SAME_ROW_MM = ', 0.004), ...bothWays('const STEP_SLOPE = ', 0.05)],
  },
  'src/program/beam-on.ts': {
    tests: ['dose/walk-beam', 'dose/late-beam'],
    lines: [
      ['rapid === 0 || firesOnRapids', 'rapid === 0'],
      ['beam.powerMode[k] === POWER_CONSTANT &&', ''],
      ['speedMmPerS / feed : 1', '1 : 1'],
    ],
  },
};

export const MUTANTS: readonly Mutant[] = Object.entries(WRONG).flatMap(([file, { tests, lines }]) =>
  lines.map(([from, to]) => ({ file, from, to, tests: tests.map((test) => `tests/${test}.test.ts`) })),
);

/** Those whose line is not in its file, or twice: they would say nothing, and the list is out of date. @param root ends with a slash. */
export const staleOf = (mutants: readonly Mutant[], root: string): Mutant[] =>
  mutants.filter(({ file, from }) => readFileSync(`${root}${file}`, 'utf8').split(from).length !== 2);
