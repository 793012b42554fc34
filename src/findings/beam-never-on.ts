import { asksForLight } from '../program/beam-on.ts';
import { POWER_OFF, POWER_PROPORTIONAL, type Program } from '../program/program.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { listWords } from './phrases.ts';

/** `beam-never-on`: nothing burns in the whole job, so there is nothing to forecast. Says why. */
export function findBeamNeverOn({ program, dose }: Evidence): Finding[] {
  if (program.operations.length > 0 || dose.energyJ > 0) return [];
  const { why, remedy } = reasonOf(program);
  return [
    {
      kind: 'beam-never-on',
      severity: 'stop',
      line: 0,
      atMm: null,
      operation: null,
      message: `The beam never comes on in this job, so nothing is burned and there is nothing to forecast: ${why}.`,
      remedy,
      measure: { moves: program.moves.count },
    },
  ];
}

/** Words of machines that lay down plastic: the extruder's axis, its modes and its heaters. */
const PRINTER_WORDS = ['E', 'M82', 'M83', 'M104', 'M109', 'M140', 'M190'];

function reasonOf({ moves, stops, notSimulated }: Program): { why: string; remedy: string } {
  const printer = notSimulated.map(({ word }) => word).filter((word) => PRINTER_WORDS.includes(word));
  if (printer.length > 0) {
    return {
      why: `it looks like a job for a machine that prints plastic (${listWords(printer)})`,
      remedy: 'Write the job anew for a laser engraver: M3 or M4 to switch the beam on, and S for its power.',
    };
  }
  const isOn = (k: number) => moves.powerMode[k] !== POWER_OFF;
  let everOn = stops.powerMode.subarray(0, stops.count).some((mode) => mode !== POWER_OFF);
  // Where there is light in no move, a dwell may ask for some and stay dark.
  const lightAtRest = stops.powerMode
    .subarray(0, stops.count)
    .find((_, k) => stops.dwellS[k]! > 0 && asksForLight(stops, k));
  let lit = false;
  for (let k = 0; k < moves.count; k++) {
    everOn ||= isOn(k);
    lit ||= asksForLight(moves, k);
  }
  if (!everOn) {
    return {
      why: 'it has no M3 and no M4, the words that switch the beam on',
      remedy: 'Put M3 or M4 with an S above 0 before what is to be burned.',
    };
  }
  if (lit) {
    return {
      why: 'S is above 0 in rapids (G0) alone, in which this machine keeps the beam off',
      remedy:
        'Burn with G1, G2 or G3; or, if your machine fires in rapids, say so in its profile (fires_on_rapids).',
    };
  }
  if (lightAtRest !== undefined) return restingDark(lightAtRest);
  return {
    why: 'S is 0 in all its moves and dwells',
    remedy: 'Give an S above 0 for what is to be burned.',
  };
}

/** A dwell with S above 0 that stays dark: proportional power is off at rest, and so is any after a rapid on most machines. */
const restingDark = (powerMode: number): { why: string; remedy: string } =>
  powerMode === POWER_PROPORTIONAL
    ? {
        why: 'S is above 0 only while the head rests (G4), where proportional power (M4) is off',
        remedy: 'To burn a dot, use constant power (M3), and write G1 before the dwell.',
      }
    : {
        why: 'S is above 0 only while the head rests (G4) after a rapid (G0), where this machine keeps the beam off',
        remedy:
          'To burn a dot, write G1 before the dwell; or, if your machine fires there, say so in its profile (fires_on_rapids).',
      };
