import { middleTone } from '../burn/tone.ts';
import { type Notebook, type Wanted, type Worked, workedOn } from '../outcome/notebook.ts';
import type { Proposal } from './proposal.ts';
import { wantWords } from './want.ts';

/** What worked on the proposal's wood before, to stand ahead of what the model proposes. */
export interface WorkedBefore {
  readonly heading: string;
  readonly worked: readonly Worked[];
}

export function workedBefore(
  notebook: Notebook,
  { want, material, machine, thicknessMm }: Pick<Proposal, 'want' | 'material' | 'machine' | 'thicknessMm'>,
): WorkedBefore {
  const tone = want.kind === 'tone' ? want.tone : want.kind === 'region' ? middleTone(want.region) : null;
  const wanted: Wanted = tone === null ? { kind: 'cut', thicknessMm } : { kind: 'tone', tone };
  const worked = workedOn(notebook, material.name, wanted, machine.name);
  const heading =
    worked.length > 0
      ? `What worked on ${material.name} before:`
      : `The notebook has no burn on ${material.name} that came to ${wantWords(want)}.`;
  return { heading, worked };
}
