import { linePeakDoseJPerMm2 } from '../burn/line-dose.ts';
import { widthAcrossMm } from '../laser/spot.ts';
import { leastOf } from '../lists.ts';
import { moveTimeS } from '../motion/timeline.ts';
import { asksForLight, speedRatio } from '../program/beam-on.ts';
import { lengthWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import { gatherPlaces } from './evidence/places.ts';
import { dwellUnderSpotS } from './evidence/spot-widths.ts';
import { PLAINLY_DIFFERENT } from './evidence/visible-difference.ts';
import type { Finding } from './finding.ts';
import { aboutFeed, capital, countWords, doseWords, round } from './phrases.ts';

/**
 * `beam-on-travel`: rapids that burn a line between strokes, on a machine whose beam stays on in them. A faint
 * beam that leaves no mark (showing a job's outline before burning) is no trouble. One finding for the job.
 */
export function findBeamOnTravel({ program, motion, machine, law, eye }: Evidence): Finding[] {
  if (!machine.laser.fires_on_rapids) return [];
  const { moves } = program;
  const { xMm, yMm, zMm, s, rapid, line } = moves;
  const places = gatherPlaces(0);
  let burnedMm = 0;
  for (let i = 0; i < moves.count; i++) {
    if (rapid[i] === 0 || !asksForLight(moves, i)) continue;
    const x0 = i > 0 ? xMm[i - 1]! : 0;
    const y0 = i > 0 ? yMm[i - 1]! : 0;
    const dx = xMm[i]! - x0;
    const dy = yMm[i]! - y0;
    const flat = Math.sqrt(dx * dx + dy * dy);
    if (flat === 0) continue;
    const speed = motion.lengthMm[i]! / moveTimeS(motion, i);
    const across = widthAcrossMm(machine.spot, dx / flat, dy / flat, zMm[i]!);
    const dose = linePeakDoseJPerMm2(
      law.watts(s[i]!, speedRatio(moves, i, speed)),
      speed,
      across,
      machine.spot.shape,
    );
    const dwellS = dwellUnderSpotS(machine.spot, speed, zMm[i]!);
    if (eye.difference(dose, dwellS, 0, dwellS) < PLAINLY_DIFFERENT) continue;
    burnedMm += flat;
    places.add(dose, 0, [x0 + dx / 2, y0 + dy / 2], { line: line[i]!, move: i });
    places.lift();
  }
  const gathered = places.finish();
  if (!gathered) return [];
  const { count, worst, places: where } = gathered;
  const speed = motion.lengthMm[worst.move]! / moveTimeS(motion, worst.move);
  const rapids = countWords(count, 'rapid');
  return [
    {
      kind: 'beam-on-travel',
      severity: 'warning',
      line: worst.line,
      atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
      operation: null,
      message:
        `${capital(rapids)} ${count === 1 ? 'burns' : 'burn'} ${lengthWords(burnedMm)} of line where only travel is ` +
        `meant: this machine's beam stays on in G0, and at ${aboutFeed(speed)} it gives ${doseWords(worst.worse)}, ` +
        'which shows.',
      remedy: `Switch the beam off (S0) before each G0; the first such line is ${leastOf(where.map((place) => place[2]))}.`,
      measure: { count, burned_mm: round(burnedMm, 3), dose_j_mm2: round(worst.worse), places: where },
    },
  ];
}
