import { type Evidence, gatherEvidence } from '../findings/evidence/evidence.ts';
import { type Answered, toldOf } from '../forecast.ts';

/** The evidence of a forecast with these operations meant to cut, by number: nothing burns otherwise for that. */
export function evidenceWithCuts(forecast: Answered, cuts: readonly number[]): Evidence {
  const operations = forecast.program.operations.map((operation) =>
    cuts.includes(operation.n) ? { ...operation, intent: 'cut' as const } : operation,
  );
  const program = { ...forecast.program, operations };
  return gatherEvidence(toldOf({ ...forecast, program, motion: { ...forecast.motion, program } }));
}
