import { letsThrough } from '../program/beam-on.ts';
import { POWER_CONSTANT } from '../program/program.ts';
import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';

/**
 * `beam-left-on`: the program ends with the beam commanded on. With constant power after a feed move it goes on
 * burning where it stands; otherwise it is dark at rest but armed.
 */
export function findBeamLeftOn({ program, machine }: Evidence): Finding[] {
  const { endsWithBeamOn: on, moves, stops } = program;
  if (!on) return [];
  const last = moves.count - 1;
  // What is in force at the end: as of the last stop, if it comes after the last move.
  const k = stops.count - 1;
  const fromStop = k >= 0 && stops.beforeMove[k] === moves.count;
  const [beam, at] = fromStop ? [stops, k] : [moves, last];
  const goesOn = letsThrough(beam.rapid[at]!, machine.laser.fires_on_rapids);
  const burns = beam.powerMode[at] === POWER_CONSTANT && goesOn;
  const s = numberWords(on.s, 6);
  return [
    {
      kind: 'beam-left-on',
      severity: burns ? 'stop' : 'warning',
      line: on.line,
      atMm: [moves.xMm[last]!, moves.yMm[last]!],
      operation: null,
      message: burns
        ? `The program ends with the beam on (S${s}, switched on in line ${on.line}): it goes on burning where the ` +
          'head stops, until somebody sees it.'
        : `The program ends with the beam armed (S${s}, switched on in line ${on.line}): it is dark at rest, but the ` +
          'next feed move, also one by hand, burns.',
      remedy: 'End the job with M5, before M2 or the end of the file.',
      measure: { s: on.s },
    },
  ];
}
