import type { Machine } from '../machine/profile.ts';
import { cornerRule } from '../motion/limits.ts';
import { feedWords, numberWords } from '../words.ts';
import { type Say, type Sentence, SHORT_MOVE_MM } from './sentence.ts';

/** `x 6000, y 5000 and z 600 mm/min`. */
const overAxes = (words: readonly string[], unit: string): string =>
  `x ${words[0]}, y ${words[1]} and z ${words[2]} ${unit}`;
const feedNumber = (mmPerS: number): string => feedWords(mmPerS).replace(' mm/min', '');

/** What the head does, and how far it needs for it. */
export function headSentences(machine: Machine, say: Say): Sentence[] {
  const { max_speed_mm_s: top, acceleration_mm_s2: accel, work_area_mm: area } = machine;
  const turnMm = [0, 1].map((axis) => top[axis]! ** 2 / (2 * accel[axis]!));
  return [
    say(`The bed measures ${numberWords(area[0], 4)} × ${numberWords(area[1], 4)} mm.`, 'work_area_mm'),
    say(`It moves at up to ${overAxes(top.map(feedNumber), 'mm/min')}.`, 'max_speed_mm_s'),
    say(
      `It gains and loses speed at ${overAxes(
        accel.map((a) => numberWords(a, 4)),
        'mm/s²',
      )}.`,
      'acceleration_mm_s2',
    ),
    say(
      `To turn round at full speed it needs ${numberWords(turnMm[0]!)} mm along x and ${numberWords(turnMm[1]!)} mm along y (v²/2a): that is the overscan raster rows want; at half the speed, a quarter of it.`,
      'max_speed_mm_s',
      'acceleration_mm_s2',
    ),
    cornerSentence(machine, say),
    lookaheadSentence(machine, say),
    say(
      `Arcs are cut into chords that keep within ${numberWords(machine.arc_tolerance_mm)} mm of them.`,
      'arc_tolerance_mm',
    ),
    say(`The P of G4 counts ${machine.dwell_unit === 's' ? 'seconds' : 'milliseconds'}.`, 'dwell_unit'),
  ];
}

/** Speeds of a right angle from x into y, and of a bend of 30°, by the rule the planner itself uses. */
function cornerSentence(machine: Machine, say: Say): Sentence {
  const { cornering, max_speed_mm_s: top } = machine;
  const rule = cornerRule(machine);
  const speedOf = (turnRad: number): number => {
    const [cos, sin] = [Math.cos(turnRad), Math.sin(turnRad)];
    return Math.min(top[0], top[1], Math.sqrt(rule(cos, cos - 1, sin, 0)));
  };
  const square = speedOf(Math.PI / 2);
  const speeds =
    square === 0
      ? 'it comes to rest at every corner'
      : `it takes a right angle at ${feedWords(square)} and a bend of 30° at ${feedWords(speedOf(Math.PI / 6))}`;
  return cornering.rule === 'junction-deviation'
    ? say(
        `With a junction deviation of ${numberWords(cornering.deviation_mm)} mm ${speeds}.`,
        'cornering.deviation_mm',
      )
    : say(
        `With a step of ${feedWords(cornering.step_mm_s)} allowed to each axis ${speeds}.`,
        'cornering.step_mm_s',
      );
}

/**
 * What the buffer allows on short moves in a straight line: between √(2a(N−1)L) where moves meet and
 * √(2a(N−½)L) in the middle of them. Source: v² = 2·a·s over what is known ahead.
 */
function lookaheadSentence(machine: Machine, say: Say): Sentence {
  const moves = machine.lookahead_moves;
  if (moves === null) return say('It knows the whole job ahead.', 'lookahead_moves');
  const along = 2 * machine.acceleration_mm_s2[0] * SHORT_MOVE_MM;
  const least = Math.sqrt(along * (moves - 1));
  const most = Math.sqrt(along * (moves - 0.5));
  const limit =
    least >= machine.max_speed_mm_s[0]
      ? `enough for full speed even in steps of ${SHORT_MOVE_MM} mm`
      : `in steps of ${SHORT_MOVE_MM} mm along x it goes no faster than ${feedNumber(least)} to ${feedWords(most)}`;
  return say(
    `It knows ${moves === 1 ? 'only the move under way' : `${moves} moves at once`}: ${limit}.`,
    'lookahead_moves',
    'acceleration_mm_s2',
  );
}
